#include "tints.h"

#include <algorithm>
#include <cstddef>
#include <limits>

#include "planes.h"
#include "smallbox.h"
#include "wide.h"

namespace {
WIDE void lessRow(const float *a, const float *b, float *__restrict out, int n) {
  for (int i = 0; i < n; i++) out[i] = a[i] - b[i];
}

inline int isGrey(float rg, float bg, const rl_grey &m) {
  return (rg > m.leastRG) & (rg < m.mostRG) & (bg > m.leastBG);
}

WIDE void markLeaf(const float *rg, const float *bg, const unsigned char *zone, const unsigned char *sky, int n,
                   const rl_grey m, unsigned char *__restrict mark) {
  for (int i = 0; i < n; i++)
    mark[i] = static_cast<unsigned char>((zone[i] == RL_ABOVE) & (sky[i] == 0) & (isGrey(rg[i], bg[i], m) == 0));
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

// classAbove classes a row over the horizon alone.
WIDE void classAbove(const float *rg, const float *bg, int n, const rl_grey m, unsigned char *__restrict kind) {
  for (int i = 0; i < n; i++) {
    const int plant = isGrey(rg[i], bg[i], m) ? RL_WOOD : RL_FOLIAGE;
    kind[i] = static_cast<unsigned char>(kind[i] ? static_cast<int>(RL_SKY) : plant);
  }
}

// classRow classes any row: wood and leaf are over 0 where the colours of a pixel under the
// horizon say so.
void classRow(const float *rg, const float *bg, const unsigned char *zone, int n, const rl_split &s,
              const double *wood, const double *leaf, unsigned char *kind) {
  for (int i = 0; i < n; i++) {
    const int z = zone[i];
    if (z == RL_SHEET) {
      kind[i] = RL_BOARD;
    } else if (kind[i]) {
      kind[i] = RL_SKY;
    } else if (z == RL_ABOVE || s.onlyGrey ? isGrey(rg[i], bg[i], s.grey) != 0
                                           : (bg[i] >= s.grey.leastBG) & (wood[i] > 0)) {
      kind[i] = RL_WOOD;
    } else if (z == RL_ABOVE || (z == RL_MIDDLE && leaf[i] > 0)) {
      kind[i] = RL_FOLIAGE;
    } else {
      kind[i] = RL_GROUND;
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
}  // namespace

void rl_tints(float *r, const float *g, float *b, int w, int h, int half, float dark, float *scratch) {
  const size_t n = static_cast<size_t>(w), box = SmallBox::floats(w, half);
  float *lr = scratch, *lg = lr + n, *lb = lg + n, *held = lb + n;
  SmallBox red(w, h, half, held), green(w, h, half, held + box), blue(w, h, half, held + 2 * box);
  for (int y = 0; y < h + half; y++) {
    if (y < h) {
      const size_t at = n * y;
      red.put(y, r + at);
      green.put(y, g + at);
      blue.put(y, b + at);
    }
    if (y < half) continue;
    const size_t at = n * (y - half);
    red.mean(y - half, lr);
    green.mean(y - half, lg);
    blue.mean(y - half, lb);
    rl_ln(lr, dark, lr, w);
    rl_ln(lg, dark, lg, w);
    rl_ln(lb, dark, lb, w);
    lessRow(lr, lg, r + at, w);
    lessRow(lb, lg, b + at, w);
  }
}

void rl_mark_leaf(const float *rg, const float *bg, const unsigned char *zone, const unsigned char *sky, int n,
                  const rl_grey *grey, unsigned char *mark) {
  markLeaf(rg, bg, zone, sky, n, *grey, mark);
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
    if (countMarks(zone + at, w, RL_ABOVE) == w) {
      classAbove(a, b, w, s.grey, kind + at);
      continue;
    }
    woodOf(a, b, w, s, wood);
    leafOf(a, b, w, s, leaf);
    classRow(a, b, zone + at, w, s, wood, leaf, kind + at);
  }
}
