#include "planes.h"

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "logarithm.h"
#include "wide.h"

namespace {
WIDE void scale(const float *a, float k, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = k * a[i];
}

WIDE void addOne(const float *a, float k, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] += k * a[i];
}

WIDE void addTwo(const float *a, const float *b, float k, float *out, int n) {
  for (int i = 0; i < n; i++) {
    const float s = out[i] + k * a[i];
    out[i] = s + k * b[i];
  }
}

// along convolves a row of n.
void along(const float *a, const float *kernel, int reach, float *out, int n) {
  scale(a, kernel[0], out, n);
  for (int k = 1; k <= reach; k++) {
    // Both sides at once where both are there, each alone at the ends.
    const int both = n - 2 * k;
    if (both > 0) {
      addOne(a + k, kernel[k], out, k);
      addTwo(a, a + 2 * k, kernel[k], out + k, both);
      addOne(a + n - 2 * k, kernel[k], out + n - k, k);
    } else if (n > k) {
      addOne(a + k, kernel[k], out, n - k);
      addOne(a, kernel[k], out + k, n - k);
    }
  }
}

WIDE void addRow(const float *a, double *sum, int n) {
  for (int i = 0; i < n; i++) sum[i] += a[i];
}

WIDE void mean(const float *in, const float *off, double k, double *sum, float *out, int n) {
  for (int i = 0; i < n; i++) {
    const double s = sum[i] + in[i] - off[i];
    sum[i] = s;
    out[i] = static_cast<float>(s * k);
  }
}

WIDE void meanIn(const float *in, double k, double *sum, float *out, int n) {
  for (int i = 0; i < n; i++) {
    sum[i] += in[i];
    out[i] = static_cast<float>(sum[i] * k);
  }
}

WIDE void meanOff(const float *off, double k, double *sum, float *out, int n) {
  for (int i = 0; i < n; i++) {
    sum[i] -= off[i];
    out[i] = static_cast<float>(sum[i] * k);
  }
}

WIDE void meanOf(double k, const double *sum, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = static_cast<float>(sum[i] * k);
}

// boxDown averages down the columns over 2r + 1 rows.
void boxDown(const float *a, float *out, int w, int h, int r, double *sum) {
  const double k = 1.0 / (2 * r + 1);
  std::fill(sum, sum + w, 0.0);
  for (int y = 0; y < std::min(r, h); y++) addRow(a + static_cast<size_t>(y) * w, sum, w);
  for (int y = 0; y < h; y++) {
    const float *in = a + static_cast<size_t>(y + r) * w, *off = a + static_cast<ptrdiff_t>(y - r - 1) * w;
    float *to = out + static_cast<size_t>(y) * w;
    const bool comes = y + r < h, goes = y - r - 1 >= 0;
    if (comes && goes) mean(in, off, k, sum, to, w);
    else if (comes) meanIn(in, k, sum, to, w);
    else if (goes) meanOff(off, k, sum, to, w);
    else meanOf(k, sum, to, w);
  }
}

// boxesDown leaves the result in v.
void boxesDown(float *v, float *scratch, int w, int h, const int *radii, int passes, double *sum) {
  float *from = v, *to = scratch;
  for (int i = 0; i < passes; i++) {
    boxDown(from, to, w, h, radii[i], sum);
    std::swap(from, to);
  }
  if (from != v) std::memcpy(v, from, sizeof(float) * w * h);
}

// turned writes a raster with rows and columns changed about, tile by tile.
void turned(const float *a, float *out, int w, int h) {
  const int tile = 16;
  for (int y0 = 0; y0 < h; y0 += tile)
    for (int x0 = 0; x0 < w; x0 += tile)
      for (int x = x0; x < std::min(x0 + tile, w); x++)
        for (int y = y0; y < std::min(y0 + tile, h); y++)
          out[static_cast<size_t>(x) * h + y] = a[static_cast<size_t>(y) * w + x];
}

WIDE void lnAll(const float *v, float above, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = lnOf(v[i] + above);
}
}  // namespace

void rl_convolve(float *v, int w, int h, const float *kernel, int reach, float *scratch) {
  for (int y = 0; y < h; y++) along(v + static_cast<size_t>(y) * w, kernel, reach, scratch + static_cast<size_t>(y) * w, w);
  for (int y = 0; y < h; y++) {
    float *out = v + static_cast<size_t>(y) * w;
    const float *row = scratch + static_cast<size_t>(y) * w;
    scale(row, kernel[0], out, w);
    for (int k = 1; k <= reach; k++) {
      const float *over = row - static_cast<ptrdiff_t>(k) * w, *under = row + static_cast<ptrdiff_t>(k) * w;
      if (y - k >= 0 && y + k < h) addTwo(over, under, kernel[k], out, w);
      else if (y - k >= 0) addOne(over, kernel[k], out, w);
      else if (y + k < h) addOne(under, kernel[k], out, w);
    }
  }
}

void rl_boxes(float *v, int w, int h, const int *radii, int passes, float *scratch, double *sums) {
  turned(v, scratch, w, h);
  boxesDown(scratch, v, h, w, radii, passes, sums);
  turned(scratch, v, h, w);
  boxesDown(v, scratch, w, h, radii, passes, sums);
}

void rl_ln(const float *v, float above, float *out, int n) { lnAll(v, above, out, n); }
