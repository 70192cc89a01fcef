#include "pixels.h"

#include <cstddef>
#include <cstring>

#include "wide.h"

namespace {
// addRow adds a row of bytes to sums.
WIDE void addRow(const uint8_t *row, uint16_t *sum, size_t n) {
  for (size_t i = 0; i < n; i++) sum[i] = static_cast<uint16_t>(sum[i] + row[i]);
}

// across averages sums of columns into R G B 255.
template <int N>
void across(const uint16_t *sum, int factor, int outW, uint8_t *out) {
  const int f = N > 0 ? N : factor;
  const uint32_t n = static_cast<uint32_t>(f * f), half = n / 2;
  for (int x = 0; x < outW; x++, sum += 3 * f, out += 4) {
    uint32_t r = half, g = half, b = half;
    for (int k = 0; k < f; k++) {
      r += sum[3 * k];
      g += sum[3 * k + 1];
      b += sum[3 * k + 2];
    }
    out[0] = static_cast<uint8_t>(r / n);
    out[1] = static_cast<uint8_t>(g / n);
    out[2] = static_cast<uint8_t>(b / n);
    out[3] = 255;
  }
}

template <int N>
void light(const uint8_t *rgb, int stride, int factor, int outW, int outH, const float *lut, float *r, float *g,
           float *b) {
  const int f = N > 0 ? N : factor;
  const float k = 1.0f / static_cast<float>(f * f);
  for (int y = 0; y < outH; y++) {
    const uint8_t *top = rgb + static_cast<size_t>(y) * f * stride;
    for (int x = 0; x < outW; x++, top += 3 * f) {
      float sr = 0, sg = 0, sb = 0;
      const uint8_t *row = top;
      for (int j = 0; j < f; j++, row += stride) {
        for (int i = 0; i < f; i++) {
          sr += lut[row[3 * i]];
          sg += lut[row[3 * i + 1]];
          sb += lut[row[3 * i + 2]];
        }
      }
      *r++ = sr * k;
      *g++ = sg * k;
      *b++ = sb * k;
    }
  }
}
}  // namespace

void rl_reduce(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *rgba, uint16_t *scratch) {
  const size_t n = static_cast<size_t>(3) * factor * outW;
  for (int y = 0; y < outH; y++) {
    std::memset(scratch, 0, n * sizeof *scratch);
    for (int k = 0; k < factor; k++) addRow(rgb + (static_cast<size_t>(y) * factor + k) * stride, scratch, n);
    uint8_t *out = rgba + static_cast<size_t>(4) * outW * y;
    switch (factor) {
      case 1: across<1>(scratch, factor, outW, out); break;
      case 2: across<2>(scratch, factor, outW, out); break;
      case 3: across<3>(scratch, factor, outW, out); break;
      case 4: across<4>(scratch, factor, outW, out); break;
      default: across<0>(scratch, factor, outW, out);
    }
  }
}

void rl_linear(const uint8_t *rgb, int stride, int factor, int outW, int outH, const float lut[256], float *r,
               float *g, float *b) {
  switch (factor) {
    case 1: return light<1>(rgb, stride, factor, outW, outH, lut, r, g, b);
    case 2: return light<2>(rgb, stride, factor, outW, outH, lut, r, g, b);
    case 3: return light<3>(rgb, stride, factor, outW, outH, lut, r, g, b);
    case 4: return light<4>(rgb, stride, factor, outW, outH, lut, r, g, b);
    case 5: return light<5>(rgb, stride, factor, outW, outH, lut, r, g, b);
    default: return light<0>(rgb, stride, factor, outW, outH, lut, r, g, b);
  }
}
