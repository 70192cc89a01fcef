#include "pixels.h"

#include <cstddef>
#include <cstring>

#include "wide.h"

namespace {
// addRow adds a row of bytes to sums.
WIDE void addRow(const uint8_t *row, uint16_t *sum, size_t n) {
  for (size_t i = 0; i < n; i++) sum[i] = static_cast<uint16_t>(sum[i] + row[i]);
}

// addFour makes sums of four rows.
WIDE void addFour(const uint8_t *a, const uint8_t *b, const uint8_t *c, const uint8_t *d, uint16_t *sum, size_t n) {
  for (size_t i = 0; i < n; i++) sum[i] = static_cast<uint16_t>(a[i] + b[i] + c[i] + d[i]);
}

WIDE void addThree(const uint8_t *a, const uint8_t *b, const uint8_t *c, uint16_t *sum, size_t n) {
  for (size_t i = 0; i < n; i++) sum[i] = static_cast<uint16_t>(a[i] + b[i] + c[i]);
}

// addRows makes sums of as many rows, stride apart.
void addRows(const uint8_t *rows, size_t stride, int count, uint16_t *sum, size_t n) {
  int k = 0;
  if (count >= 4) {
    addFour(rows, rows + stride, rows + 2 * stride, rows + 3 * stride, sum, n);
    k = 4;
  } else if (count == 3) {
    addThree(rows, rows + stride, rows + 2 * stride, sum, n);
    k = 3;
  } else {
    std::memset(sum, 0, n * sizeof *sum);
  }
  for (; k < count; k++) addRow(rows + static_cast<size_t>(k) * stride, sum, n);
}

// mean3 makes the means of 3 x 3 pixels out of three rows, rounded, one for every place
// that a block could begin at: of which every third is wanted, but wide loops are quicker
// than a loop that leaves out. 7282 / 2^16 is a ninth for all sums there can be.
WIDE void mean3(const uint8_t *row, size_t stride, uint16_t *out, size_t n) {
  addThree(row, row + stride, row + 2 * stride, out, n);
  for (size_t i = 0; i + 6 < n; i++) {
    const uint16_t sum = static_cast<uint16_t>(out[i] + out[i + 3] + out[i + 6] + 4);
    out[i] = static_cast<uint16_t>((static_cast<uint32_t>(sum) * 7282) >> 16);
  }
}

// reduce3 is rl_reduce by 3, what an overlay of 12 megapixels is reduced by.
void reduce3(const uint8_t *rgb, size_t stride, int outW, int outH, uint8_t *rgba, uint16_t *scratch) {
  for (int y = 0; y < outH; y++, rgb += 3 * stride) {
    mean3(rgb, stride, scratch, static_cast<size_t>(9) * outW);
    const uint16_t *mean = scratch;
    for (int x = 0; x < outW; x++, mean += 9, rgba += 4) {
      for (int k = 0; k < 3; k++) rgba[k] = static_cast<uint8_t>(mean[k]);
      rgba[3] = 255;
    }
  }
}

// Means of a block's R, G and B.
struct means {
  uint32_t r, g, b;
};

// across averages sums of columns, a block at a time.
template <int N, typename Put>
inline void across(const uint16_t *sum, int factor, int outW, Put put) {
  const int f = N > 0 ? N : factor;
  const uint32_t n = static_cast<uint32_t>(f * f), half = n / 2;
  for (int x = 0; x < outW; x++, sum += 3 * f) {
    means m = {half, half, half};
    for (int k = 0; k < f; k++) {
      m.r += sum[3 * k];
      m.g += sum[3 * k + 1];
      m.b += sum[3 * k + 2];
    }
    put(x, means{m.r / n, m.g / n, m.b / n});
  }
}

template <typename Put>
void acrossBy(const uint16_t *sum, int factor, int outW, Put put) {
  switch (factor) {
    case 1: return across<1>(sum, factor, outW, put);
    case 2: return across<2>(sum, factor, outW, put);
    case 3: return across<3>(sum, factor, outW, put);
    case 4: return across<4>(sum, factor, outW, put);
    default: return across<0>(sum, factor, outW, put);
  }
}

WIDE void halve(const uint8_t *over, const uint8_t *under, int n, uint8_t *out) {
  for (int x = 0; x < n; x++) out[x] = static_cast<uint8_t>((over[2 * x] + over[2 * x + 1] + under[2 * x] + under[2 * x + 1] + 2) / 4);
}

// addLight adds the light of N pixels of a row. Eight codes are fetched at once, their
// light added in the same order as one by one.
template <int N>
inline void addLight(const uint8_t *row, const float *lut, float *sum) {
#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
  if (N == 3 || N == 4 || N == 5) {
    const int n = 3 * N, rest = n - 8;  // the second eight end where the pixels do
    uint64_t first, second;
    std::memcpy(&first, row, sizeof first);
    std::memcpy(&second, row + rest, sizeof second);
    for (int i = 0; i < 8; i++) sum[i % 3] += lut[first >> (8 * i) & 255];
    for (int i = 8; i < n; i++) sum[i % 3] += lut[second >> (8 * (i - rest)) & 255];
    return;
  }
#endif
  for (int i = 0; i < 3 * N; i++) sum[i % 3] += lut[row[i]];
}

template <int N>
void light(const uint8_t *rgb, int stride, int factor, int outW, int outH, const float *lut, float *r, float *g,
           float *b) {
  const int f = N > 0 ? N : factor;
  const float k = 1.0f / static_cast<float>(f * f);
  for (int y = 0; y < outH; y++) {
    const uint8_t *top = rgb + static_cast<size_t>(y) * f * stride;
    for (int x = 0; x < outW; x++, top += 3 * f) {
      float sum[3] = {0, 0, 0};
      const uint8_t *row = top;
      for (int j = 0; j < f; j++, row += stride) {
        if (N > 0) addLight<N>(row, lut, sum);
        else
          for (int i = 0; i < f; i++) addLight<1>(row + 3 * i, lut, sum);
      }
      *r++ = sum[0] * k;
      *g++ = sum[1] * k;
      *b++ = sum[2] * k;
    }
  }
}
}  // namespace

