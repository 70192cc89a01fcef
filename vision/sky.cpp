#include "sky.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>

#include "logarithm.h"
#include "smallbox.h"
#include "wide.h"

namespace {
// Half a cell's row at once. Comparing leaves all bits of an Ints' number set, or none.
typedef float Floats __attribute__((vector_size(4 * lanes)));
typedef int Ints __attribute__((vector_size(4 * lanes)));
typedef double Doubles __attribute__((vector_size(8 * lanes)));

const int side = RL_SKY_CELL;
static_assert(side == 2 * lanes, "a cell is two halves wide");

// slack is more than all that rounding takes off a logarithm of light less another.
const float slack = 1e-4f;

#define INLINE __attribute__((always_inline)) inline

// A Cell is one of a picture's, all rows of which are whole: where its pixels begin, rows
// stride apart.
struct Cell {
  const float *r, *g, *b;
  const unsigned char *zone, *seed;
  size_t stride;
  int rows;
};

// Edge is room for a copy of a cell that the picture's edge cuts.
struct Edge {
  float light[3][side * side];
  unsigned char zone[side * side], seed[side * side];
};

// cellOf is column i's cell of row j; what lies beyond the edge may not be sky.
Cell cellOf(const rl_sky_light &p, int i, int j, Edge *edge) {
  const int x = i * side, y = j * side, n = std::min(side, p.w - x);
  const size_t at = static_cast<size_t>(y) * p.w + x;
  Cell c = {p.r + at, p.g + at, p.b + at, p.zone + at, p.seed + at, static_cast<size_t>(p.w), std::min(side, p.h - y)};
  if (n == side) return c;
  std::memset(edge, 0, sizeof *edge);
  std::memset(edge->zone, 1, sizeof edge->zone);
  for (int row = 0; row < c.rows; row++) {
    const size_t from = row * c.stride, to = static_cast<size_t>(row) * side, bytes = static_cast<size_t>(n);
    std::memcpy(edge->light[0] + to, c.r + from, bytes * sizeof *c.r);
    std::memcpy(edge->light[1] + to, c.g + from, bytes * sizeof *c.g);
    std::memcpy(edge->light[2] + to, c.b + from, bytes * sizeof *c.b);
    std::memcpy(edge->zone + to, c.zone + from, bytes);
    std::memcpy(edge->seed + to, c.seed + from, bytes);
  }
  return {edge->light[0], edge->light[1], edge->light[2], edge->zone, edge->seed, side, c.rows};
}

// bytesAt are numbers that are not 0 where a byte is not: each holds its own byte of four.
INLINE void bytesAt(const unsigned char *v, Ints *out) {
  uint64_t all;
  std::memcpy(&all, v, sizeof all);
  const Ints own = {0xff, 0xff00, 0xff0000, ~0xffffff, 0xff, 0xff00, 0xff0000, ~0xffffff};
#if __BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__
  all = __builtin_bswap64(all);
#endif
  const int a = static_cast<int>(static_cast<uint32_t>(all)), b = static_cast<int>(static_cast<uint32_t>(all >> 32));
  *out = Ints{a, a, a, a, b, b, b, b} & own;
}

// A Half is half a row of a cell: its light's logarithms.
struct Half {
  Floats r, g, b;
};

INLINE void halfAt(const Cell &c, size_t at, Half *h) {
  std::memcpy(&h->r, c.r + at, sizeof h->r);
  std::memcpy(&h->g, c.g + at, sizeof h->g);
  std::memcpy(&h->b, c.b + at, sizeof h->b);
}

// fetch has a row of a cell brought near: a cell's rows lie too far apart for the processor to
// see what comes.
INLINE void fetch(const Cell &c, int y) {
  __builtin_prefetch(c.r + y * c.stride);
  __builtin_prefetch(c.g + y * c.stride);
  __builtin_prefetch(c.b + y * c.stride);
}

// marksAt are the pixels of a half that may be sky (all bits set), and the seeds.
INLINE void marksAt(const Cell &c, size_t at, Ints *may, Ints *seed) {
  bytesAt(c.zone + at, may);
  bytesAt(c.seed + at, seed);
  *may = *may == 0;
  *seed = *seed != 0;
}

// A Row adds up a row's pixels, a Sum a cell's, in lanes.
struct Row {
  Floats r, g, b;
};

struct Sum {
  Doubles r, g, b;
  Ints n;
};

INLINE void add(const Half &h, const Ints &marked, Row *row, Ints *n) {
  row->r += (Floats)(marked & (Ints)h.r);
  row->g += (Floats)(marked & (Ints)h.g);
  row->b += (Floats)(marked & (Ints)h.b);
  *n -= marked;
}

INLINE void add(const Row &row, Sum *s) {
  s->r += __builtin_convertvector(row.r, Doubles);
  s->g += __builtin_convertvector(row.g, Doubles);
  s->b += __builtin_convertvector(row.b, Doubles);
}

double over(const Doubles &v) {
  double s = 0;
  for (int k = 0; k < lanes; k++) s += v[k];
  return s;
}

int over(const Ints &v) {
  int s = 0;
  for (int k = 0; k < lanes; k++) s += v[k];
  return s;
}

void put(const Sum &s, double *out) {
  out[0] = over(s.r);
  out[1] = over(s.g);
  out[2] = over(s.b);
}

// A Range is the least and the most of what is marked, in lanes.
struct Range {
  Floats least, most;
};

INLINE void take(const Floats &v, const Ints &marked, Range *to) {
  const Ints less = (v < to->least) & marked, more = (v > to->most) & marked;
  to->least = (Floats)(((Ints)v & less) | ((Ints)to->least & ~less));
  to->most = (Floats)(((Ints)v & more) | ((Ints)to->most & ~more));
}

void put(const Range &r, float *least, float *most) {
  *least = r.least[0], *most = r.most[0];
  for (int k = 1; k < lanes; k++) *least = std::min(*least, r.least[k]), *most = std::max(*most, r.most[k]);
}

// tellCell tells all that is known of a cell.
WIDE void tellCell(const Cell *cell, Sum *all, Sum *sure, Range *of) {
  const Cell c = *cell;
  Ints mays = {}, seeds = {};
  for (int y = 0; y < c.rows; y++) {
    Row may = {}, seed = {};
    for (int k = 0; k < 2; k++) {
      const size_t at = y * c.stride + lanes * k;
      Half h;
      Ints mayBe, is;
      halfAt(c, at, &h);
      marksAt(c, at, &mayBe, &is);
      take(h.b, mayBe, &of[0]);
      take(h.g - h.b, mayBe, &of[1]);
      take(h.r - h.b, mayBe, &of[2]);
      add(h, mayBe, &may, &mays);
      add(h, is, &seed, &seeds);
    }
    add(may, all);
    add(seed, sure);
  }
  all->n = mays;
  sure->n = seeds;
}

// tell tells a row of cells.
void tell(const rl_sky_light &p, int j, int gw, rl_sky_cell *row) {
  const float far = std::numeric_limits<float>::infinity();
  Edge edge;
  for (int i = 0; i < gw; i++) {
    Sum all = {}, sure = {};
    Range of[3];
    for (Range &r : of) r = {Floats{} + far, Floats{} - far};
    const Cell c = cellOf(p, i, j, &edge);
    tellCell(&c, &all, &sure, of);
    put(all, row[i].all);
    put(sure, row[i].sure);
    for (int k = 0; k < 3; k++) put(of[k], &row[i].least[k], &row[i].most[k]);
    row[i].may = over(all.n);
    row[i].seeds = over(sure.n);
  }
}

int cellsAcross(int n) { return (n + side - 1) / side; }

// cellsAt are a row's cells at a pixel's row: straight from row to row of the cells' middles.
void cellsAt(int y, const float *cells, int gw, int gh, float *__restrict out) {
  const double at = (y + 0.5) / side - 0.5;
  const int y0 = std::min(std::max(static_cast<int>(std::floor(at)), 0), gh - 1), y1 = std::min(y0 + 1, gh - 1);
  const float t = static_cast<float>(std::min(1.0, std::max(0.0, at - y0)));
  const float *a = cells + static_cast<size_t>(3) * gw * y0, *b = cells + static_cast<size_t>(3) * gw * y1;
  for (int i = 0; i < 3 * gw; i++) out[i] = a[i] + t * (b[i] - a[i]);
}

// Bounds hold a cell's pixels less the sky behind them: blue, green over blue, red over blue.
struct Bounds {
  float least[3], most[3];
};

Bounds boundsOf(const rl_sky_cell &c, const float *behind, int i, int j, int gw, int gh) {
  Bounds b;
  for (int k = 0; k < 3; k++) {
    float low = std::numeric_limits<float>::infinity(), high = -low;
    for (int y = std::max(0, j - 1); y <= std::min(gh - 1, j + 1); y++) {
      for (int x = std::max(0, i - 1); x <= std::min(gw - 1, i + 1); x++) {
        const float *at = behind + 3 * (static_cast<size_t>(gw) * y + x), v = k ? at[2 - k] - at[2] : at[2];
        low = std::min(low, v), high = std::max(high, v);
      }
    }
    b.least[k] = c.least[k] - high - slack;
    b.most[k] = c.most[k] - low + slack;
  }
  return b;
}

// Whether a cell's pixels that may be sky are near the sky behind them, or are sky.
enum Answer { no, yes, mixed };

Answer nearBy(const Bounds &b, const rl_sky_limits &m) {
  if (b.most[0] <= m.lowBlue || b.least[0] >= m.highBlue || b.most[1] <= -m.nearGreen || b.least[1] >= m.nearGreen ||
      b.most[2] <= -m.nearRed || b.least[2] >= m.nearRed)
    return no;
  const bool all = b.least[0] > m.lowBlue && b.most[0] < m.highBlue && b.least[1] > -m.nearGreen &&
                   b.most[1] < m.nearGreen && b.least[2] > -m.nearRed && b.most[2] < m.nearRed;
  return all ? yes : mixed;
}

Answer skyBy(const Bounds &b, const rl_sky_limits &m) {
  if (b.most[0] <= m.minBlue || b.least[1] >= m.mostGreen || b.least[2] >= m.mostRed) return no;
  return b.least[0] > m.minBlue && b.most[1] < m.mostGreen && b.most[2] < m.mostRed ? yes : mixed;
}

// Behind is the sky behind a half.
struct Behind {
  Floats r, g, b;
};

// behindAt takes the sky behind a row of a cell's half: between the cell's own middle and the
// next one's in the cell's right half, the one before in its left; before the first middle it
// is as there. row holds three floats a cell.
INLINE void behindAt(const float *row, int i, int gw, int half, Behind *out) {
  const Floats along = {0, 1, 2, 3, 4, 5, 6, 7};
  const int left = std::max(0, half ? i : i - 1), right = std::min(left + 1, gw - 1);
  const float *from = row + 3 * left, *to = row + 3 * right;
  Floats share = (along + (0.5f + static_cast<float>(half ? 0 : lanes))) / side;
  if (i == 0 && half == 0) share = share * 0;
  out->r = from[0] + share * (to[0] - from[0]);
  out->g = from[1] + share * (to[1] - from[1]);
  out->b = from[2] + share * (to[2] - from[2]);
}

template <bool whole>
INLINE void nearIn(const Cell &c, const Cell &next, const float *behind, int i, int gw, const rl_sky_limits &m, Sum *out) {
  Sum sum = {};
  for (int y = 0; y < c.rows; y++, behind += 3 * gw) {
    Row row = {};
    fetch(next, y);
    for (int k = 0; k < 2; k++) {
      const size_t at = y * c.stride + lanes * k;
      Behind sky;
      Half h;
      behindAt(behind, i, gw, k, &sky);
      halfAt(c, at, &h);
      const Floats blue = h.b - sky.b, green = h.g - sky.g - blue, red = h.r - sky.r - blue;
      Ints marked = (blue > m.lowBlue) & (blue < m.highBlue) & (green > -m.nearGreen) & (green < m.nearGreen) &
                    (red > -m.nearRed) & (red < m.nearRed);
      if (!whole) {
        Ints may, seed;
        marksAt(c, at, &may, &seed);
        marked = (marked | seed) & may;
      }
      add(h, marked, &row, &sum.n);
    }
    add(row, &sum);
  }
  *out = sum;
}

// nearCell adds up a cell. Whole: all of it may be sky and it has no seeds. behind holds its
// rows, three floats a cell. next comes next.
WIDE void nearCell(const Cell *c, const Cell *next, bool whole, const float *behind, int i, int gw, const rl_sky_limits m,
                   Sum *sum) {
  if (whole) nearIn<true>(*c, *next, behind, i, gw, m, sum);
  else nearIn<false>(*c, *next, behind, i, gw, m, sum);
}

// skyCell marks a cell's sky, 1 or 0, row by row of the cell.
WIDE void skyCell(const Cell *cell, const Cell *next, const float *behind, int i, int gw, const rl_sky_limits m, int *sky) {
  const Cell c = *cell;
  for (int y = 0; y < c.rows; y++, behind += 3 * gw) {
    fetch(*next, y);
    for (int k = 0; k < 2; k++) {
      const size_t at = y * c.stride + lanes * k;
      Behind here;
      Half h;
      Ints may, seed;
      behindAt(behind, i, gw, k, &here);
      halfAt(c, at, &h);
      marksAt(c, at, &may, &seed);
      const Floats blue = h.b - here.b, green = h.g - here.g - blue, red = h.r - here.r - blue;
      const Ints is = (blue > m.minBlue) & (green < m.mostGreen) & (red < m.mostRed) & may & 1;
      std::memcpy(sky + y * side + lanes * k, &is, sizeof is);
    }
  }
}

// Seeding one row of pixels: what is smooth and blue. Where nothing is blue nothing is asked of
// the means.
WIDE void seedRow(const float *r, const float *g, const float *b, const unsigned char *zone, int w, const SmallBox *one,
                  const SmallBox *two, int y, float most, float blue, unsigned char *seed) {
  const SmallBox::Rows means = one->rows(y), squares = two->rows(y);
  for (int x = 0; x < w; x += boxBlock) {
    const int n = std::min(boxBlock, w - x);
    unsigned char may[boxBlock] = {}, any = 0;
    for (int i = 0; i < n; i++)
      may[i] = static_cast<unsigned char>((zone[x + i] == 0) & (b[x + i] > blue * g[x + i]) & (b[x + i] > blue * r[x + i]));
    for (int i = 0; i < boxBlock; i++) any |= may[i];
    if (any) {
      float mean[boxBlock], mean2[boxBlock];
      one->mean(means, x, mean);
      two->mean(squares, x, mean2);
      for (int i = 0; i < boxBlock; i++) may[i] &= static_cast<unsigned char>(mean2[i] - mean[i] * mean[i] < most);
    }
    std::memcpy(seed + x, may, n);
  }
}

// lightRow takes the logarithms of a row's light, and the square of blue's.
WIDE void lightRow(const float *r, const float *g, const float *b, float dark, int n, float *lr, float *lg, float *lb,
                   float *__restrict square) {
  for (int i = 0; i < n; i++) lr[i] = lnOf(r[i] + dark);
  for (int i = 0; i < n; i++) lg[i] = lnOf(g[i] + dark);
  for (int i = 0; i < n; i++) lb[i] = lnOf(b[i] + dark);
  for (int i = 0; i < n; i++) square[i] = lb[i] * lb[i];
}

// markMay marks what of a cell's row may be sky, markThose what is marked.
WIDE void markMay(const unsigned char *zone, int n, unsigned char *sky) {
  for (int x = 0; x < n; x++) sky[x] = zone[x] == 0;
}

WIDE void markThose(const int *marked, int n, unsigned char *sky) {
  for (int x = 0; x < n; x++) sky[x] = static_cast<unsigned char>(marked[x]);
}

// give puts a number and three sums to a cell.
void give(int number, const double *sums, size_t to, double *n, double *r, double *g, double *b) {
  n[to] = number;
  r[to] = sums[0];
  g[to] = sums[1];
  b[to] = sums[2];
}

// Asked are the cells of row j that are looked at pixel by pixel. It takes scratch for
// the sky behind them and their list.
struct Asked {
  const rl_sky_light &light;
  const int j;
  float *behind;
  int *list, count;
  Edge edge, other;

