#include "linear.h"

#include <algorithm>
#include <cstddef>

#include "wide.h"

namespace {
const int chunk = 512;

// binsOf numbers the bins in double, as light of a whole thousandth lies on a bin's edge;
// clamping what has become a whole number keeps the loop free of branches.
WIDE void binsOf(const float *r, const float *g, const float *b, int n, int32_t *out) {
  for (int i = 0; i < n; i++) {
    const float light = 0.2126f * r[i] + 0.7152f * g[i] + 0.0722f * b[i];
    out[i] = std::min(std::max(static_cast<int>(static_cast<double>(light) * RL_LIGHT_BINS), 0), +RL_LIGHT_BINS);
  }
}
}  // namespace

void rl_light_counts(const float *r, const float *g, const float *b, int w, int h, int every, uint32_t *counts) {
  // Neighbours are alike: four tables, so that one count need not wait for the last.
  uint32_t table[4][RL_LIGHT_BINS + 1] = {};
  int32_t at[chunk];
  for (int y = 0; y < h; y += every) {
    const size_t row = static_cast<size_t>(y) * w;
    for (int i = 0; i < w; i += chunk) {
      const int m = std::min(chunk, w - i);
      binsOf(r + row + i, g + row + i, b + row + i, m, at);
      int k = 0;
      for (; k + 3 < m; k += 4) {
        for (int t = 0; t < 4; t++) table[t][at[k + t]]++;
      }
      for (; k < m; k++) table[0][at[k]]++;
    }
  }
  for (int k = 0; k <= RL_LIGHT_BINS; k++) counts[k] += table[0][k] + table[1][k] + table[2][k] + table[3][k];
}
