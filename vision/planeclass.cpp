#include "planeclass.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstring>

#include "wide.h"

namespace {
const int lanes = 4;
typedef double four __attribute__((vector_size(8 * lanes)));
typedef int64_t fourMarks __attribute__((vector_size(8 * lanes)));
typedef int fourInts __attribute__((vector_size(4 * lanes)));

const int part = 256;

// placesOf tells for points from `first` on, a multiple of lanes, which class shows each; -1
// where none does.
WIDE void placesOf(const rl_sights *sights, int first, int n, int w, int h, int factor, int *out) {
  const rl_sights s = *sights;
  const four none = {0, 0, 0, 0}, ahead = {0, 1, 2, 3};
  const double wide = w, high = h, by = factor;
  for (int i = 0; i < n; i += lanes) {
    const four k = ahead + static_cast<double>(first + i);
    const four z = s.at[2] + k * s.by[2];
    const four x = (s.fx * ((s.at[0] + k * s.by[0]) / z) + s.cx + 0.5) / by;
    const four y = (s.fy * ((s.at[1] + k * s.by[1]) / z) + s.cy + 0.5) / by;
    const fourMarks in = (z > 0) & (x >= 0) & (y >= 0) & (x < wide) & (y < high);
    // Both are at least 0 there: cutting off is rounding down.
    const fourInts column = __builtin_convertvector(in ? x : none, fourInts);
    const fourInts row = __builtin_convertvector(in ? y : none, fourInts);
    const fourInts place = (row * w + column) | ~__builtin_convertvector(in, fourInts);
    std::memcpy(out + i, &place, sizeof place);
  }
}
}  // namespace

void rl_plane_classes(const rl_sights *sights, int n, const unsigned char *classes, int w, int h, int factor,
                      const unsigned char as[256], unsigned char *out) {
  int places[part];
  for (int from = 0; from < n; from += part) {
    const int count = std::min(part, n - from);
    placesOf(sights, from, count, w, h, factor, places);
    for (int i = 0; i < count; i++) out[from + i] = as[places[i] < 0 ? 255 : classes[places[i]]];
  }
}
