#include "sky.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

#include "planes.h"
#include "smallbox.h"
#include "wide.h"

namespace {
const int lanes = RL_SKY_LANES;

WIDE void square(const float *a, float *__restrict out, int n) {
  for (int i = 0; i < n; i++) out[i] = a[i] * a[i];
}

WIDE void markSeeds(const float *r, const float *g, const float *b, const unsigned char *zone, const float *mean,
                    const float *mean2, float most, float blue, unsigned char *__restrict seed, int n) {
  for (int i = 0; i < n; i++) {
    const float v = mean2[i] - mean[i] * mean[i];
    seed[i] = static_cast<unsigned char>((zone[i] == 0) & (v < most) & (b[i] > blue * g[i]) & (b[i] > blue * r[i]));
  }
}

// Sky is the sky behind some pixels: its light at the first cell's middle, and how far it
// is from there to the next one's.
struct Sky {
  float r, g, b, toR, toG, toB;
};

// A Row is one of the pixels'.
struct Row {
  const float *lr, *lg, *lb;
  const unsigned char *zone, *seed;
  unsigned char *sky;  // or null
};

// addUp adds marked pixels up in lanes.
inline void addUp(const Row &p, int x, const float *marked, float *__restrict r, float *__restrict g,
                  float *__restrict b) {
  for (int k = 0; k < lanes; k++) {
    r[k] += marked[k] * p.lr[x + k];
    g[k] += marked[k] * p.lg[x + k];
    b[k] += marked[k] * p.lb[x + k];
  }
}

// matchPixel gives 1 for a pixel that is near the sky or a seed.
inline int matchPixel(const Row &p, int x, const Sky &s, float share, const rl_sky_limits &m, unsigned char &sky) {
  const float b = p.lb[x] - (s.b + share * s.toB);
  const float green = p.lg[x] - (s.g + share * s.toG) - b, red = p.lr[x] - (s.r + share * s.toR) - b;
  const int may = p.zone[x] == 0;
  const int is = (b > m.minBlue) & (green < m.mostGreen) & (red < m.mostRed);
  const int by = (b > m.lowBlue) & (b < m.highBlue) & (std::fabs(green) < m.nearGreen) & (std::fabs(red) < m.nearRed);
  sky = static_cast<unsigned char>(is & may);
  return (by | p.seed[x]) & may;
}

// skyAt is the sky at half a cell: between the cell's own middle and the next one's in its
// right half, the one before in its left.
inline Sky skyAt(const float *cells, int count, int half) {
  const int left = std::max(0, (half - 1) / 2), right = std::min(left + 1, count - 1);
  const float *a = cells + 3 * left, *b = cells + 3 * right;
  return Sky{a[0], a[1], a[2], b[0] - a[0], b[1] - a[1], b[2] - a[2]};
}

// matchRow matches a row of pixels, and adds the marked ones' light up: lanes sums a
// colour and cell, n their number.
WIDE void matchRow(const Row p, int w, const float *cells, int count, const rl_sky_limits m, double *__restrict sums,
                   double *__restrict n) {
  float shares[2 * lanes];
  for (int k = 0; k < 2 * lanes; k++) shares[k] = (static_cast<float>(k) + 0.5f) / RL_SKY_CELL;
  float r[lanes], g[lanes], b[lanes], marked[lanes];
  int hit[lanes];
  unsigned char sky[lanes];
  for (int x = 0; x < w; x += lanes) {
    const int half = x / lanes, cell = half / 2;
    const bool first = half % 2 == 0;
    if (first)
      for (int k = 0; k < lanes; k++) r[k] = g[k] = b[k] = 0;
    // Before the first cell's middle the sky is as there.
    const float *share = shares + (first ? lanes : 0), flat = half == 0 ? 0.0f : 1.0f;
    const Sky s = cells ? skyAt(cells, count, half) : Sky{0, 0, 0, 0, 0, 0};
    if (x + lanes <= w) {
      int all = 0;
      if (cells) {
        for (int k = 0; k < lanes; k++) hit[k] = matchPixel(p, x + k, s, flat * share[k], m, sky[k]);
        if (p.sky) std::memcpy(p.sky + x, sky, sizeof sky);
      } else {
        for (int k = 0; k < lanes; k++) hit[k] = p.seed[x + k];
      }
      for (int k = 0; k < lanes; k++) marked[k] = static_cast<float>(hit[k]);
      for (int k = 0; k < lanes; k++) all += hit[k];
      n[cell] += all;
      addUp(p, x, marked, r, g, b);
    } else {
      for (int i = x; i < w; i++) {
        unsigned char is = 0;
        const int hits = cells ? matchPixel(p, i, s, flat * share[i - x], m, is) : p.seed[i];
        const float one = static_cast<float>(hits);
        if (p.sky) p.sky[i] = is;
        n[cell] += one;
        r[0] += one * p.lr[i];
        g[0] += one * p.lg[i];
        b[0] += one * p.lb[i];
      }
    }
    if (!first || x + lanes >= w) {
      double *to = sums + static_cast<size_t>(cell) * 3 * lanes;
      for (int k = 0; k < lanes; k++) to[k] += r[k];
      for (int k = 0; k < lanes; k++) to[lanes + k] += g[k];
      for (int k = 0; k < lanes; k++) to[2 * lanes + k] += b[k];
    }
  }
}

// cellsAt are a row's cells at a pixel's row: straight from row to row of the cells' middles.
void cellsAt(int y, const float *cells, int gw, int gh, float *__restrict out) {
  const double at = (y + 0.5) / RL_SKY_CELL - 0.5;
  const int y0 = std::min(std::max(static_cast<int>(std::floor(at)), 0), gh - 1), y1 = std::min(y0 + 1, gh - 1);
  const float t = static_cast<float>(std::min(1.0, std::max(0.0, at - y0)));
  const float *a = cells + static_cast<size_t>(3) * gw * y0, *b = cells + static_cast<size_t>(3) * gw * y1;
  for (int i = 0; i < 3 * gw; i++) out[i] = a[i] + t * (b[i] - a[i]);
}

WIDE void addScaled(const double *a, double k, double *out, int n) {
  for (int i = 0; i < n; i++) out[i] += k * a[i];
}

WIDE void divide(double *v, double by, int n) {
  for (int i = 0; i < n; i++) v[i] /= by;
}
}  // namespace

