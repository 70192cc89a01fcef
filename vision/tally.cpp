#include "tally.h"

#include <algorithm>

#include "wide.h"

namespace {
const int chunk = 512;

// bins numbers each value's bin, unmarked ones with the one after the last.
WIDE void binsOf(const float *v, const uint8_t *in, const float *by, float over, float under, int n, float low,
                 float per, int bins, int32_t *out) {
  const float last = static_cast<float>(bins - 1);
  for (int i = 0; i < n; i++) {
    const float t = std::min(std::max((v[i] - low) * per, 0.0f), last);
    const bool wanted = in[i] != 0 && by[i] > over && by[i] < under;
    out[i] = wanted ? static_cast<int32_t>(t) : bins;
  }
}

WIDE void binsOfAll(const float *v, const uint8_t *in, int n, float low, float per, int bins, int32_t *out) {
  const float last = static_cast<float>(bins - 1);
  for (int i = 0; i < n; i++) {
    const float t = std::min(std::max((v[i] - low) * per, 0.0f), last);
    out[i] = in[i] != 0 ? static_cast<int32_t>(t) : bins;
  }
}

WIDE void stepsOf(const float *v, int n, float low, float per, int length, int32_t *out) {
  const float last = static_cast<float>(length - 2);
  for (int i = 0; i < n; i++) {
    const float t = std::min(std::max((v[i] - low) * per, 0.0f), last);
    out[i] = v[i] > low ? static_cast<int32_t>(t) + 1 : 0;
  }
}
WIDE void mark(const float *v, float over, float under, const float *by, float byOver, float byUnder, const uint8_t *in,
               int n, uint8_t *out) {
#pragma GCC ivdep
  for (int i = 0; i < n; i++) {
    const float a = v[i], b = by[i];
    out[i] = static_cast<uint8_t>((in[i] != 0) & (a > over) & (a < under) & (b > byOver) & (b < byUnder));
  }
}

WIDE int sumOf(const uint8_t *v, int n) {
  int sum = 0;
  for (int i = 0; i < n; i++) sum += v[i];
  return sum;
}
}  // namespace

int rl_mark(const float *v, float over, float under, const float *by, float byOver, float byUnder, const uint8_t *in,
            int n, uint8_t *out) {
  mark(v, over, under, by, byOver, byUnder, in, n, out);
  return sumOf(out, n);
}

void rl_tally(const float *v, const uint8_t *in, const float *by, float over, float under, int n, float low,
              float per, int bins, uint32_t *counts) {
  // Neighbours are alike: two tables, so that one count need not wait for the last.
  uint32_t even[RL_TALLY_MOST + 1], odd[RL_TALLY_MOST + 1];
  int32_t at[chunk];
  std::fill(even, even + bins + 1, 0u);
  std::fill(odd, odd + bins + 1, 0u);
  for (int i = 0; i < n; i += chunk) {
    const int m = std::min(chunk, n - i);
    if (by) binsOf(v + i, in + i, by + i, over, under, m, low, per, bins, at);
    else binsOfAll(v + i, in + i, m, low, per, bins, at);
    for (int k = 0; k + 1 < m; k += 2) {
      even[at[k]]++;
      odd[at[k + 1]]++;
    }
    if (m % 2) even[at[m - 1]]++;
  }
  for (int b = 0; b < bins; b++) counts[b] += even[b] + odd[b];
}

void rl_look_up(const float *v, int n, float low, float per, const float *table, int length, float *out) {
  int32_t at[chunk];
  for (int i = 0; i < n; i += chunk) {
    const int m = std::min(chunk, n - i);
    stepsOf(v + i, m, low, per, length, at);
    for (int k = 0; k < m; k++) out[i + k] = table[at[k]];
  }
}
