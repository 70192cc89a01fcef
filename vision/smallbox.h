// Means over small squares of a raster, fewer pixels at its edges, while its rows go by.
#ifndef ROWLIGHT_SMALLBOX_H
#define ROWLIGHT_SMALLBOX_H

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "lanes.h"
#include "wide.h"

namespace {
// A block of a row is worked on at once: four registers of eight.
const int boxBlock = 4 * lanes;
// boxMost is the largest half of a square's side.
const int boxMost = 4;

// boxAcross averages a row over 2 half + 1 pixels, with nothing outside it.
WIDE void boxAcross(const float *a, int half, float k, float *__restrict out, int n) {
  int i = 0;
  const auto one = [&]() {
    float sum = k * a[i];
    for (int d = 1; d <= half; d++) sum = sum + k * (i - d >= 0 ? a[i - d] : 0) + k * (i + d < n ? a[i + d] : 0);
    out[i] = sum;
  };
  for (; i < std::min(half, n); i++) one();
  for (; i + boxBlock + half <= n; i += boxBlock) {
    eight sum[boxBlock / lanes];
    for (int j = 0; j < boxBlock / lanes; j++) sum[j] = k * EIGHT(a + i + lanes * j);
    for (int d = 1; d <= half; d++) {
      for (int j = 0; j < boxBlock / lanes; j++) {
        const float *at = a + i + lanes * j;
        sum[j] = sum[j] + k * EIGHT(at - d) + k * EIGHT(at + d);
      }
    }
    for (int j = 0; j < boxBlock / lanes; j++) EIGHT_AT(out + i + lanes * j) = sum[j];
  }
  for (; i < n; i++) one();
}

// boxDown averages a block of 2 half + 1 rows, given from the middle one on, in pairs.
__attribute__((always_inline)) inline void boxDown(const float *const *rows, size_t at, int half, float k, float *out) {
  eight sum[boxBlock / lanes];
  for (int j = 0; j < boxBlock / lanes; j++) sum[j] = k * EIGHT(rows[0] + at + lanes * j);
  for (int d = 1; d <= half; d++) {
    const float *over = rows[2 * d - 1] + at, *under = rows[2 * d] + at;
    for (int j = 0; j < boxBlock / lanes; j++) sum[j] = sum[j] + k * EIGHT(over + lanes * j) + k * EIGHT(under + lanes * j);
  }
  for (int j = 0; j < boxBlock / lanes; j++) EIGHT_AT(out + lanes * j) = sum[j];
}

// A SmallBox holds 2 half + 1 rows, half at most boxMost, each averaged along itself and with
// room for whole blocks.
class SmallBox {
 public:
  static size_t row(int w) { return static_cast<size_t>((w + boxBlock - 1) / boxBlock) * boxBlock; }

  // floats is how many of them scratch takes.
  static size_t floats(int w, int half) { return static_cast<size_t>(2 * half + 3) * row(w); }

  SmallBox(int w, int h, int half, float *scratch)
      : w_(w), h_(h), half_(half), k_(1.0f / static_cast<float>(2 * half + 1)), zero_(scratch), more_(scratch + row(w)),
        ring_(scratch + 2 * row(w)) {
    std::memset(scratch, 0, floats(w, half) * sizeof *scratch);
    for (int x = 0; x < w; x++) more_[x] = missing(w, std::min(x, w - 1 - x));
  }

  // put takes row y in; rows come in order.
  void put(int y, const float *v) { boxAcross(v, half_, k_, at(y), w_); }

  // Rows are what the means of a row are made of, once the rows up to half under it are in.
  struct Rows {
    const float *of[2 * boxMost + 1];
    float more;  // for the rows that lie outside
  };

  Rows rows(int y) const {
    Rows r;
    r.of[0] = at(y);
    for (int d = 1; d <= half_; d++) {
      r.of[2 * d - 1] = y - d >= 0 ? at(y - d) : zero_;
      r.of[2 * d] = y + d < h_ ? at(y + d) : zero_;
    }
    r.more = missing(h_, std::min(y, h_ - 1 - y));
    return r;
  }

  // mean gives the means of a block from pixel x on, of which those past the row's end mean
  // nothing.
  __attribute__((always_inline)) void mean(const Rows &r, int x, float *out) const {
    boxDown(r.of, static_cast<size_t>(x), half_, k_, out);
    // What lies outside was taken for nothing.
    if (x < half_ || x + boxBlock > w_ - half_)
      for (int i = 0; i < boxBlock; i++) out[i] *= more_[x + i];
    if (r.more != 1)
      for (int i = 0; i < boxBlock; i++) out[i] *= r.more;
  }

 private:
  float *at(int y) const { return ring_ + static_cast<size_t>(y % (2 * half_ + 1)) * row(w_); }

  // missing is how many times a mean is too small that lies d pixels from an end of n.
  float missing(int n, int d) const {
    return static_cast<float>(2 * half_ + 1) / static_cast<float>(std::min(n - 1, d + half_) - std::max(0, d - half_) + 1);
  }

  const int w_, h_, half_;
  const float k_;
  const float *const zero_;
  float *const more_, *const ring_;
};
}  // namespace
#endif
