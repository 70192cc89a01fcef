#include "strips.h"

#include <cmath>
#include <cstddef>
#include <cstring>

#include "planes.h"
#include "wide.h"

namespace {
typedef float F4 __attribute__((vector_size(16)));
typedef double D4 __attribute__((vector_size(32)));
typedef int I4 __attribute__((vector_size(16)));

#define INLINE inline __attribute__((always_inline))

INLINE void load(const float *p, F4 *out) { std::memcpy(out, p, sizeof *out); }

// Named one by one, four numbers are converted by one instruction; __builtin_convertvector
// takes them by halves (GCC 12).
INLINE void toDoubles(const F4 &v, D4 *out) {
  *out = D4{static_cast<double>(v[0]), static_cast<double>(v[1]), static_cast<double>(v[2]), static_cast<double>(v[3])};
}

INLINE void toInts(const D4 &v, I4 *out) {
  *out = I4{static_cast<int>(v[0]), static_cast<int>(v[1]), static_cast<int>(v[2]), static_cast<int>(v[3])};
}

// downTo rounds four numbers down.
INLINE void downTo(const D4 &v, I4 *out) {
  I4 cut;
  toInts(v, &cut);
  const D4 whole = {static_cast<double>(cut[0]), static_cast<double>(cut[1]), static_cast<double>(cut[2]), static_cast<double>(cut[3])};
  const D4 one = {1, 1, 1, 1}, none = {0, 0, 0, 0};
  toInts(whole - (whole > v ? one : none), out);
}

// stretches are the four stretches, one for each width, of a row about one middle.
struct stretches {
  I4 lo, hi;
};

INLINE void about(const D4 &x, const D4 &half, stretches *out) {
  downTo(x - half, &out->lo);
  downTo(x + half, &out->hi);
}

// mean is the mean colour of a stretch, ends included.
INLINE void mean(const float *row, int lo, int hi, const double *per, D4 *out) {
  F4 a, b;
  load(row + 4 * static_cast<size_t>(lo), &a);
  load(row + 4 * static_cast<size_t>(hi + 1), &b);
  D4 d;
  toDoubles(b - a, &d);
  *out = d * per[hi - lo + 1];
}

// spread sums differences of colours over rows.
struct spread {
  D4 s, q;
};

INLINE void clear(spread *s) { s->s = s->q = D4{0, 0, 0, 0}; }

INLINE void add(spread *s, const D4 &d) {
  s->s += d;
  s->q += d * d;
}

// meanError is a mean difference and the squared error of it.
struct meanError {
  D4 mean, square;
};

INLINE void close(const spread &s, double n, meanError *out) {
  out->mean = s.s / n;
  D4 v = s.q / n - out->mean * out->mean;
  v = v > 0 ? v : D4{0, 0, 0, 0};
  out->square = v / (n / 2 - 1);
}

// squares are the differences' squares over those of their errors.
INLINE void squares(const meanError &m, const D4 &least, D4 *out) { *out = m.mean * m.mean / (m.square + least); }

// likeness is how plainly a mean difference shows, colour by colour.
INLINE void likeness(const spread &s, double n, const D4 &least, meanError *m, D4 *plain) {
  close(s, n, m);
  squares(*m, least, plain);
}

INLINE double rootOf(const D4 &k) { return std::sqrt(k[0] + k[1] + k[2]); }

// weakest pools, over the colours, the weakest of three contrasts: a strip's to its left,
// to its right and to what lies before it. One that changes its sign from one neighbour to
// the next is an edge and no strip.
INLINE double weakest(const spread &left, const spread &right, const spread &inner, const spread &before, double n, const D4 &least) {
  meanError l, r, in, be, below;
  D4 kl, kr, kb;
  likeness(left, n, least, &l, &kl);
  likeness(right, n, least, &r, &kr);
  close(inner, n, &in);
  close(before, n, &be);
  below.mean = in.mean - be.mean;
  below.square = in.square + be.square;
  squares(below, least, &kb);
  D4 k = kl < kr ? kl : kr;
  k = k < kb ? k : kb;
  const D4 none = {0, 0, 0, 0};
  k = l.mean * r.mean > 0 ? k : none;
  k = l.mean * below.mean > 0 ? k : none;
  return rootOf(k);
}

// stripRow is where one row of a strip lies, and the row before its foot that stands for it.
struct stripRow {
  double x;
  const float *sum, *low;
};

WIDE void scores(const float *sum, int w, int top, int h, const double *per, const double *place, double perPx,
                 const rl_strip_form &form, double tooFaint, double *score) {
  const double footX = place[0], footY = place[1], topX = place[2], topY = place[3];
  D4 width;
  std::memcpy(&width, place + 4, sizeof width);
  const D4 half = width * form.half * perPx, besideHalf = width * form.besideHalf * perPx, away = width * form.beside;
  stripRow rows[rl_strip_rows];
  for (int j = 0; j < 4; j++) score[j] = -1;
  // Places past what whole numbers hold are none.
  const double farthest = std::fabs(footX) + std::fabs(topX) + width[0] + width[1] + width[2] + width[3];
  for (int k = 0; k < form.rows; k++) {
    const double t = (k + 0.5) / form.rows;
    const double y = (footY + t * (topY - footY) + 0.5) * perPx, lowY = (footY + (0.15 + 0.5 * t) * (footY - topY) + 0.5) * perPx;
    if (!(farthest < 1e8 && y >= top && y < h && lowY >= top && lowY < h)) return;
    rows[k].x = footX + t * (topX - footX);
    rows[k].sum = sum + static_cast<size_t>(static_cast<int>(y) - top) * (w + 1) * 4;
    rows[k].low = sum + static_cast<size_t>(static_cast<int>(lowY) - top) * (w + 1) * 4;
  }
  const double light = form.lightSD * form.lightSD, colour = form.colourSD * form.colourSD;
  const D4 least = {light, colour, colour, 1};
  D4 mids[rl_strip_rows][4];
  spread toLeft[4];
  for (int j = 0; j < 4; j++) clear(&toLeft[j]);
  I4 out = {0, 0, 0, 0};  // -1 where a strip leaves the raster
  for (int k = 0; k < form.rows; k++) {
    const D4 at = {rows[k].x, rows[k].x, rows[k].x, rows[k].x};
    stretches mid, left;
    about((at + 0.5) * perPx, half, &mid);
    about((at - away + 0.5) * perPx, besideHalf, &left);
    out |= (left.lo < 0) | (mid.lo < 0) | (mid.hi >= w) | (left.hi >= w);
    for (int j = 0; j < 4; j++) {
      if (out[j]) continue;
      D4 l;
      mean(rows[k].sum, mid.lo[j], mid.hi[j], per, &mids[k][j]);
      mean(rows[k].sum, left.lo[j], left.hi[j], per, &l);
      add(&toLeft[j], mids[k][j] - l);
    }
  }
  // Most strips are told by then: the weakest contrast is no plainer than this one.
  for (int j = 0; j < 4; j++) {
    if (out[j]) continue;
    meanError m;
    D4 plain;
    likeness(toLeft[j], form.rows, least, &m, &plain);
    if (rootOf(plain) > tooFaint) continue;
    score[j] = 0;
    out[j] = -1;
  }
  if ((out[0] & out[1]) & (out[2] & out[3])) return;
  spread toRight[4], inner[4], before[4];
  for (int j = 0; j < 4; j++) {
    clear(&toRight[j]);
    clear(&inner[j]);
    clear(&before[j]);
  }
  for (int k = 0; k < form.rows; k++) {
    const D4 at = {rows[k].x, rows[k].x, rows[k].x, rows[k].x}, foot = {footX, footX, footX, footX};
    stretches right, low;
    about((at + away + 0.5) * perPx, besideHalf, &right);
    about((foot + 0.5) * perPx, half, &low);
    out |= (right.lo < 0) | (low.lo < 0) | (right.hi >= w) | (low.hi >= w);
    for (int j = 0; j < 4; j++) {
      if (out[j]) continue;
      D4 r, b;
      mean(rows[k].sum, right.lo[j], right.hi[j], per, &r);
      mean(rows[k].low, low.lo[j], low.hi[j], per, &b);
      add(&toRight[j], mids[k][j] - r);
      add(&inner[j], mids[k][j]);
      add(&before[j], b);
    }
  }
  for (int j = 0; j < 4; j++) {
    if (!out[j]) score[j] = weakest(toLeft[j], toRight[j], inner[j], before[j], form.rows, least);
  }
}

void sumRow(const float *light, const float *r, const float *g, const float *b, int w, float *sum) {
  F4 total = {0, 0, 0, 0};
  std::memcpy(sum, &total, sizeof total);
  for (int x = 0; x < w; x++) {
    const F4 next = {light[x], r[x] - g[x], b[x] - g[x], 0};
    total += next;
    std::memcpy(sum + 4 * (static_cast<size_t>(x) + 1), &total, sizeof total);
  }
}

WIDE void lums(const float *r, const float *g, const float *b, int n, float *lum) {
  for (int i = 0; i < n; i++) lum[i] = 0.2126f * r[i] + 0.7152f * g[i] + 0.0722f * b[i];
}
}  // namespace

void rl_row_sums(const float *r, const float *g, const float *b, int w, int h, float dark, float *sum, float *scratch) {
  float *light = scratch, *lr = light + w, *lg = lr + w, *lb = lg + w;
  for (int y = 0; y < h; y++, r += w, g += w, b += w, sum += 4 * (static_cast<size_t>(w) + 1)) {
    lums(r, g, b, w, light);
    rl_ln(light, dark, light, w);
    rl_ln(r, dark, lr, w);
    rl_ln(g, dark, lg, w);
    rl_ln(b, dark, lb, w);
    sumRow(light, lr, lg, lb, w, sum);
  }
}

void rl_strip_scores(const float *sum, int w, int top, int h, const double *per, const double *places, int n, double perPx,
                     const rl_strip_form *form, double tooFaint, double *score) {
  for (int i = 0; i < n; i++) scores(sum, w, top, h, per, places + 8 * static_cast<size_t>(i), perPx, *form, tooFaint, score + 4 * static_cast<size_t>(i));
}
