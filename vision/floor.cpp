#include "floor.h"

#include <algorithm>
#include <cstddef>

#include "broad.h"
#include "lanes.h"
#include "logarithm.h"
#include "wide.h"

namespace {
// Sums run in eight lanes of a float over so many pixels, then go to doubles.
const int stretch = 1024;

typedef uint8_t eightBytes __attribute__((vector_size(lanes), aligned(1), may_alias));

inline void close(const eight *sums, int count, double *out) {
  for (int k = 0; k < count; k++)
    for (int i = 0; i < lanes; i++) out[k] += sums[k][i];
}

WIDE void ends(const uint8_t *in, const float *r, const float *g, const float *b, float burnt, float dark, int n,
               double *out) {
  const eight none = {0, 0, 0, 0, 0, 0, 0, 0}, one = none + 1;
  eight sums[RL_ENDS] = {none, none, none, none, none};
  for (int i = 0; i < n; i += lanes) {
    const eight k = __builtin_convertvector(*reinterpret_cast<const eightBytes *>(in + i), eight);
    const eight red = EIGHT(r + i), green = EIGHT(g + i), blue = EIGHT(b + i);
    sums[0] += k;
    sums[1] += k * green;
    sums[2] += k * blue;
    const eightInts bright = (red >= burnt) & (green >= burnt) & (blue >= burnt);
    sums[3] += k * (bright ? one : none);
    sums[4] += k * (green <= dark ? one : none);
  }
  close(sums, RL_ENDS, out);
}

WIDE void lights(const uint8_t *in, const float *fraction, const float *r, const float *g, const float *b, float shade,
                 float sun, float most, int n, double *out) {
  const eight none = {0, 0, 0, 0, 0, 0, 0, 0};
  eight sums[RL_LIGHTS] = {none, none, none, none, none, none, none, none, none, none};
  for (int i = 0; i < n; i += lanes) {
    const eight k = __builtin_convertvector(*reinterpret_cast<const eightBytes *>(in + i), eight);
    const eight f = EIGHT(fraction + i), red = EIGHT(r + i), green = EIGHT(g + i), blue = EIGHT(b + i);
    const eight ofShade = f < shade ? k : none, ofSun = f > sun ? k : none;
    const eightInts kept = (red < most) & (green < most) & (blue < most);
    const eight shadeKept = kept ? ofShade : none, sunKept = kept ? ofSun : none;
    sums[0] += ofShade;
    sums[1] += shadeKept * red;
    sums[2] += shadeKept * green;
    sums[3] += shadeKept * blue;
    sums[4] += ofSun;
    sums[5] += sunKept * red;
    sums[6] += sunKept * green;
    sums[7] += sunKept * blue;
    sums[8] += ofShade * red;
    sums[9] += ofShade * blue;
  }
  close(sums, RL_LIGHTS, out);
}

WIDE void strange(const uint8_t *shade, const float *r, const float *g, const float *b, const float *texture,
                  const float *x, float lo, float hi, const rl_floor_line *lines, float dawnRed, float dawnBlue,
                  float dawnMost, int n, float *out) {
  const float square = dawnRed * dawnRed + dawnBlue * dawnBlue, perSquare = square > 0 ? 1 / square : 0;
  const rl_floor_line forRed = lines[0], forBlue = lines[1], forGrain = lines[2];
#pragma GCC ivdep
  for (int i = 0; i < n; i++) {
    const float at = std::min(std::max(x[i], lo), hi);
    float red = r[i] - g[i] - (forRed.a + forRed.b * at);
    float blue = b[i] - g[i] - (forBlue.a + forBlue.b * at);
    const float along = std::min(std::max((red * dawnRed + blue * dawnBlue) * perSquare, 0.0f), dawnMost);
    red = (red - along * dawnRed) * forRed.perSpread;
    blue = (blue - along * dawnBlue) * forBlue.perSpread;
    const float grain = std::min((texture[i] - (forGrain.a + forGrain.b * at)) * forGrain.perSpread, 0.0f);
    out[i] = static_cast<float>(shade[i]) * (red * red + blue * blue + grain * grain);
  }
}

// unmix does a row; level is the shade's light there.
WIDE void unmix(const uint8_t *in, const float *g, float kg, const float *b, float kb, const float *smooth,
                const float *level, float contrast, float half, int n, float *fraction, float *linear, uint8_t *lit) {
#pragma GCC ivdep
  for (int i = 0; i < n; i++) {
    const float k = in[i], per = 1 / ((contrast - 1) * level[i]);
    const float s = (smooth[i] - level[i]) * per;
    fraction[i] *= k;
    lit[i] = static_cast<uint8_t>((in[i] != 0) & (s > half));
    linear[i] = k * ((kg * g[i] + kb * b[i] - level[i]) * per);
  }
}

WIDE void moments(const uint8_t *in, const float *level, int n, double *out) {
  const eight none = {0, 0, 0, 0, 0, 0, 0, 0};
  eight sums[2] = {none, none};
  for (int i = 0; i < n; i += lanes) {
    const eight k = __builtin_convertvector(*reinterpret_cast<const eightBytes *>(in + i), eight);
    const eight v = k * EIGHT(level + i);
    sums[0] += v;
    sums[1] += v * v;
  }
  close(sums, 2, out);
}

WIDE void square(const float *a, const float *b, int n, float *out) {
  for (int i = 0; i < n; i++) out[i] = (a[i] - b[i]) * (a[i] - b[i]);
}

// roots are of whole eights, right but for the last bit: half the exponent, bettered three
// times (Heron). The library's own may tell of errors, which keeps loops from being wide.
WIDE void roots(const float *v, int n, float *out) {
  const eight none = {0, 0, 0, 0, 0, 0, 0, 0};
  for (int i = 0; i < n; i += lanes) {
    const eight given = EIGHT(v + i), x = given > 0 ? given : none;
    const eightInts half = ((eightInts)x >> 1) + 0x1fbb4000;
    eight y = (eight)half;
    y = 0.5f * (y + x / y);
    y = 0.5f * (y + x / y);
    EIGHT_AT(out + i) = 0.5f * (y + x / y);
  }
}

WIDE void ln(const float *v, float above, int n, float *out) {
  for (int i = 0; i < n; i++) out[i] = lnOf(v[i] + above);
}

// byStretch runs a loop over whole stretches, and over what is left at the end from
// copies with nothing marked behind it.
template <int Planes, class Run>
void byStretch(const uint8_t *in, const float *const (&planes)[Planes], int n, Run run) {
  const int whole = n / lanes * lanes;
  for (int i = 0; i < whole; i += stretch) {
    const float *at[Planes];
    for (int k = 0; k < Planes; k++) at[k] = planes[k] + i;
    run(in + i, at, std::min(stretch, whole - i));
  }
  if (whole == n) return;
  uint8_t marks[lanes] = {};
  float values[Planes][lanes] = {};
  const float *at[Planes];
  std::copy(in + whole, in + n, marks);
  for (int k = 0; k < Planes; k++) {
    std::copy(planes[k] + whole, planes[k] + n, values[k]);
    at[k] = values[k];
  }
  run(marks, at, lanes);
}
}  // namespace