  Asked(const rl_sky_light &p, int row, int gw, float *scratch)
      : light(p), j(row), behind(scratch), list(reinterpret_cast<int *>(scratch + static_cast<size_t>(3) * side * gw)), count(0) {}

  Cell cell(int k) { return cellOf(light, list[k], j, &edge); }
  Cell next(int k) { return cellOf(light, list[std::min(k + 1, count - 1)], j, &other); }
};

// bandBehind is the sky behind the rows of pixels of a row of cells.
void bandBehind(const rl_sky_light &p, const float *behind, int j, int gw, int gh, float *rows) {
  for (int y = j * side; y < std::min(p.h, (j + 1) * side); y++, rows += 3 * gw) cellsAt(y, behind, gw, gh, rows);
}
}  // namespace

size_t rl_sky_floats(int w, int half) { return SmallBox::row(w) + 2 * SmallBox::floats(w, half); }

void rl_sky_look(const float *r, const float *g, const float *b, float dark, int half, float most, float blue,
                 const rl_sky_light *light, rl_sky_cell *cells, float *scratch) {
  const rl_sky_light &p = *light;
  const int gw = cellsAcross(p.w);
  float *square = scratch, *boxes = square + SmallBox::row(p.w);
  SmallBox one(p.w, p.h, half, boxes), two(p.w, p.h, half, boxes + SmallBox::floats(p.w, half));
  for (int y = 0; y < p.h + half; y++) {
    if (y < p.h) {
      const size_t at = static_cast<size_t>(y) * p.w;
      lightRow(r + at, g + at, b + at, dark, p.w, p.r + at, p.g + at, p.b + at, square);
      one.put(y, p.b + at);
      two.put(y, square);
    }
    const int done = y - half;
    if (done < 0) continue;
    const size_t at = static_cast<size_t>(done) * p.w;
    seedRow(r + at, g + at, b + at, p.zone + at, p.w, &one, &two, done, most, blue, p.seed + at);
    if (done % side == side - 1 || done == p.h - 1) tell(p, done / side, gw, cells + static_cast<size_t>(done / side) * gw);
  }
}

