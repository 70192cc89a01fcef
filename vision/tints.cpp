#include "tints.h"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <limits>

#include "logarithm.h"
#include "smallbox.h"
#include "wide.h"

namespace {
inline int isGrey(float rg, float bg, const rl_grey &m) {
  return (rg > m.leastRG) & (rg < m.mostRG) & (bg > m.leastBG);
}

// chi2 is a colour's squared distance from a cloud's middle in its own spreads.
inline double chi2(float rg, float bg, const rl_cloud &c) {
  const double dr = rg - c.mr, db = bg - c.mb;
  return (c.vb * dr * dr - 2 * c.c * dr * db + c.vr * db * db) / c.det;
}

// likely is a normal density's logarithm, but for a constant.
inline double likely(float rg, float bg, const rl_cloud &c) { return -(chi2(rg, bg, c) + c.lnDet) / 2; }

// The loops over doubles leave doubles, which are over 0 where something holds: so they
// stay as wide as their sums.
WIDE void nearer(const float *rg, const float *bg, int n, const rl_cloud c, double near2, double *__restrict out) {
  for (int i = 0; i < n; i++) out[i] = near2 - chi2(rg[i], bg[i], c);
}

WIDE void likelier(const float *rg, const float *bg, int n, const rl_cloud a, const rl_cloud b, double *__restrict out) {
  for (int i = 0; i < n; i++) out[i] = likely(rg[i], bg[i], a) - likely(rg[i], bg[i], b);
}

WIDE void likelierThanBoth(const float *rg, const float *bg, int n, const rl_cloud a, const rl_cloud b,
                           const rl_cloud c, double *__restrict out) {
  for (int i = 0; i < n; i++)
    out[i] = likely(rg[i], bg[i], a) - std::max(likely(rg[i], bg[i], b), likely(rg[i], bg[i], c));
}

WIDE void overLine(const float *rg, const float *bg, int n, double wr, double wb, double limit, double *__restrict out) {
  for (int i = 0; i < n; i++) out[i] = wr * rg[i] + wb * bg[i] - limit;
}

WIDE void markOver(const double *v, const unsigned char *zone, int n, int of, unsigned char *__restrict mark) {
  for (int i = 0; i < n; i++) mark[i] = static_cast<unsigned char>((v[i] > 0) & (zone[i] == of));
}

WIDE int countMarks(const unsigned char *v, int n, int mark) {
  int count = 0;
  for (int i = 0; i < n; i++) count += v[i] == mark;
  return count;
}

// classRow classes a row but for what is over the horizon: wood and leaf are over 0 where the
// colours of a pixel say so.
void classRow(const float *rg, const float *bg, const unsigned char *zone, int n, const rl_split &s,
              const double *wood, const double *leaf, unsigned char *kind) {
  for (int i = 0; i < n; i++) {
    const int z = zone[i];
    if (z == RL_ABOVE) continue;
    if (z == RL_SHEET) {
      kind[i] = RL_BOARD;
    } else if (s.onlyGrey ? isGrey(rg[i], bg[i], s.grey) != 0 : (bg[i] >= s.grey.leastBG) & (wood[i] > 0)) {
      kind[i] = RL_WOOD;
    } else {
      kind[i] = z == RL_MIDDLE && leaf[i] > 0 ? RL_FOLIAGE : RL_GROUND;
    }
  }
}

// woodOf and leafOf fill what classRow asks.
void woodOf(const float *rg, const float *bg, int n, const rl_split &s, double *out) {
  if (s.onlyGrey) return;
  if (s.hasLeaf) {
    likelierThanBoth(rg, bg, n, s.bark, s.soil, s.leaf, out);
  } else {
    likelier(rg, bg, n, s.bark, s.soil, out);
  }
}

void leafOf(const float *rg, const float *bg, int n, const rl_split &s, double *out) {
  if (!s.leafOnly) {
    overLine(rg, bg, n, s.wr, s.wb, s.limit, out);
  } else if (s.hasLeaf) {
    nearer(rg, bg, n, s.leaf, s.near2, out);
  } else {
    std::fill(out, out + n, 0.0);
  }
}
static_assert(static_cast<int>(RL_BOX_MOST) <= boxMost, "room for a box's rows");

// allSky tells whether a block's kinds all are 1.
inline bool allSky(const unsigned char *kind) {
  uint64_t eightOf[boxBlock / 8], all = ~static_cast<uint64_t>(0);
  std::memcpy(eightOf, kind, sizeof eightOf);
  for (uint64_t v : eightOf) all &= v == 0x0101010101010101 ? all : 0;
  return all != 0;
}

// tintRow writes row y's tints and classes what of it is over the horizon. kind and zone
// begin there.
WIDE void tintRow(const SmallBox *const of[3], int y, int w, float dark, const rl_grey m, const unsigned char *zone,
                  unsigned char *kind, float *r, float *b) {
  const SmallBox::Rows red = of[0]->rows(y), green = of[1]->rows(y), blue = of[2]->rows(y);
  for (int x = 0; x < w; x += boxBlock) {
    const int n = std::min(boxBlock, w - x);
    if (n == boxBlock && allSky(kind + x)) {
      std::memset(kind + x, RL_SKY, boxBlock);
      continue;
    }
    float lr[boxBlock], lg[boxBlock], lb[boxBlock];
    of[0]->mean(red, x, lr);
    of[1]->mean(green, x, lg);
    of[2]->mean(blue, x, lb);
    for (int i = 0; i < boxBlock; i++) lg[i] = lnOf(lg[i] + dark);
    for (int i = 0; i < boxBlock; i++) lr[i] = lnOf(lr[i] + dark) - lg[i];
    for (int i = 0; i < boxBlock; i++) lb[i] = lnOf(lb[i] + dark) - lg[i];
    std::memcpy(r + x, lr, n * sizeof *r);
    std::memcpy(b + x, lb, n * sizeof *b);
    int plant[boxBlock];
    for (int i = 0; i < boxBlock; i++) plant[i] = isGrey(lr[i], lb[i], m) ? RL_WOOD : RL_FOLIAGE;
    unsigned char here[boxBlock], above[boxBlock];
    std::memset(above, RL_MIDDLE, sizeof above);
    std::memcpy(here, kind + x, n);
    std::memcpy(above, zone + x, n);
    for (int i = 0; i < boxBlock; i++) {
      const unsigned char is = static_cast<unsigned char>(here[i] ? static_cast<int>(RL_SKY) : plant[i]);
      here[i] = above[i] == RL_ABOVE ? is : here[i];
    }
    std::memcpy(kind + x, here, n);
  }
}
}  // namespace