void rl_floor_ends(const uint8_t *in, const float *r, const float *g, const float *b, float burnt, float dark, int n,
                   double sums[RL_ENDS]) {
  const float *planes[3] = {r, g, b};
  byStretch(in, planes, n, [=](const uint8_t *marks, const float **at, int m) { ends(marks, at[0], at[1], at[2], burnt, dark, m, sums); });
}

void rl_floor_lights(const uint8_t *in, const float *fraction, const float *r, const float *g, const float *b,
                     float shade, float sun, float most, int n, double sums[RL_LIGHTS]) {
  const float *planes[4] = {fraction, r, g, b};
  byStretch(in, planes, n, [=](const uint8_t *marks, const float **at, int m) { lights(marks, at[0], at[1], at[2], at[3], shade, sun, most, m, sums); });
}

void rl_floor_strange(const uint8_t *shade, const float *r, const float *g, const float *b, const float *texture,
                      const float *x, float lo, float hi, const rl_floor_line *lines, float dawnRed,
                      float dawnBlue, float dawnMost, int n, float *out) {
  strange(shade, r, g, b, texture, x, lo, hi, lines, dawnRed, dawnBlue, dawnMost, n, out);
}

void rl_floor_unmix(const uint8_t *in, const float *g, float kg, const float *b, float kb, const float *smooth,
                    const float *cells, int cellsW, int cellsH, float contrast, float half, int w, int h,
                    float *fraction, float *linear, uint8_t *lit, double sums[2], float *row) {
  const float *level = row + RL_CELL / 2;
  for (int y = 0; y < h; y++) {
    const size_t at = static_cast<size_t>(y) * w;
    rl_spread_row(cells, cellsW, cellsH, y, w, row, row + w + 2 * RL_CELL);
    const float *planes[1] = {level};
    byStretch(in + at, planes, w, [=](const uint8_t *marks, const float **p, int m) { moments(marks, p[0], m, sums); });
    unmix(in + at, g + at, kg, b + at, kb, smooth + at, level, contrast, half, w, fraction + at, linear + at, lit + at);
  }
}

void rl_floor_square(const float *a, const float *b, int n, float *out) { square(a, b, n, out); }

void rl_floor_ln_root(const float *v, float above, int n, float *out) {
  const int whole = n / lanes * lanes;
  float last[lanes] = {};
  std::copy(v + whole, v + n, last);
  roots(v, whole, out);
  roots(last, lanes, last);
  std::copy(last, last + (n - whole), out + whole);
  ln(out, above, n, out);
}
