#include "blend.h"

#include <algorithm>
#include <cstddef>

#include "lanes.h"
#include "logarithm.h"
#include "wide.h"

namespace {
static_assert(RL_BLEND_STEPS == lanes, "pixels are looked at eight at once");

// powerInPlace is 2 to the power of x, of -4e6 to 126, right to 8e-5 of itself; under -120 it
// is no more than there. A cubic of least error about whole powers; adding roundUp leaves the
// whole power in the last bits.
inline __attribute__((always_inline)) void powerInPlace(eight &x) {
  const float roundUp = 12582912.0f;  // 3 x 2^22, or 0x4b400000
  const int32_t low = 0x4b400000 - 120;
  const eightInts lowest = {low, low, low, low, low, low, low, low};
  const eight n = x + roundUp;
  x -= n - roundUp;
  eight y = x * 0.055171669f + 0.242611122f;
  y = y * x + 0.693260985f;
  y = y * x + 0.999928074f;
  const eightInts power = (eightInts)n > lowest ? (eightInts)n : lowest;
  x = (eight)((eightInts)y + (power << 23));
}

// Table is the mixture, each number eight times, as the loops want it.
struct Table {
  eight whiten[2][6], middle[2][RL_BLEND_PARTS][3], power[2][RL_BLEND_PARTS], fraction[RL_BLEND_PARTS];

  Table(const rl_blend *m, const float *f) {
    for (int q = 0; q < 2; q++) {
      for (int i = 0; i < 6; i++) set(whiten[q][i], m->whiten[q][i]);
      for (int k = 0; k < RL_BLEND_PARTS; k++) {
        set(power[q][k], m->power[q][k]);
        for (int i = 0; i < 3; i++) set(middle[q][k][i], m->middle[q][k][i]);
      }
    }
    for (int k = 0; k < RL_BLEND_PARTS; k++) set(fraction[k], f ? f[k] : 0);
  }