size_t rl_tints_floats(int w, int half) { return 3 * SmallBox::floats(w, half); }

void rl_tints(float *r, const float *g, float *b, const unsigned char *zone, int w, int h, int half, float dark,
              const rl_grey *grey, unsigned char *kind, float *scratch) {
  const size_t n = static_cast<size_t>(w), box = SmallBox::floats(w, half);
  SmallBox red(w, h, half, scratch), green(w, h, half, scratch + box), blue(w, h, half, scratch + 2 * box);
  const SmallBox *const of[3] = {&red, &green, &blue};
  for (int y = 0; y < h + half; y++) {
    if (y < h) {
      red.put(y, r + n * y);
      green.put(y, g + n * y);
      blue.put(y, b + n * y);
    }
    if (y < half) continue;
    const size_t at = n * (y - half);
    tintRow(of, y - half, w, dark, *grey, zone + at, kind + at, r + at, b + at);
  }
}

void rl_mark_near(const float *rg, const float *bg, const unsigned char *zone, int n, int of, const rl_cloud *cloud,
                  double near2, unsigned char *mark) {
  const int part = 1024;
  double out[part];
  for (int at = 0; at < n; at += part) {
    const int m = std::min(part, n - at);
    if (!(cloud->det > 0) || countMarks(zone + at, m, of) == 0) {
      std::fill(mark + at, mark + at + m, 0);
      continue;
    }
    nearer(rg + at, bg + at, m, *cloud, near2, out);
    markOver(out, zone + at, m, of, mark + at);
  }
}

int rl_count_marks(const unsigned char *v, int n, int mark) { return countMarks(v, n, mark); }

int rl_every_mark(const unsigned char *v, int n, int mark, int step, int32_t *at, int most) {
  const int part = 64;
  int found = 0, to = step;  // so many marks on comes the next one that is listed
  for (int from = 0; from < n && found < most; from += part) {
    const int end = std::min(n, from + part), count = countMarks(v + from, end - from, mark);
    if (count < to) {
      to -= count;
      continue;
    }
    for (int i = from; i < end && found < most; i++) {
      if (v[i] == mark && --to == 0) {
        at[found++] = i;
        to = step;
      }
    }
  }
  return found;
}

void rl_class_pixels(const float *rg, const float *bg, const unsigned char *zone, int w, int h, const rl_split *split,
                     unsigned char *kind, double *scratch) {
  double *wood = scratch, *leaf = scratch + w;
  rl_split s = *split;
  for (rl_cloud *c : {&s.soil, &s.leaf, &s.bark}) {
    if (c->det > 0) continue;  // no colour is like it, or near it
    c->det = 1;
    c->lnDet = std::numeric_limits<double>::infinity();
    if (c == &s.leaf) s.near2 = -std::numeric_limits<double>::infinity();
  }
  for (int y = 0; y < h; y++) {
    const size_t at = static_cast<size_t>(y) * w;
    const float *a = rg + at, *b = bg + at;
    if (countMarks(zone + at, w, RL_ABOVE) == w) continue;
    woodOf(a, b, w, s, wood);
    leafOf(a, b, w, s, leaf);
    classRow(a, b, zone + at, w, s, wood, leaf, kind + at);
  }
}
