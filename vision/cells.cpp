#include "cells.h"

#include <algorithm>
#include <cstddef>

#include "planes.h"
#include "wide.h"

namespace {
// some pixels at a time, whose logarithms stay in the nearest cache.
const int some = 512;

// Luminance of linear sRGB (linear.go).
inline float lumOf(float r, float g, float b) { return 0.2126f * r + 0.7152f * g + 0.0722f * b; }

WIDE void lums(const float *__restrict r, const float *__restrict g, const float *__restrict b, int n, float *__restrict lum,
               uint16_t *__restrict thousandths) {
  for (int i = 0; i < n; i++) {
    lum[i] = lumOf(r[i], g[i], b[i]);
    thousandths[i] = static_cast<uint16_t>(std::min(static_cast<int>(static_cast<double>(lum[i]) * 1000), 1000));
  }
}

// into is a value's bin; under the low end it rounds up to 0, the same bin.
inline int into(double v, double low, double per, int count) {
  const int b = static_cast<int>((v - low) * per);
  return std::min(std::max(b, 0), count - 1);
}

WIDE void cells(const float *r, const float *g, const float *b, const float *lum, int n, const rl_bins red,
                const rl_bins blue, const rl_bins light, uint16_t *cell) {
  for (int i = 0; i < n; i++) {
    const int at = into(r[i] - g[i], red.low, red.per, red.count) * blue.count + into(b[i] - g[i], blue.low, blue.per, blue.count);
    cell[i] = static_cast<uint16_t>(at * light.count + into(lum[i], light.low, light.per, light.count));
  }
}

WIDE void bands(const int16_t *first, const int16_t *second, int16_t y, int w, uint8_t *band) {
  for (int x = 0; x < w; x++) band[x] = static_cast<uint8_t>((y >= first[x]) + (y >= second[x]));
}

WIDE void raise(const float *__restrict r, const float *__restrict g, const float *__restrict b, int n, const rl_open_sky s,
                uint8_t below, uint8_t by, uint8_t *__restrict kind) {
  for (int i = 0; i < n; i++) {
    const float lum = lumOf(r[i], g[i], b[i]), most = g[i] > r[i] ? g[i] : r[i];
    const int white = (b[i] > s.blue * most) & (lum > s.lum);
    const int blue = (b[i] > s.veryBlue * most) & (lum > s.veryBlueLum);
    kind[i] = static_cast<uint8_t>(kind[i] + by * ((white | blue) & (kind[i] < below)));
  }
}
}  // namespace

void rl_colour_cells(const float *r, const float *g, const float *b, int n, float dark, const rl_bins *red,
                     const rl_bins *blue, const rl_bins *lum, uint16_t *cell, uint16_t *thousandths) {
  float lr[some], lg[some], lb[some], ll[some];
  for (int i = 0; i < n; i += some) {
    const int k = std::min(some, n - i);
    lums(r + i, g + i, b + i, k, ll, thousandths + i);
    rl_ln(r + i, dark, lr, k);
    rl_ln(g + i, dark, lg, k);
    rl_ln(b + i, dark, lb, k);
    rl_ln(ll, dark, ll, k);
    cells(lr, lg, lb, ll, k, *red, *blue, *lum, cell + i);
  }
}

void rl_bands(const int16_t *first, const int16_t *second, int w, int h, uint8_t *band) {
  for (int y = 0; y < h; y++) bands(first, second, static_cast<int16_t>(y), w, band + static_cast<size_t>(y) * w);
}

void rl_raise_sky(const float *r, const float *g, const float *b, int n, const rl_open_sky *sky, uint8_t below,
                  uint8_t by, uint8_t *kind) {
  raise(r, g, b, n, *sky, below, by, kind);
}

void rl_count_cells(const uint8_t *kind, const uint16_t *cell, int n, int cells, uint32_t *count) {
  for (int i = 0; i < n; i++) count[static_cast<size_t>(kind[i]) * cells + cell[i]]++;
}
