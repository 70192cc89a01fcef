#include "ground.h"

#include <algorithm>
#include <cstdint>

#include "wide.h"

namespace {
const int lanes = 4;
typedef double four __attribute__((vector_size(8 * lanes)));
typedef int64_t fourMarks __attribute__((vector_size(8 * lanes)));
typedef float fourFloats __attribute__((vector_size(4 * lanes)));
typedef int fourInts __attribute__((vector_size(4 * lanes)));

// Pixels are done four at a time, and as many of them handed over as there are.
WIDE void ground(const rl_ground_row *row, int n, double reach, double near, double perSide, int across,
                 unsigned char *within, float *area, int *square) {
  const rl_ground_row at = *row;
  const double half = across / 2;
  const four none = {0, 0, 0, 0}, ahead = {0, 1, 2, 3};
  for (int i = 0; i < n; i += lanes) {
    const four x = ahead + static_cast<double>(i), per = 1.0 / (at.w + at.dw * x);
    const four s = at.d * per, u = (at.u + at.du * x) * per, v = (at.v + at.dv * x) * per;
    const four away = s > 0 ? u * u + v * v : none + (reach + near);
    const fourMarks here = away < reach, close = away < near;
    const fourFloats some = __builtin_convertvector(close ? s * s * s * at.area : none, fourFloats);
    // Within near both numbers are at least 0: cutting off is rounding down.
    const fourInts right = __builtin_convertvector(close ? u * perSide + half : none, fourInts);
    const fourInts down = __builtin_convertvector(close ? v * perSide + half : none, fourInts);
    const fourInts number = down * across + right;
    for (int k = 0; k < std::min(lanes, n - i); k++) {
      within[i + k] = here[k] & 1;
      area[i + k] = some[k];
      square[i + k] = number[k];
    }
  }
}
}  // namespace

void rl_ground(const rl_ground_row *row, int n, double reach, double near, double perSide, int across,
               unsigned char *within, float *area, int *square) {
  ground(row, n, reach, near, perSide, across, within, area, square);
}
