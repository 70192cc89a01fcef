// Means over small squares of a raster, fewer pixels at its edges, while its rows go by.
#ifndef ROWLIGHT_SMALLBOX_H
#define ROWLIGHT_SMALLBOX_H

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "wide.h"

namespace {
WIDE void timesRow(const float *a, float k, float *__restrict out, int n) {
  for (int i = 0; i < n; i++) out[i] = k * a[i];
}

WIDE void addBoth(const float *a, const float *b, float k, float *__restrict out, int n) {
  for (int i = 0; i < n; i++) out[i] = out[i] + k * a[i] + k * b[i];
}

WIDE void scaleRow(float *v, float k, int n) {
  for (int i = 0; i < n; i++) v[i] *= k;
}

class SmallBox {
 public:
  // floats is how many of them scratch takes.
  static size_t floats(int w, int half) { return static_cast<size_t>(2 * half + 3) * w + 2 * half; }

  SmallBox(int w, int h, int half, float *scratch)
      : w_(w), h_(h), half_(half), k_(1.0f / static_cast<float>(2 * half + 1)), zero_(scratch), row_(scratch + w),
        ring_(scratch + 2 * w + 2 * half) {
    std::memset(scratch, 0, floats(w, half) * sizeof *scratch);
  }

  // put takes row y in; rows come in order.
  void put(int y, const float *v) {
    std::memcpy(row_ + half_, v, w_ * sizeof *v);  // zeros at either end
    float *out = at(y);
    timesRow(row_ + half_, k_, out, w_);
    for (int d = 1; d <= half_; d++) addBoth(row_ + half_ - d, row_ + half_ + d, k_, out, w_);
  }

  // mean gives row y once the rows up to y + half are in.
  void mean(int y, float *out) const {
    timesRow(at(y), k_, out, w_);
    for (int d = 1; d <= half_; d++)
      addBoth(y - d >= 0 ? at(y - d) : zero_, y + d < h_ ? at(y + d) : zero_, k_, out, w_);
    for (int d = 0; d < half_; d++) {  // what lies outside was taken for nothing
      if (2 * d < w_) {
        const float more = missing(w_, d);
        out[d] *= more;
        if (w_ - 1 - d > d) out[w_ - 1 - d] *= more;
      }
      if (2 * d < h_ && (y == d || (y == h_ - 1 - d && y > d))) scaleRow(out, missing(h_, d), w_);
    }
  }

 private:
  float *at(int y) const { return ring_ + static_cast<size_t>(y % (2 * half_ + 1)) * w_; }

  float missing(int n, int d) const {
    return static_cast<float>(2 * half_ + 1) / static_cast<float>(std::min(n - 1, d + half_) - std::max(0, d - half_) + 1);
  }

  const int w_, h_, half_;
  const float k_;
  const float *const zero_;
  float *const row_, *const ring_;
};
}  // namespace
#endif