void rl_sky_light(const float *r, const float *g, const float *b, const unsigned char *zone, int w, int h, float dark,
                  int half, float most, float blue, float *lr, float *lg, float *lb, unsigned char *seed,
                  float *scratch) {
  const size_t n = static_cast<size_t>(w);
  float *mean = scratch, *mean2 = mean + n, *row2 = mean2 + n;
  SmallBox one(w, h, half, row2 + n), two(w, h, half, row2 + n + SmallBox::floats(w, half));
  for (int y = 0; y < h + half; y++) {
    if (y < h) {
      const size_t at = n * y;
      rl_ln(r + at, dark, lr + at, w);
      rl_ln(g + at, dark, lg + at, w);
      rl_ln(b + at, dark, lb + at, w);
      one.put(y, lb + at);
      square(lb + at, row2, w);
      two.put(y, row2);
    }
    if (y < half) continue;
    const size_t at = n * (y - half);
    one.mean(y - half, mean);
    two.mean(y - half, mean2);
    markSeeds(r + at, g + at, b + at, zone + at, mean, mean2, most, blue, seed + at, w);
  }
}

void rl_match_sky(const float *lr, const float *lg, const float *lb, const unsigned char *zone,
                  const unsigned char *seed, int w, int h, const float *cells, const rl_sky_limits *limits,
                  unsigned char *sky, double *n, double *sumR, double *sumG, double *sumB, double *scratch) {
  const int gw = (w + RL_SKY_CELL - 1) / RL_SKY_CELL, gh = (h + RL_SKY_CELL - 1) / RL_SKY_CELL;
  const size_t each = static_cast<size_t>(3) * lanes * gw;
  float *row = reinterpret_cast<float *>(scratch + each);
  double *to[3] = {sumR, sumG, sumB};
  for (int j = 0; j < gh; j++) {
    std::fill(scratch, scratch + each, 0.0);
    double *count = n + static_cast<size_t>(gw) * j;
    for (int y = j * RL_SKY_CELL; y < std::min(h, (j + 1) * RL_SKY_CELL); y++) {
      const size_t at = static_cast<size_t>(y) * w;
      if (cells) cellsAt(y, cells, gw, gh, row);
      const Row p = {lr + at, lg + at, lb + at, zone + at, seed + at, sky ? sky + at : nullptr};
      matchRow(p, w, cells ? row : nullptr, gw, *limits, scratch, count);
    }
    for (int i = 0; i < gw; i++)
      for (int c = 0; c < 3; c++) {
        const double *lane = scratch + (static_cast<size_t>(i) * 3 + c) * lanes;
        double s = 0;
        for (int k = 0; k < lanes; k++) s += lane[k];
        to[c][static_cast<size_t>(gw) * j + i] = s;
      }
  }
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
