#include "blend.h"

#include <algorithm>
#include <cstddef>

#include "lanes.h"
#include "logarithm.h"
#include "wide.h"

namespace {
static_assert(RL_BLEND_STEPS == lanes, "pixels are looked at eight at once");

// powerInPlace is 2 to the power of what is not over 0, right to 5e-5 of itself; under
// -120 it is as at -120. The series of exp, about whole powers.
inline __attribute__((always_inline)) void powerInPlace(eight &x) {
  const eight least = {-120, -120, -120, -120, -120, -120, -120, -120};
  x = x > least ? x : least;
  const eightInts n = __builtin_convertvector(x - 0.5f, eightInts);
  x -= __builtin_convertvector(n, eight);
  eight y = x * 0.0096181291f + 0.0555041087f;
  y = y * x + 0.2402265070f;
  y = y * x + 0.6931471806f;
  y = y * x + 1.0f;
  x = y * (eight)((n + 127) << 23);
}

// least keeps a pixel far from every part from dividing by nothing.
const float least = 1e-30f;

// likely is how much each part explains of eight pixels, all whole or all with red burnt
// out (q), and what all come to.
inline __attribute__((always_inline)) void likely(const rl_blend *m, int q, const eight &light, const eight &red,
                                                  const eight &blue, eight *part, eight &total) {
  const float *t = m->whiten[q];
  const eight a = light * t[0], b = light * t[1] + red * t[2], c = light * t[3] + red * t[4] + blue * t[5];
  total = a - a + least;
  for (int k = 0; k < RL_BLEND_PARTS; k++) {
    const float *p = m->middle[q][k];
    const eight x = a - p[0], y = b - p[1], z = c - p[2];
    eight e = -(x * x + y * y + z * z);
    powerInPlace(e);
    part[k] = e * m->weight[q][k];
    total += part[k];
  }
}

// shares is likely for pixels some of which may be whole.
inline __attribute__((always_inline)) void shares(const rl_blend *m, const eight &light, const eight &red,
                                                  const eight &blue, const eightInts &whole, eight *part, eight &total) {
  int count = 0;
  for (int i = 0; i < lanes; i++) count -= whole[i];
  if (count == lanes) return likely(m, 0, light, red, blue, part, total);
  likely(m, 1, light, red, blue, part, total);
  if (count == 0) return;
  eight other[RL_BLEND_PARTS], all;
  likely(m, 0, light, red, blue, other, all);
  for (int k = 0; k < RL_BLEND_PARTS; k++) part[k] = whole ? other[k] : part[k];
  total = whole ? all : total;
}

WIDE void sumUp(const rl_blend *m, const float *light, const float *red, const float *blue, const float *whole, int n,
                float *totals, double *out) {
  eight sums[RL_BLEND_SUMS] = {};
  for (int i = 0; i < n; i += lanes) {
    const eight l = EIGHT(light + i), r = EIGHT(red + i), b = EIGHT(blue + i), w = EIGHT(whole + i);
    eight part[RL_BLEND_PARTS], total;
    shares(m, l, r, b, w > 0, part, total);
    EIGHT_AT(totals + i) = total;
    const eight per = 1 / total;
    for (int k = 0; k < RL_BLEND_PARTS; k++) sums[k] += part[k] * per;
    for (int k = 0; k < 2; k++) {
      const eight p = part[k] * per, o = p * w, pl = p * l, pb = p * b, or_ = o * r;
      eight *s = sums + RL_BLEND_PARTS + 1 + k * RL_BLEND_LIGHT;
      s[0] += p;
      s[1] += o;
      s[2] += pl;
      s[3] += pb;
      s[4] += pl * l;
      s[5] += pl * b;
      s[6] += pb * b;
      s[7] += or_;
      s[8] += or_ * l;
      s[9] += or_ * r;
      s[10] += or_ * b;
    }
  }
  for (int i = 0; i < n; i++) totals[i] = lnOf(totals[i]);
  for (int i = 0; i < n; i += lanes) sums[RL_BLEND_PARTS] += EIGHT(totals + i);
  for (int k = 0; k < RL_BLEND_SUMS; k++)
    for (int i = 0; i < lanes; i++) out[k] += sums[k][i];
}

WIDE void fractions(const rl_blend *m, const float *fraction, const uint8_t *in, const float *light, const float *r,
                    const float *g, const float *b, float burnt, int n, float *out) {
  for (int i = 0; i < n; i += lanes) {
    uint64_t any;
    std::memcpy(&any, in + i, sizeof any);
    if (any == 0) continue;
    const eight green = EIGHT(g + i);
    const eight l = EIGHT(light + i) - m->reference[0];
    const eight red = EIGHT(r + i) - green - m->reference[1], blue = EIGHT(b + i) - green - m->reference[2];
    eight part[RL_BLEND_PARTS], total;
    shares(m, l, red, blue, EIGHT(r + i) <= burnt, part, total);
    eight sum = {0, 0, 0, 0, 0, 0, 0, 0};
    for (int k = 0; k < RL_BLEND_PARTS; k++) sum += part[k] * fraction[k];
    sum /= total;
    for (int k = 0; k < lanes; k++)
      if (in[i + k]) out[i + k] = sum[k];
  }
}
const int stretch = 1024;
}  // namespace

void rl_blend_sums(const rl_blend *m, const float *light, const float *red, const float *blue, const float *whole, int n,
                   double sums[RL_BLEND_SUMS]) {
  float totals[stretch];
  for (int i = 0; i < n; i += stretch)
    sumUp(m, light + i, red + i, blue + i, whole + i, std::min(stretch, n - i), totals, sums);
}

void rl_blend_fractions(const rl_blend *m, const float fraction[RL_BLEND_PARTS], const uint8_t *in, const float *light,
                        const float *r, const float *g, const float *b, float burnt, int n, float *out) {
  const int whole = n / lanes * lanes;
  fractions(m, fraction, in, light, r, g, b, burnt, whole, out);
  if (whole == n) return;
  uint8_t marks[lanes] = {};
  float planes[5][lanes] = {};
  const float *given[4] = {light, r, g, b};
  std::copy(in + whole, in + n, marks);
  for (int k = 0; k < 4; k++) std::copy(given[k] + whole, given[k] + n, planes[k]);
  std::copy(out + whole, out + n, planes[4]);
  fractions(m, fraction, marks, planes[0], planes[1], planes[2], planes[3], burnt, lanes, planes[4]);
  std::copy(planes[4], planes[4] + (n - whole), out + whole);
}
