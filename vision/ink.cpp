#include "ink.h"

#include <algorithm>

#include "wide.h"

namespace {
const int chunk = 32;

// anyOver0 does not stop at the first, so as to be wide: stretches are short.
WIDE bool anyOver0(const float *v, int n) {
  int any = 0;
  for (int i = 0; i < n; i++) any |= v[i] > 0;
  return any != 0;
}

WIDE void lookUp(const float *amounts, const int32_t *column, int n, float *out) {
  for (int x = 0; x < n; x++) {
    const float a = amounts[column[x]];
    const float b = a > 0 ? a : 0;
    out[x] = b < 1 ? b : 1;
  }
}

// mix leaves each pixel's fourth byte: nothing at most is laid there.
WIDE void mix(uint8_t *bytes, const float *ink, const float *most, const float *amount, int n) {
#pragma GCC ivdep
  for (int x = 0; x < n; x++) {
    for (int k = 0; k < 4; k++) {
      const float under = static_cast<float>(bytes[4 * x + k]);
      bytes[4 * x + k] =
          static_cast<uint8_t>(static_cast<int32_t>(under + (ink[k] - under) * (amount[x] * most[k]) + 0.5f));
    }
  }
}
}  // namespace

void rl_lay_ink(uint8_t *rgba, int n, const float ink[3], float most, const float *amounts, const int32_t *column) {
  const float inks[4] = {ink[0], ink[1], ink[2], 0}, mosts[4] = {most, most, most, 0};
  float amount[chunk];
  for (int x = 0; x < n; x += chunk) {
    const int m = std::min(chunk, n - x);
    const int first = column[x], last = column[x + m - 1];
    if (!anyOver0(amounts + first, last - first + 1)) continue;
    lookUp(amounts, column + x, m, amount);
    mix(rgba + 4 * static_cast<long>(x), inks, mosts, amount, m);
  }
}
