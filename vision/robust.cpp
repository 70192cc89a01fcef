#include "robust.h"

#include <algorithm>

#include "lanes.h"
#include "wide.h"

namespace {
// Sums run in eight lanes of a float over so many points, then go to doubles.
const int stretch = 1024;

// sums does whole eights.
WIDE void sums(const float *x, const float *y, int n, float a, float b, float k, double *out) {
  const eight none = {0, 0, 0, 0, 0, 0, 0, 0};
  eight w = none, wx = none, wy = none, wxx = none, wxy = none;
  for (int i = 0; i < n; i += lanes) {
    const eight px = EIGHT(x + i), py = EIGHT(y + i), r = py - (a + b * px);
    const eight weight = 1 / (1 + k * r * r), weighed = weight * px;
    w += weight;
    wx += weighed;
    wy += weight * py;
    wxx += weighed * px;
    wxy += weighed * py;
  }
  for (int i = 0; i < lanes; i++) {
    out[0] += w[i];
    out[1] += wx[i];
    out[2] += wy[i];
    out[3] += wxx[i];
    out[4] += wxy[i];
  }
}

// Bins of a float's size by its bits: so many to each doubling, from the smallest counted.
const int perDoubling = 64, doublings = 32, firstExponent = 127 - 24, dropped = 23 - 6;

WIDE void sizes(const float *x, const float *y, int n, float a, float b, int32_t *out) {
  const int32_t first = firstExponent * perDoubling, last = perDoubling * doublings - 1;
  for (int i = 0; i < n; i++) {
    const float r = y[i] - (a + b * x[i]);
    int32_t bits;
    std::memcpy(&bits, &r, sizeof bits);
    out[i] = std::min(std::max(((bits & 0x7fffffff) >> dropped) - first, 0), last);
  }
}

float startOf(int bin) {
  const int32_t bits = (bin + firstExponent * perDoubling) << dropped;
  float v;
  std::memcpy(&v, &bits, sizeof v);
  return v;
}
}  // namespace

void rl_line_sums(const float *x, const float *y, int n, float a, float b, float k, double out[5]) {
  const int whole = n / lanes * lanes;
  for (int i = 0; i < whole; i += stretch) sums(x + i, y + i, std::min(stretch, whole - i), a, b, k, out);
  for (int i = whole; i < n; i++) {
    const double r = y[i] - (a + b * x[i]), weight = 1 / (1 + k * r * r);
    out[0] += weight;
    out[1] += weight * x[i];
    out[2] += weight * y[i];
    out[3] += weight * x[i] * x[i];
    out[4] += weight * x[i] * y[i];
  }
}

double rl_line_median(const float *x, const float *y, int n, float a, float b) {
  int counts[perDoubling * doublings] = {};
  int32_t at[stretch];
  for (int i = 0; i < n; i += stretch) {
    const int m = std::min(stretch, n - i);
    sizes(x + i, y + i, m, a, b, at);
    for (int k = 0; k < m; k++) counts[at[k]]++;
  }
  int before = 0;
  for (int bin = 0; bin < perDoubling * doublings; bin++) {
    if (n / 2 < before + counts[bin]) {
      const double low = startOf(bin), high = startOf(bin + 1);
      return low + (high - low) * (n / 2 - before + 0.5) / counts[bin];
    }
    before += counts[bin];
  }
  return 0;
}
