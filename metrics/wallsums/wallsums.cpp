#include "wallsums.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "../../vision/wide.h"

// Eight sights at once (vision/lanes.h says how and why so).
namespace {
const int lanes = 8;
typedef float F4 __attribute__((vector_size(16)));
typedef float F8 __attribute__((vector_size(4 * lanes), aligned(4), may_alias));
typedef int32_t I8 __attribute__((vector_size(4 * lanes), aligned(4), may_alias));
typedef long long L4 __attribute__((vector_size(32), aligned(4), may_alias));

#define INLINE inline __attribute__((always_inline))
#define AT(p) (*reinterpret_cast<F8 *>(p))
#define OF(p) (*reinterpret_cast<const F8 *>(p))
#define INTS(p) (*reinterpret_cast<const I8 *>(p))
// ONLY is v in the lanes of a mask, 0 in the others.
#define ONLY(mask, v) ((F8)((mask) & (I8)(v)))

const int block = rl_sight_block;

// What a block says: a chance each that something is in the way, and its slopes.
struct answers {
  float chance[block], slope[rl_alley_unknowns][block];
};

// Added and taken off again it leaves a float's next whole number.
const float whole = 12582912.0f;
// At that many times the way from the crown's middle to its surface leaves are 1e-16 of
// those inside; beyond it powers leave a float's range.
const float farthest = 100.0f;
INLINE bool any(const I8 &mask) {
  const L4 m = (L4)mask;
  return ((m[0] | m[1]) | (m[2] | m[3])) != 0;
}

INLINE void pick(const I8 &mask, const F8 &a, const F8 &b, F8 *out) { *out = mask ? a : b; }

// expOf is e^x for x from -80 to 0 (Cephes's expf, Moshier 1992, coefficients from memory).
INLINE void expOf(const F8 &x, F8 *out) {
  const F8 n = (x * 1.44269504088896341f + whole) - whole;
  const F8 r = (x - n * 0.693359375f) - n * -2.12194440e-4f;
  F8 y = r * 1.9875691500e-4f + 1.3981999507e-3f;
  y = y * r + 8.3334519073e-3f;
  y = y * r + 4.1665795894e-2f;
  y = y * r + 1.6666665459e-1f;
  y = y * r + 5.0000001201e-1f;
  y = y * (r * r) + r + 1.0f;
  const I8 two = (__builtin_convertvector(n, I8) + 127) << 23;
  *out = y * (F8)two;
}

INLINE void rootOf(const F8 &x, F8 *out) {
  for (int l = 0; l < lanes; l++) (*out)[l] = std::sqrt(x[l]);
}

// leavesAt is the density of leaves at q from the crown's middle, and an eighth of its
// slope, downward; 0 where the mask is not set.
INLINE void leavesAt(const I8 &in, const F8 &q, F8 *leaf, F8 *thins) {
  const I8 near = in & (q < farthest);
  const F8 held = ONLY(near, q), q2 = held * held, q4 = q2 * q2;
  const F8 l = 1.0f / (1.0f + q4 * q4);
  *leaf = ONLY(near, l);
  *thins = q4 * q2 * held * l * l;
}

// cellsAt fetches the cells of the crown's side that eight heights lie in.
INLINE void cellsAt(const rl_side_cell *side, const I8 &at, F8 *lower, F8 *rise, F8 *form, F8 *formRise) {
  int32_t k[lanes];
  std::memcpy(k, &at, sizeof k);
  F4 c[lanes];
  for (int l = 0; l < lanes; l++) std::memcpy(&c[l], &side[k[l]], sizeof c[l]);
  F4 low[4], high[4];
  for (int h = 0; h < 2; h++) {
    const F4 *p = c + 4 * h;
    const F4 a = __builtin_shufflevector(p[0], p[1], 0, 4, 1, 5), b = __builtin_shufflevector(p[2], p[3], 0, 4, 1, 5);
    const F4 d = __builtin_shufflevector(p[0], p[1], 2, 6, 3, 7), e = __builtin_shufflevector(p[2], p[3], 2, 6, 3, 7);
    F4 *out = h == 0 ? low : high;
    out[0] = __builtin_shufflevector(a, b, 0, 1, 4, 5);
    out[1] = __builtin_shufflevector(a, b, 2, 3, 6, 7);
    out[2] = __builtin_shufflevector(d, e, 0, 1, 4, 5);
    out[3] = __builtin_shufflevector(d, e, 2, 3, 6, 7);
  }
  *lower = __builtin_shufflevector(low[0], high[0], 0, 1, 2, 3, 4, 5, 6, 7);
  *rise = __builtin_shufflevector(low[1], high[1], 0, 1, 2, 3, 4, 5, 6, 7);
  *form = __builtin_shufflevector(low[2], high[2], 0, 1, 2, 3, 4, 5, 6, 7);
  *formRise = __builtin_shufflevector(low[3], high[3], 0, 1, 2, 3, 4, 5, 6, 7);
}

// The places of the unknowns among the slopes; a sight's line stands at left for either row.
enum { depth, length, base, top, perM, low, high, yaw, left, right, sunX, sunY };

// sightWay is how eight sights run to a row.
struct sightWay {
  I8 meets, sinks;
  F8 slope, up, ahead, cellPerM, treePerM;
  F8 lands;  // after so many steps on the ground
};

INLINE void wayOf(const rl_crown &c, const rl_crossing &row, const float *toRight, const float *toUp, sightWay *way) {
  const F8 none = {0}, one = none + 1.0f, toward = (OF(toRight) - c.yaw) * row.side;
  way->meets = toward >= c.leastRight;
  pick(way->meets, toward, one, &way->slope);
  way->up = OF(toUp);
  way->ahead = 1.0f / way->slope;
  way->cellPerM = (2 * c.perHalf * c.cellsPerHalf) * way->up * way->ahead;
  way->treePerM = way->ahead * c.perTree;
  way->sinks = way->up < 0;
  F8 falls;
  pick(way->sinks, way->up * row.stepM, one, &falls);
  pick(way->sinks, -way->slope * c.cameraM / falls, none + 1e9f, &way->lands);
}

// stepIn tells which of them meet leaves in a step, by how many steps before the ground, in
// which cells of the crown's side, and how far along in trees.
INLINE bool stepIn(const rl_crown &c, const rl_crossing &row, const sightWay &way, int i, I8 *in, F8 *over, F8 *cell, F8 *trees) {
  if (row.share[i] <= 0) return false;
  *over = way.lands - row.outSteps[i];
  const F8 h = c.cellAt + way.cellPerM * row.outM[i];
  *in = way.meets & (*over > -0.5f) & (h >= 0) & (h < static_cast<float>(rl_side_cells - 1));
  *cell = ONLY(*in, h);
  *trees = way.treePerM * row.outM[i] - row.firstTrees;
  return any(*in);
}

// openOf is the chance to pass so many metres of a density.
INLINE void openOf(const rl_crown &c, const rl_crossing &row, const sightWay &way, const F8 &density, F8 *metres, F8 *open) {
  rootOf(1.0f + (1.0f + way.up * way.up) * way.ahead * way.ahead, metres);
  *metres *= row.stepM;
  const F8 taken = -c.perM * density * *metres, least = F8{0} - 80.0f;
  expOf(taken > least ? taken : least, open);
}

// sights runs eight sights through a row's crowns.
INLINE void sights(const rl_crown &c, const rl_crossing &row, const float *toRight, const float *toUp, int at, answers *said) {
  const F8 none = {0}, one = none + 1.0f;
  sightWay way;
  wayOf(c, row, toRight, toUp, &way);
  const F8 &up = way.up, &ahead = way.ahead, &lands = way.lands;
  F8 density = none, along1 = none, alongOut = none, along2 = none, side = none, sideOut = none;
  F8 lowForm = none, highForm = none, cutLine = none, cutDepth = none, cutSlope = none;
  for (int i = 0; i < rl_cross_steps; i++) {
    I8 in;
    F8 over, inside, along;
    if (!stepIn(c, row, way, i, &in, &over, &inside, &along)) continue;
    const float out = row.outM[i];
    along = (along - ((along + whole) - whole)) * c.treeLengths;
    const I8 cell = __builtin_convertvector(inside, I8);
    const F8 t = inside - __builtin_convertvector(cell, F8);
    F8 lower, rise, form, formRise, leaf, perQ;
    cellsAt(c.side, cell, &lower, &rise, &form, &formRise);
    leavesAt(in, row.plan[i] + along * along + lower + rise * t, &leaf, &perQ);
    const float share = row.share[i];
    const I8 lies = in & (over < 0.5f);
    if (share < 1 || any(lies)) {
      F8 cut;
      pick(over < 0.5f, over + 0.5f, one, &cut);
      cutLine += leaf * cut * row.lineShare[i];
      cutDepth += leaf * cut * row.depthShare[i];
      const F8 ends = ONLY(lies, leaf * share);
      F8 landed;
      pick(way.sinks, lands, none, &landed);
      cutLine -= ends / row.stepM;
      cutDepth += ends * (row.lineM / row.stepM - landed);
      cutSlope += ends * landed * ahead;
      const F8 counts = share * cut;
      leaf *= counts;
      perQ *= counts;
    }
    density += leaf;
    const F8 formed = perQ * (form + formRise * t);
    const I8 upper = cell >= (rl_side_cells - 1) / 2;
    lowForm += ONLY(~upper, formed);
    highForm += ONLY(upper, formed);
    const F8 rises = perQ * rise;
    side += rises;
    sideOut += rises * out;
    perQ *= along;
    along1 += perQ;
    alongOut += perQ * out;
    along2 += perQ * along;
  }
  const F8 perSide = (2 * c.cellsPerHalf * c.perHalf) * up;
  const F8 moved = -8.0f * (2 * c.perLength * along1 + perSide * side), outward = -8.0f * (2 * c.perLength * alongOut + perSide * sideOut);
  const F8 perH = -8.0f * c.cellsPerHalf * side, perHH = -8.0f * ((c.cellAt - (rl_side_cells - 1) / 2) * side + way.cellPerM * sideOut);
  const F8 level = (1.0f + up * up) * ahead * ahead;
  F8 metres, open;
  openOf(c, row, way, density, &metres, &open);
  AT(said->chance + at) = (1.0f - c.fog) - (1 - 2 * c.fog) * open;
  const F8 by = ((1 - 2 * c.fog) * c.perM) * open * metres;
  const F8 atBase = (perHH - perH) * c.perHalf, atTop = -(perHH + perH) * c.perHalf;
  AT(said->slope[depth] + at) = by * (ahead * (outward - row.lineM * moved) + cutDepth + density);
  AT(said->slope[length] + at) = by * (16.0f * along2);
  AT(said->slope[base] + at) = by * (atBase * c.baseByBase + atTop * c.topByBase);
  AT(said->slope[top] + at) = by * atTop * c.topByTop;
  AT(said->slope[perM] + at) = by * density;
  AT(said->slope[low] + at) = by * -8.0f * lowForm;
  AT(said->slope[high] + at) = by * -8.0f * highForm;
  AT(said->slope[yaw] + at) = by * -row.side * (cutSlope - ahead * (ahead * outward + density * level / (1.0f + level)));
  AT(said->slope[left] + at) = by * (ahead * moved + cutLine) * row.lineMoves;
}

// looks runs eight looks from the floor toward the sun; slopes, if they are asked for, are
// those of the chances.
template <bool slopes>
INLINE void looks(const rl_sun &s, const float *toRight, const float *toAhead, int at, answers *said) {
  const F8 none = {0}, x = OF(toRight), y = OF(toAhead);
  F8 density = none, d[rl_alley_unknowns];
  for (int j = 0; slopes && j < rl_alley_unknowns; j++) d[j] = none;
  for (int k = 0; k < 2; k++) {
    const rl_sun_row &r = s.row[k];
    const F8 foot = (x - s.yaw * y - r.side * r.lineM) * s.perDepth, tree = (y - r.firstM) * s.perTree;
    if (!any((foot + s.left <= s.reach) & (foot + s.right >= -s.reach))) continue;
    F8 across1 = none, across2 = none, acrossUp = none, along1 = none, along2 = none, alongUp = none, atBase = none, atTop = none, form[2] = {none, none};
    for (int i = 0; i < rl_sun_steps; i++) {
      const rl_sun_layer &l = s.layer[i];
      const F8 across = foot + l.across, aside = (F8)((I8)across & 0x7fffffff);
      const I8 in = aside <= s.reach;
      if (!any(in)) continue;
      F8 along = tree + l.trees, leaf, perQ, share;
      along = (along - ((along + whole) - whole)) * s.treeLengths;
      leavesAt(in, across * across + along * along + l.side, &leaf, &perQ);
      const F8 fades = (s.reach - aside) * s.perEdge;
      const I8 fading = fades < 1;
      pick(fading, fades, none + 1.0f, &share);
      density += leaf * share;
      if (!slopes) continue;
      const F8 edge = ONLY(fading, none - s.perEdge), signedEdge = (F8)((I8)edge ^ ((I8)across & ~0x7fffffff & (I8)fading));
      perQ *= -8.0f * share;
      const F8 perX = 2.0f * perQ * across + leaf * signedEdge;
      across1 += perX;
      across2 += perX * across;
      acrossUp += perX * l.steps;
      atBase += perQ * l.sideByBase;
      atTop += perQ * l.sideByTop;
      form[l.high & 1] += perQ * l.form;
      perQ *= along;
      along1 += perQ;
      along2 += perQ * along;
      alongUp += perQ * l.steps;
    }
    if (!slopes) continue;
    const F8 aside = across1 * s.perDepth, asideUp = acrossUp * s.perDepth;
    const F8 onward = 2 * s.perLength * along1, onwardUp = 2 * s.perLength * alongUp;
    const F8 rise = aside * s.sunX + onward * s.sunY, riseUp = asideUp * s.sunX + onwardUp * s.sunY;
    d[depth] -= across2;
    d[length] -= 2.0f * along2;
    d[base] += rise * s.lowBase + riseUp * s.stepBase + atBase;
    d[top] += rise * s.lowTop + riseUp * s.stepTop + atTop;
    d[low] += form[0];
    d[high] += form[1];
    d[yaw] -= aside * y;
    d[left + k] -= aside * (r.side * r.lineMoves);
    d[sunX] += aside * s.lowM + asideUp * s.stepM;
    d[sunY] += onward * s.lowM + onwardUp * s.stepM;
  }
  F8 taken = (-s.perM * s.lengthM) * density, open;
  pick(taken > -80.0f, taken, none - 80.0f, &taken);
  expOf(taken, &open);
  AT(said->chance + at) = (1.0f - s.fog) - (1 - 2 * s.fog) * open;
  if (!slopes) return;
  d[perM] = density;
  d[base] += density * s.perBase;
  d[top] += density * s.perTop;
  d[sunX] += density * s.perX;
  d[sunY] += density * s.perY;
  const F8 by = ((1 - 2 * s.fog) * s.perM * s.lengthM) * open;
  for (int j = 0; j < rl_alley_unknowns; j++) AT(said->slope[j] + at) = d[j] * by;
}

INLINE double sumOf(const F8 &v) {
  const F4 a = __builtin_shufflevector(v, v, 0, 1, 2, 3) + __builtin_shufflevector(v, v, 4, 5, 6, 7);
  return static_cast<double>((a[0] + a[2]) + (a[1] + a[3]));
}

// fold multiplies eight chances into one.
INLINE void fold(const F8 &all, rl_chance *chance) {
  double product = chance->part;
  for (int l = 0; l < lanes; l++) product *= static_cast<double>(all[l]);
  int twos;
  chance->part = std::frexp(product, &twos);
  chance->twos += twos;
}

// countsOf are the lanes from number at on that lie from lo up to hi.
INLINE void countsOf(int at, int lo, int hi, I8 *counts) {
  const I8 number = I8{0, 1, 2, 3, 4, 5, 6, 7} + at;
  *counts = (number >= lo) & (number < hi);
}

// weigh turns the chances of a block, of which those from lo up to hi count, to what they
// weigh in the information and the gradient, and adds to the chance of all that was seen.
INLINE void weigh(const int32_t *blocked, int lo, int hi, const float *chance, float *w, float *off, rl_sums *out) {
  const F8 none = {0}, one = none + 1.0f;
  F8 all = one;
  for (int g = 0; g < block; g += lanes) {
    I8 counts;
    countsOf(g, lo, hi, &counts);
    const I8 is = INTS(blocked + g);
    const F8 p = OF(chance + g), q = 1.0f - p, weight = ONLY(counts, 1.0f / (p * q));
    F8 seen, toward;
    pick(is, p, q, &seen);
    pick(counts, seen, one, &seen);
    all *= seen;  // none is under 0.01
    pick(is, -q, p, &toward);
    AT(w + g) = weight;
    AT(off + g) = weight * toward;
  }
  fold(all, &out->seen);
}

// sum adds a block's slopes to the information (upper half) and the gradient.
template <int count>
INLINE void sum(const answers *said, const float *w, const float *off, rl_sums *out) {
  const int groups = block / lanes;
  for (int j = 0; j < count; j++) {
    const float *v = said->slope[j];
    F8 weighed[groups], pull = {0};
    for (int g = 0; g < groups; g++) {
      const F8 s = OF(v + g * lanes);
      weighed[g] = s * OF(w + g * lanes);
      pull += s * OF(off + g * lanes);
    }
    out->grad[j] += sumOf(pull);
    for (int k = j; k < count; k++) {
      const float *o = said->slope[k];
      F8 both = weighed[0] * OF(o);
      for (int g = 1; g < groups; g++) both += weighed[g] * OF(o + g * lanes);
      out->info[j][k] += sumOf(both);
    }
  }
}

// sightBlock sums the sights of one block, of which those from lo up to hi count.
WIDE void sightBlock(const rl_crown *c, const rl_crossing *row, const float *right, const float *up, const int32_t *blocked, int lo, int hi,
                     rl_sums *out) {
  answers said;
  float w[block], off[block];
  for (int g = 0; g < block; g += lanes) sights(*c, *row, right + g, up + g, g, &said);
  weigh(blocked, lo, hi, said.chance, w, off, out);
  sum<left + 1>(&said, w, off, out);
}

WIDE void lookBlock(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out) {
  answers said;
  float w[block], off[block];
  for (int g = 0; g < block; g += lanes) looks<true>(*s, right + g, ahead + g, g, &said);
  weigh(blocked, 0, n, said.chance, w, off, out);
  sum<rl_alley_unknowns>(&said, w, off, out);
}

WIDE void lookChance(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out) {
  answers said;
  float w[block], off[block];
  for (int g = 0; g < block; g += lanes) looks<false>(*s, right + g, ahead + g, g, &said);
  weigh(blocked, 0, n, said.chance, w, off, out);
}
// pastTree multiplies the chances of eight sights past a tree into all, one for each place
// that it may stand at.
INLINE void pastTree(const rl_crown &c, const rl_crossing &row, const rl_tree &tree, const float *offM, const float *toRight, const float *toUp,
                     const I8 &blocked, const I8 &counts, F8 *all) {
  const F8 none = {0}, one = none + 1.0f;
  sightWay way;
  wayOf(c, row, toRight, toUp, &way);
  F8 density[rl_tree_places];
  for (int p = 0; p < rl_tree_places; p++) density[p] = none;
  for (int i = 0; i < rl_cross_steps; i++) {
    I8 in;
    F8 over, inside, along;
    if (!stepIn(c, row, way, i, &in, &over, &inside, &along)) continue;
    const F8 nearest = (along + whole) - whole;
    along = (along - nearest) * c.treeLengths;
    const I8 cell = __builtin_convertvector(inside, I8), number = __builtin_convertvector(nearest, I8);
    const F8 t = inside - __builtin_convertvector(cell, F8);
    F8 lower, rise, form, formRise, leaf, thins, off = none;
    cellsAt(c.side, cell, &lower, &rise, &form, &formRise);
    const F8 rest = along * along + lower + rise * t;
    const F8 share = row.share[i] * (over < 0.5f ? over + 0.5f : one);
    const I8 its = in & (number == tree.number), others = in & ~its;
    if (any(others)) {
      for (int l = 0; l < lanes; l++) {
        const int32_t k = number[l] - tree.first;
        if (others[l] && k >= 0 && k < tree.count) off[l] = offM[k];
      }
      const F8 across = (row.outM[i] - row.lineM - off) * tree.perDepth;
      leavesAt(others, across * across + rest, &leaf, &thins);
      leaf *= share;
      for (int p = 0; p < rl_tree_places; p++) density[p] += leaf;
    }
    if (!any(its)) continue;
    for (int p = 0; p < rl_tree_places; p++) {
      leavesAt(its, rest + tree.plan[i][p], &leaf, &thins);
      density[p] += leaf * share;
    }
  }
  for (int p = 0; p < rl_tree_places; p++) {
    F8 metres, open;
    openOf(c, row, way, density[p], &metres, &open);
    const F8 ends = (1.0f - c.fog) - (1 - 2 * c.fog) * open, seen = blocked ? ends : 1.0f - ends;
    all[p] *= counts ? seen : one;
  }
}

WIDE void treeBlock(const rl_crown *c, const rl_crossing *row, const rl_tree *tree, const float *offM, const float *right, const float *up,
                    const int32_t *blocked, int lo, int hi, rl_chance *seen) {
  F8 all[rl_tree_places];
  for (int p = 0; p < rl_tree_places; p++) all[p] = F8{0} + 1.0f;
  for (int g = std::max(lo, 0) / lanes * lanes; g < std::min(hi, block); g += lanes) {
    I8 counts;
    countsOf(g, lo, hi, &counts);
    pastTree(*c, *row, *tree, offM, right + g, up + g, INTS(blocked + g), counts, all);
  }
  for (int p = 0; p < rl_tree_places; p++) fold(all[p], &seen[p]);
}

WIDE void leafSums(const float *square, int count, const float *rest, int n, double *sum) {
  const I8 all = {-1, -1, -1, -1, -1, -1, -1, -1};
  for (int i = 0; i < count; i++) {
    F8 leaves = {0}, leaf, thins;
    for (int j = 0; j < n; j += lanes) {
      leavesAt(all, OF(rest + j) + square[i], &leaf, &thins);
      leaves += leaf;
    }
    sum[i] = sumOf(leaves);
  }
}
}  // namespace

void rl_leaf_sums(const float *square, int count, const float *rest, int n, double *sum) { leafSums(square, count, rest, n, sum); }

void rl_sight_sums(const rl_crown *c, const rl_crossing *row, const float *right, const float *up, const int32_t *blocked, int lo,
                   int hi, rl_sums *out) {
  for (int b = lo / block * block; b < hi; b += block) sightBlock(c, row, right + b, up + b, blocked + b, lo - b, hi - b, out);
}

void rl_look_sums(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out) {
  for (int b = 0; b < n; b += block) lookBlock(s, right + b, ahead + b, blocked + b, n - b, out);
}

void rl_look_chance(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out) {
  for (int b = 0; b < n; b += block) lookChance(s, right + b, ahead + b, blocked + b, n - b, out);
}

void rl_tree_chances(const rl_crown *c, const rl_crossing *row, const rl_tree *tree, const float *offM, const float *right, const float *up,
                     const int32_t *blocked, int lo, int hi, rl_chance *seen) {
  for (int b = lo / block * block; b < hi; b += block) treeBlock(c, row, tree, offM, right + b, up + b, blocked + b, lo - b, hi - b, seen);
}
