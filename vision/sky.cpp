#include "sky.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

#include "planes.h"
#include "smallbox.h"
#include "wide.h"

namespace {
static_assert(lanes == RL_SKY_LANES, "as many sums as lanes");

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

// Eight pixels at once. Comparing leaves all bits of an Ints' number set, or none.
typedef float Floats __attribute__((vector_size(4 * RL_SKY_LANES)));
typedef int Ints __attribute__((vector_size(4 * RL_SKY_LANES)));
typedef double Doubles __attribute__((vector_size(8 * RL_SKY_LANES)));
typedef unsigned char Bytes __attribute__((vector_size(RL_SKY_LANES)));

// A Row is one of the pixels'.
struct Row {
  const float *lr, *lg, *lb;
  const unsigned char *zone, *seed;
  unsigned char *sky;  // or null
};

// A CellSum adds up a cell, in lanes.
struct CellSum {
  Doubles r, g, b;
  Ints n;
};

// matchRow matches a row of pixels and adds the marked ones up. cells holds three floats a
// cell, or is null: the seeds are marked then.
WIDE void matchRow(const Row p, int w, const float *cells, int count, const rl_sky_limits m, CellSum *sums) {
  const Floats along = {0, 1, 2, 3, 4, 5, 6, 7};
  Floats r = {}, g = {}, b = {};
  Ints n = {};
  for (int x = 0; x < w; x += lanes) {
    Floats lr = {}, lg = {}, lb = {};
    Bytes zone = {}, seed = {};
    const int here = std::min(lanes, w - x);
    if (here == lanes) {
      std::memcpy(&lr, p.lr + x, sizeof lr);
      std::memcpy(&lg, p.lg + x, sizeof lg);
      std::memcpy(&lb, p.lb + x, sizeof lb);
      std::memcpy(&zone, p.zone + x, sizeof zone);
      std::memcpy(&seed, p.seed + x, sizeof seed);
    } else {  // the pixels past the end are no seeds, and may not be sky
      std::memset(&zone, 1, sizeof zone);
      std::memcpy(&lr, p.lr + x, here * sizeof *p.lr);
      std::memcpy(&lg, p.lg + x, here * sizeof *p.lg);
      std::memcpy(&lb, p.lb + x, here * sizeof *p.lb);
      std::memcpy(&zone, p.zone + x, here);
      std::memcpy(&seed, p.seed + x, here);
    }
    const int half = x / lanes;  // of a cell
    Ints marked = __builtin_convertvector(seed, Ints) != 0;
    if (cells) {
      // The sky is between the cell's own middle and the next one's in the cell's right
      // half, the one before in its left; before the first middle it is as there.
      const int left = std::max(0, (half - 1) / 2), right = std::min(left + 1, count - 1);
      const float *from = cells + 3 * left, *to = cells + 3 * right;
      Floats share = (along + (0.5f + static_cast<float>(half % 2 ? 0 : lanes))) / RL_SKY_CELL;
      if (half == 0) share = share * 0;
      const Floats blue = lb - (from[2] + share * (to[2] - from[2]));
      const Floats green = lg - (from[1] + share * (to[1] - from[1])) - blue;
      const Floats red = lr - (from[0] + share * (to[0] - from[0])) - blue;
      const Ints may = __builtin_convertvector(zone, Ints) == 0;
      marked |= (blue > m.lowBlue) & (blue < m.highBlue) & (green > -m.nearGreen) & (green < m.nearGreen) &
                (red > -m.nearRed) & (red < m.nearRed);
      marked &= may;
      if (p.sky) {
        const Ints is = (blue > m.minBlue) & (green < m.mostGreen) & (red < m.mostRed) & may & 1;
        const Bytes sky = __builtin_convertvector(is, Bytes);
        std::memcpy(p.sky + x, &sky, here);
      }
    }
    r += (Floats)(marked & (Ints)lr);
    g += (Floats)(marked & (Ints)lg);
    b += (Floats)(marked & (Ints)lb);
    n -= marked;
    if (half % 2 || x + lanes >= w) {
      CellSum *to = sums + half / 2;
      to->r += __builtin_convertvector(r, Doubles);
      to->g += __builtin_convertvector(g, Doubles);
      to->b += __builtin_convertvector(b, Doubles);
      to->n += n;
      r = g = b = Floats{};
      n = Ints{};
    }
  }
}

// over adds up lanes.
double over(const Doubles &v) {
  double s = 0;
  for (int k = 0; k < lanes; k++) s += v[k];
  return s;
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

size_t rl_sky_floats(int w, int half) { return 3 * SmallBox::row(w) + 2 * SmallBox::floats(w, half); }

void rl_sky_light(const float *r, const float *g, const float *b, const unsigned char *zone, int w, int h, float dark,
                  int half, float most, float blue, float *lr, float *lg, float *lb, unsigned char *seed,
                  float *scratch) {
  const size_t n = static_cast<size_t>(w);
  float *mean = scratch, *mean2 = mean + SmallBox::row(w), *row2 = mean2 + SmallBox::row(w);
  SmallBox one(w, h, half, row2 + SmallBox::row(w)), two(w, h, half, row2 + SmallBox::row(w) + SmallBox::floats(w, half));
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
    const SmallBox::Rows a = one.rows(y - half), c = two.rows(y - half);
    for (int x = 0; x < w; x += boxBlock) one.mean(a, x, mean + x), two.mean(c, x, mean2 + x);
    markSeeds(r + at, g + at, b + at, zone + at, mean, mean2, most, blue, seed + at, w);
  }
}

void rl_match_sky(const float *lr, const float *lg, const float *lb, const unsigned char *zone,
                  const unsigned char *seed, int w, int h, const float *cells, const rl_sky_limits *limits,
                  unsigned char *sky, double *n, double *sumR, double *sumG, double *sumB, double *scratch) {
  const int gw = (w + RL_SKY_CELL - 1) / RL_SKY_CELL, gh = (h + RL_SKY_CELL - 1) / RL_SKY_CELL;
  const size_t skew = reinterpret_cast<size_t>(scratch) % alignof(CellSum);
  CellSum *sums = reinterpret_cast<CellSum *>(reinterpret_cast<char *>(scratch) + (skew ? alignof(CellSum) - skew : 0));
  float *row = reinterpret_cast<float *>(sums + gw);
  for (int j = 0; j < gh; j++) {
    std::memset(static_cast<void *>(sums), 0, gw * sizeof *sums);
    for (int y = j * RL_SKY_CELL; y < std::min(h, (j + 1) * RL_SKY_CELL); y++) {
      const size_t at = static_cast<size_t>(y) * w;
      if (cells) cellsAt(y, cells, gw, gh, row);
      const Row p = {lr + at, lg + at, lb + at, zone + at, seed + at, sky ? sky + at : nullptr};
      matchRow(p, w, cells ? row : nullptr, gw, *limits, sums);
    }
    for (int i = 0; i < gw; i++) {
      const size_t to = static_cast<size_t>(gw) * j + i;
      sumR[to] = over(sums[i].r);
      sumG[to] = over(sums[i].g);
      sumB[to] = over(sums[i].b);
      for (int k = 0; k < lanes; k++) n[to] += sums[i].n[k];
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
