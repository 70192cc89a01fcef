#include "sky.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "wide.h"

namespace {
// sumRow adds a row's marked pixels into its cells: products of lanes, no branches.
WIDE void sumRow(const unsigned char *marked, const float *v, int w, int cellPx, double *sum) {
  for (int x0 = 0, cell = 0; x0 < w; x0 += cellPx, cell++) {
    const int end = std::min(x0 + cellPx, w);
    float lane[8] = {0};
    int x = x0;
    for (; x + 8 <= end; x += 8)
      for (int k = 0; k < 8; k++) lane[k] += static_cast<float>(marked[x + k]) * v[x + k];
    for (; x < end; x++) lane[0] += static_cast<float>(marked[x]) * v[x];
    double s = 0;
    for (int k = 0; k < 8; k++) s += lane[k];
    sum[cell] += s;
  }
}

WIDE void countRow(const unsigned char *marked, int w, int cellPx, double *n) {
  for (int x0 = 0, cell = 0; x0 < w; x0 += cellPx, cell++) {
    int k = 0;
    for (int x = x0; x < std::min(x0 + cellPx, w); x++) k += marked[x];
    n[cell] += k;
  }
}

// between fills the pixels of a row that lie between the middles of two cells.
WIDE void between(const float *cells, int count, int cellPx, int of, float *__restrict out, int n) {
  const float per = 1.0f / static_cast<float>(cellPx);
  for (int left = 0; left < count; left++) {
    // The first cell reaches to the left edge, the last to the right one.
    const int lo = left == 0 ? 0 : std::min(n, left * cellPx + cellPx / 2);
    const int hi = left == count - 1 ? n : std::min(n, (left + 1) * cellPx + cellPx / 2);
    const float p = cells[3 * left + of], step = cells[3 * std::min(left + 1, count - 1) + of] - p;
    const float back = 0.5f + static_cast<float>(left);
    for (int x = lo; x < hi; x++) {
      const float share = (static_cast<float>(x) + 0.5f) * per - back;
      out[x] = p + std::min(1.0f, std::max(0.0f, share)) * step;
    }
  }
}

WIDE void addScaled(const double *a, double k, double *out, int n) {
  for (int i = 0; i < n; i++) out[i] += k * a[i];
}

WIDE void divide(double *v, double by, int n) {
  for (int i = 0; i < n; i++) v[i] /= by;
}

WIDE void match(const unsigned char *__restrict may, const unsigned char *__restrict seed, const float *__restrict lr,
                const float *__restrict lg, const float *__restrict lb, const float *__restrict sr,
                const float *__restrict sg, const float *__restrict sb, const rl_sky_limits m,
                unsigned char *__restrict sky, unsigned char *__restrict near, int n) {
  for (int i = 0; i < n; i++) {
    const float b = lb[i] - sb[i];
    const float green = lg[i] - sg[i] - b, red = lr[i] - sr[i] - b;
    const unsigned char is = (b > m.minBlue) & (green < m.mostGreen) & (red < m.mostRed);
    const unsigned char by = (b > m.lowBlue) & (b < m.highBlue) & (std::fabs(green) < m.nearGreen) & (std::fabs(red) < m.nearRed);
    sky[i] = is & may[i];
    near[i] = (by | seed[i]) & may[i];
  }
}
}  // namespace

void rl_sum_cells(const unsigned char *marked, const float *a, const float *b, const float *c, int w, int h,
                  int cellPx, double *n, double *sumA, double *sumB, double *sumC) {
  const int gw = (w + cellPx - 1) / cellPx;
  for (int y = 0; y < h; y++) {
    const size_t at = static_cast<size_t>(y) * w, cell = static_cast<size_t>(y / cellPx) * gw;
    countRow(marked + at, w, cellPx, n + cell);
    sumRow(marked + at, a + at, w, cellPx, sumA + cell);
    sumRow(marked + at, b + at, w, cellPx, sumB + cell);
    sumRow(marked + at, c + at, w, cellPx, sumC + cell);
  }
}

void rl_spread_cells(const float *cells, int count, int cellPx, float *a, float *b, float *c, int n) {
  float *out[3] = {a, b, c};
  for (int k = 0; k < 3; k++) between(cells, count, cellPx, k, out[k], n);
}

void rl_blur_grid(const double *v, int w, int h, const double *kernel, int length, int down, double *out) {
  const int half = length / 2;
  double total = 0;
  for (int j = 0; j < length; j++) total += kernel[j];
  std::fill(out, out + static_cast<size_t>(w) * h, 0.0);
  for (int y = 0; y < h; y++) {
    double *row = out + static_cast<size_t>(y) * w;
    if (down) {
      for (int j = std::max(0, y - half); j <= std::min(h - 1, y + half); j++)
        addScaled(v + static_cast<size_t>(j) * w, kernel[j - y + half], row, w);
    } else {
      const double *from = v + static_cast<size_t>(y) * w;
      for (int d = -std::min(half, w - 1); d <= std::min(half, w - 1); d++) {
        const int lo = std::max(0, -d), hi = std::min(w, w - d);
        addScaled(from + lo + d, kernel[d + half], row + lo, hi - lo);
      }
    }
    divide(row, total, w);
  }
}

void rl_match_sky(const unsigned char *may, const unsigned char *seed, const float *lr, const float *lg,
                  const float *lb, const float *sr, const float *sg, const float *sb, const rl_sky_limits *limits,
                  unsigned char *sky, unsigned char *near, int n) {
  match(may, seed, lr, lg, lb, sr, sg, sb, *limits, sky, near, n);
}