void rl_reduce(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *rgba, uint16_t *scratch) {
  if (factor == 3) return reduce3(rgb, static_cast<size_t>(stride), outW, outH, rgba, scratch);
  for (int y = 0; y < outH; y++) {
    addRows(rgb + static_cast<size_t>(y) * factor * stride, stride, factor, scratch, static_cast<size_t>(3) * factor * outW);
    uint8_t *out = rgba + static_cast<size_t>(4) * outW * y;
    acrossBy(scratch, factor, outW, [out](int x, const means &m) {
      uint8_t *to = out + 4 * static_cast<size_t>(x);
      to[0] = static_cast<uint8_t>(m.r);
      to[1] = static_cast<uint8_t>(m.g);
      to[2] = static_cast<uint8_t>(m.b);
      to[3] = 255;
    });
  }
}

void rl_reduce_grey(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *grey, uint16_t *scratch) {
  for (int y = 0; y < outH; y++) {
    addRows(rgb + static_cast<size_t>(y) * factor * stride, stride, factor, scratch, static_cast<size_t>(3) * factor * outW);
    uint8_t *out = grey + static_cast<size_t>(outW) * y;
    acrossBy(scratch, factor, outW, [out](int x, const means &m) {
      out[x] = static_cast<uint8_t>((m.r * 9798 + m.g * 19235 + m.b * 3735 + (1 << 14)) >> 15);
    });
  }
}

void rl_halve(const uint8_t *grey, int w, int outW, int outH, uint8_t *out) {
  for (int y = 0; y < outH; y++) {
    const uint8_t *over = grey + static_cast<size_t>(2) * y * w;
    halve(over, over + w, outW, out + static_cast<size_t>(y) * outW);
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