void rl_sky_near(const rl_sky_light *light, const rl_sky_cell *cells, const float *behind, const rl_sky_limits *limits,
                 double *n, double *r, double *g, double *b, float *scratch) {
  const rl_sky_light &p = *light;
  const int gw = cellsAcross(p.w), gh = cellsAcross(p.h);
  for (int j = 0; j < gh; j++) {
    const size_t row = static_cast<size_t>(j) * gw;
    Asked asked(p, j, gw, scratch);
    for (int i = 0; i < gw; i++) {
      const rl_sky_cell &c = cells[row + i];
      switch (behind && c.may ? nearBy(boundsOf(c, behind, i, j, gw, gh), *limits) : no) {
        case no: give(c.seeds, c.sure, row + i, n, r, g, b); break;
        case yes: give(c.may, c.all, row + i, n, r, g, b); break;
        case mixed: asked.list[asked.count++] = i;
      }
    }
    if (asked.count) bandBehind(p, behind, j, gw, gh, asked.behind);
    for (int k = 0; k < asked.count; k++) {
      const int i = asked.list[k];
      const rl_sky_cell &c = cells[row + i];
      const Cell cell = asked.cell(k), next = asked.next(k);
      Sum sum;
      double sums[3];
      nearCell(&cell, &next, c.may == side * side && c.seeds == 0, asked.behind, i, gw, *limits, &sum);
      put(sum, sums);
      give(over(sum.n), sums, row + i, n, r, g, b);
    }
  }
}

