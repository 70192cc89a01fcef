#include "angles.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

#include "lanes.h"
#include "wide.h"

namespace {
typedef uint8_t bytes __attribute__((vector_size(lanes)));

#define INLINE inline __attribute__((always_inline))

const double pi = 3.14159265358979323846;
// open is how near to a bin's edge, in bins, a direction is worked out in full: some
// times what the short series and floats are off by at 254 bins.
const float open = 1e-3f;

struct aim {
  float x, y, least, most;
  int count;
  float turn, quarter, c1, c3, c5, c7, c9;  // half a turn, a quarter and the series, in bins
};

// aimed is by Abramowitz and Stegun 1964, 4.4.47, right to 1e-5 rad.
aim aimed(double x, double y, double least, double most, int count) {
  const float per = static_cast<float>(count / (2 * pi)), turn = 0.5f * static_cast<float>(count);
  return {static_cast<float>(x), static_cast<float>(y), static_cast<float>(least), static_cast<float>(most), count, turn, 0.5f * turn,
          0.9998660f * per, -0.3302995f * per, 0.1801410f * per, -0.0851330f * per, 0.0208351f * per};
}

// eightBins finds the bins of eight points: count for those too near or too far, count + 1
// by a bin's edge.
INLINE void eightBins(const float *px, const float *py, const aim &from, uint8_t *out) {
  const eightInts sign = {INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN};
  const eight dx = EIGHT(px) - from.x, dy = EIGHT(py) - from.y, r = dx * dx + dy * dy;
  const eight ax = (eight)((eightInts)dx & ~sign), ay = (eight)((eightInts)dy & ~sign);
  const eightInts steep = ay > ax;
  const eight t = (steep ? ax : ay) / (steep ? ay : ax), s = t * t;
  eight a = t * (from.c1 + s * (from.c3 + s * (from.c5 + s * (from.c7 + s * from.c9))));
  a = steep ? from.quarter - a : a;
  a = dx < 0 ? from.turn - a : a;
  const eight at = (eight)((eightInts)a | ((eightInts)dy & sign)) + from.turn;
  const eightInts bin = __builtin_convertvector(at, eightInts);
  const eight rest = at - __builtin_convertvector(bin, eight);
  const eightInts inside = (rest >= open) & (rest <= 1 - open), meant = (r >= from.least) & (r <= from.most) & (r > 0);
  const eightInts in = inside ? bin : eightInts{} + (from.count + 1);
  const bytes code = __builtin_convertvector(meant ? in : eightInts{} + from.count, bytes);
  std::memcpy(out, &code, sizeof code);
}

WIDE void binsOf(const float *px, const float *py, int n, const aim &at, uint8_t *out) {
  const aim from = at;  // of our own: bytes that are written could be any other's
  int i = 0;
  for (; i + lanes <= n; i += lanes) eightBins(px + i, py + i, from, out + i);
  if (i == n) return;
  float x[lanes] = {}, y[lanes] = {};
  uint8_t last[lanes];
  std::copy(px + i, px + n, x);
  std::copy(py + i, py + n, y);
  eightBins(x, y, from, last);
  std::copy(last, last + n - i, out + i);
}

// tally counts bytes. Neighbours are mostly alike: in turn they count apart, or each would
// wait for the one before it.
void tally(const uint8_t *code, int n, uint32_t *count) {
  uint32_t table[4][256] = {};
  int i = 0;
  for (; i + 8 <= n; i += 8) {
    uint64_t eight;
    std::memcpy(&eight, code + i, sizeof eight);
    for (int k = 0; k < 8; k++) table[k & 3][eight >> 8 * k & 255]++;
  }
  for (; i < n; i++) table[0][code[i]]++;
  for (int b = 0; b < 256; b++) count[b] = table[0][b] + table[1][b] + table[2][b] + table[3][b];
}

// votes counts the points in each bin; by a bin's edge they are worked out in full.
void votes(const double *px, const double *py, const uint8_t *code, int n, double x, double y, int bins, int32_t *votes) {
  uint32_t count[256];
  tally(code, n, count);
  for (int b = 0; b < bins; b++) votes[b] += static_cast<int32_t>(count[b]);
  const uint8_t *at = code;
  for (uint32_t left = count[bins + 1]; left > 0; left--, at++) {
    at = static_cast<const uint8_t *>(std::memchr(at, bins + 1, static_cast<size_t>(code + n - at)));
    const ptrdiff_t i = at - code;
    votes[std::min(static_cast<int>((std::atan2(py[i] - y, px[i] - x) / (2 * pi) + 0.5) * bins), bins - 1)]++;
  }
}
}  // namespace

void rl_angle_votes(const double *px, const double *py, const float *fx, const float *fy, int n, int marks, double x, double y,
                    double least, double most, int bins, uint8_t *scratch, int32_t *all, int32_t *marked) {
  binsOf(fx, fy, n, aimed(x, y, least, most, bins), scratch);
  int32_t with[rl_most_bins] = {};
  votes(px, py, scratch, marks, x, y, bins, with);
  votes(px + marks, py + marks, scratch + marks, n - marks, x, y, bins, all);
  for (int b = 0; b < bins; b++) {
    all[b] += with[b];
    marked[b] += with[b];
  }
}