  static void set(eight &v, float x) {
    for (int i = 0; i < lanes; i++) v[i] = x;
  }
};

// least keeps a pixel far from every part from dividing by nothing.
const float least = 1e-30f;

// place is where eight pixels, all whole (q is 0) or all with red burnt out (1), lie.
struct place {
  eight a, b, c;
};

template <int q>
inline __attribute__((always_inline)) void placeOf(const Table *m, const eight &light, const eight &red,
                                                   const eight &blue, place &at) {
  const eight *t = m->whiten[q];
  at.a = light * t[0];
  at.c = light * t[3] + blue * t[5];
  if (q == 1) return;
  at.b = light * t[1] + red * t[2];
  at.c += red * t[4];
}

// explain is how much a part explains of pixels.
template <int q>
inline __attribute__((always_inline)) void explain(const Table *m, int k, const place &at, eight &out) {
  const eight *p = m->middle[q][k];
  const eight x = at.a - p[0], z = at.c - p[2];
  out = m->power[q][k] - x * x - z * z;
  if (q == 0) {
    const eight y = at.b - p[1];
    out -= y * y;
  }
  powerInPlace(out);
}

// likely is how much each part explains, and what all come to.
template <int q>
inline __attribute__((always_inline)) void likely(const Table *m, const eight &light, const eight &red,
                                                  const eight &blue, eight *part, eight &total) {
  place at;
  placeOf<q>(m, light, red, blue, at);
  total = light - light + least;
  for (int k = 0; k < RL_BLEND_PARTS; k++) {
    explain<q>(m, k, at, part[k]);
    total += part[k];
  }
}

typedef uint8_t eightMarks __attribute__((vector_size(lanes)));

// laneBits is a byte a lane, 0xff where it is set (-1).
inline __attribute__((always_inline)) uint64_t laneBits(const eightInts &set) {
  const eightMarks marks = __builtin_convertvector(set, eightMarks);
  uint64_t bits;
  std::memcpy(&bits, &marks, sizeof bits);
  return bits;
}

// shares is likely for pixels some of which may be whole.
inline __attribute__((always_inline)) void shares(const Table *m, const eight &light, const eight &red,
                                                  const eight &blue, const eightInts &whole, eight *part, eight &total) {
  const uint64_t bits = laneBits(whole);
  if (~bits == 0) return likely<0>(m, light, red, blue, part, total);
  likely<1>(m, light, red, blue, part, total);
  if (bits == 0) return;
  eight other[RL_BLEND_PARTS], all;
  likely<0>(m, light, red, blue, other, all);
  for (int k = 0; k < RL_BLEND_PARTS; k++) part[k] = whole ? other[k] : part[k];
  total = whole ? all : total;
}

WIDE void sumUp(const Table *m, const float *light, const float *red, const float *blue, const float *whole, int n,
                float *totals, double *out) {
  eight sums[RL_BLEND_SUMS] = {};
  for (int i = 0; i < n; i += lanes) {
    const eight l = EIGHT(light + i), r = EIGHT(red + i), b = EIGHT(blue + i), w = EIGHT(whole + i);
    eight part[RL_BLEND_PARTS], total;
    shares(m, l, r, b, w > 0, part, total);
    if (totals) EIGHT_AT(totals + i) = total;
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
  if (totals) {
    for (int i = 0; i < n; i++) totals[i] = lnOf(totals[i]);
    for (int i = 0; i < n; i += lanes) sums[RL_BLEND_PARTS] += EIGHT(totals + i);
  }
  for (int k = 0; k < RL_BLEND_SUMS; k++)
    for (int i = 0; i < lanes; i++) out[k] += sums[k][i];
}

// mean is what the parts' fractions come to.
template <int q>
inline __attribute__((always_inline)) void mean(const Table *m, const eight &light,
                                                const eight &red, const eight &blue, eight &out) {
  place at;
  placeOf<q>(m, light, red, blue, at);
  eight total = light - light + least, sum = light - light;
  for (int k = 0; k < RL_BLEND_PARTS; k++) {
    eight part;
    explain<q>(m, k, at, part);
    total += part;
    sum += part * m->fraction[k];
  }
  out = sum / total;
}

// markedOf is -1 where a pixel is marked.
inline __attribute__((always_inline)) void markedOf(const uint8_t *in, eightInts &out) {
  eightMarks marks;
  std::memcpy(&marks, in, sizeof marks);
  out = __builtin_convertvector(marks, eightInts) != 0;
}

WIDE void fractions(const rl_blend *given, const Table *m, const uint8_t *in, const float *light, const float *r,
                    const float *g, const float *b, float burnt, int n, float *out) {
  for (int i = 0; i < n; i += lanes) {
    uint64_t any;
    std::memcpy(&any, in + i, sizeof any);
    if (any == 0) continue;
    const eight green = EIGHT(g + i);
    const eight l = EIGHT(light + i) - given->reference[0];
    const eight red = EIGHT(r + i) - green - given->reference[1], blue = EIGHT(b + i) - green - given->reference[2];
    const eightInts whole = EIGHT(r + i) <= burnt;
    const uint64_t bits = laneBits(whole);
    eight v;
    if (~bits == 0) {
      mean<0>(m, l, red, blue, v);
    } else {
      mean<1>(m, l, red, blue, v);
      if (bits != 0) {
        eight other;
        mean<0>(m, l, red, blue, other);
        v = whole ? other : v;
      }
    }
    eightInts marked;
    markedOf(in + i, marked);
    EIGHT_AT(out + i) = marked ? v : EIGHT(out + i);
  }
}

WIDE void sumBoth(const uint8_t *in, const float *a, const float *b, int n, double *sums) {
  eight first = {}, second = {};
  for (int i = 0; i < n; i += lanes) {
    eightInts marked;
    markedOf(in + i, marked);
    const eight nought = {};
    first += marked ? EIGHT(a + i) : nought;
    second += marked ? EIGHT(b + i) : nought;
  }
  for (int i = 0; i < lanes; i++) {
    sums[0] += first[i];
    sums[1] += second[i];
  }
}

WIDE void toward(const uint8_t *in, const float *b, float weight, int n, float *a) {
  for (int i = 0; i < n; i += lanes) {
    eightInts marked;
    markedOf(in + i, marked);
    const eight old = EIGHT(a + i);
    EIGHT_AT(a + i) = marked ? old + weight * (EIGHT(b + i) - old) : old;
  }
}
const int stretch = 1024;
}  // namespace

void rl_blend_sums(const rl_blend *m, const float *light, const float *red, const float *blue, const float *whole, int n,
                   int scored, double sums[RL_BLEND_SUMS]) {
  const Table table(m, nullptr);
  float totals[stretch];
  for (int i = 0; i < n; i += stretch)
    sumUp(&table, light + i, red + i, blue + i, whole + i, std::min(stretch, n - i), scored ? totals : nullptr, sums);
}

void rl_blend_fractions(const rl_blend *m, const float fraction[RL_BLEND_PARTS], const uint8_t *in, const float *light,
                        const float *r, const float *g, const float *b, float burnt, int n, float *out) {
  const Table table(m, fraction);
  const int whole = n / lanes * lanes;
  fractions(m, &table, in, light, r, g, b, burnt, whole, out);
  if (whole == n) return;
  uint8_t marks[lanes] = {};
  float planes[5][lanes] = {};
  const float *given[4] = {light, r, g, b};
  std::copy(in + whole, in + n, marks);
  for (int k = 0; k < 4; k++) std::copy(given[k] + whole, given[k] + n, planes[k]);
  std::copy(out + whole, out + n, planes[4]);
  fractions(m, &table, marks, planes[0], planes[1], planes[2], planes[3], burnt, lanes, planes[4]);
  std::copy(planes[4], planes[4] + (n - whole), out + whole);
}

void rl_blend_both(const uint8_t *in, const float *a, const float *b, int n, double sums[2]) {
  const int whole = n / lanes * lanes;
  for (int i = 0; i < whole; i += stretch) sumBoth(in + i, a + i, b + i, std::min(stretch, whole - i), sums);
  for (int i = whole; i < n; i++) {
    if (!in[i]) continue;
    sums[0] += a[i];
    sums[1] += b[i];
  }
}

void rl_blend_toward(const uint8_t *in, const float *b, float weight, int n, float *a) {
  const int whole = n / lanes * lanes;
  toward(in, b, weight, whole, a);
  for (int i = whole; i < n; i++)
    if (in[i]) a[i] += weight * (b[i] - a[i]);
}