void rl_sky_mark(const rl_sky_light *light, const rl_sky_cell *cells, const float *behind, const rl_sky_limits *limits,
                 unsigned char *sky, float *scratch) {
  const rl_sky_light &p = *light;
  const int gw = cellsAcross(p.w), gh = cellsAcross(p.h);
  for (int j = 0; j < gh; j++) {
    const int y0 = j * side, rows = std::min(side, p.h - y0);
    Asked asked(p, j, gw, scratch);
    for (int i = 0; i < gw; i++) {
      const rl_sky_cell &c = cells[static_cast<size_t>(j) * gw + i];
      const Answer is = c.may ? skyBy(boundsOf(c, behind, i, j, gw, gh), *limits) : no;
      if (is == mixed) asked.list[asked.count++] = i;
      for (int y = 0; is == yes && y < rows; y++) {
        const size_t from = static_cast<size_t>(y0 + y) * p.w + i * side;
        markMay(p.zone + from, std::min(side, p.w - i * side), sky + from);
      }
    }
    if (asked.count) bandBehind(p, behind, j, gw, gh, asked.behind);
    for (int k = 0; k < asked.count; k++) {
      const int i = asked.list[k];
      const Cell cell = asked.cell(k), next = asked.next(k);
      int marked[side * side];
      skyCell(&cell, &next, asked.behind, i, gw, *limits, marked);
      for (int y = 0; y < rows; y++)
        markThose(marked + y * side, std::min(side, p.w - i * side), sky + static_cast<size_t>(y0 + y) * p.w + i * side);
    }
  }
}
