#include "gridblur.h"

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "wide.h"

namespace {
typedef double Four __attribute__((vector_size(32)));

#define INLINE __attribute__((always_inline)) inline

// blurBlocks is blur from column x on, N times four columns at once; it returns the first one
// past them.
template <int N>
INLINE int blurBlocks(const double *a, size_t stride, const double *k, int count, double by, double *out, int x, int n) {
  for (; x + 4 * N <= n; x += 4 * N) {
    Four sum[N] = {};
    for (int j = 0; j < count; j++) {
      for (int i = 0; i < N; i++) {
        Four v;
        std::memcpy(&v, a + static_cast<size_t>(j) * stride + x + 4 * i, sizeof v);
        sum[i] += k[j] * v;
      }
    }
    for (int i = 0; i < N; i++) sum[i] /= by;
    std::memcpy(out + x, sum, sizeof sum);
  }
  return x;
}

// blur adds up count rows that begin stride apart, each scaled by its k, over `by`.
WIDE void blur(const double *a, size_t stride, const double *k, int count, double by, double *out, int n) {
  int x = blurBlocks<4>(a, stride, k, count, by, out, 0, n);
  x = blurBlocks<1>(a, stride, k, count, by, out, x, n);
  for (; x < n; x++) {
    double sum = 0;
    for (int j = 0; j < count; j++) sum += k[j] * a[static_cast<size_t>(j) * stride + x];
    out[x] = sum / by;
  }
}
}  // namespace

void rl_blur_grid(const double *v, int w, int h, const double *kernel, int length, int down, double *out, double *scratch) {
  const int half = length / 2;
  double total = 0;
  for (int j = 0; j < length; j++) total += kernel[j];
  const size_t n = static_cast<size_t>(w);
  if (down) {
    for (int y = 0; y < h; y++) {
      const int first = std::max(0, y - half), end = std::min(h, y + half + 1);
      blur(v + n * first, n, kernel + first - y + half, end - first, total, out + n * y, w);
    }
    return;
  }
  const int reach = std::min(half, w - 1);
  std::fill(scratch, scratch + w + 2 * reach, 0.0);
  for (int y = 0; y < h; y++) {
    std::memcpy(scratch + reach, v + n * y, n * sizeof *v);
    blur(scratch, 1, kernel + half - reach, 2 * reach + 1, total, out + n * y, w);
  }
}
