#include "pixels.h"

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "wide.h"

namespace {
// addRow adds a row of bytes to sums.
WIDE void addRow(const uint8_t *row, uint16_t *sum, size_t n) {
  for (size_t i = 0; i < n; i++) sum[i] = static_cast<uint16_t>(sum[i] + row[i]);
}

// addRows makes sums of as many rows, stride apart.
void addRows(const uint8_t *rows, size_t stride, int count, uint16_t *sum, size_t n) {
  std::memset(sum, 0, n * sizeof *sum);
  for (int k = 0; k < count; k++) addRow(rows + static_cast<size_t>(k) * stride, sum, n);
}

// Blocks of up to widest by widest pixels are averaged some at a time, in the processor's
// nearest cache.
const int widest = 4, together = 64;
typedef uint16_t Chunk[3 * widest * together];

// meansOf makes the means, rounded, of N x N pixels: one for every place that a block could
// begin at, of which few are wanted, but wide loops are quicker than loops that leave out.
// 7282 / 2^16 is a ninth for all sums there can be.
template <int N>
inline __attribute__((always_inline)) void meansOf(const uint8_t *row, size_t stride, int blocks, uint16_t *out) {
  const int n = 3 * N * blocks, last = 3 * (N - 1), pixels = N * N;
  Chunk sum;
  for (int i = 0; i < n; i++) {
    uint16_t s = row[i];
    for (int k = 1; k < N; k++) s = static_cast<uint16_t>(s + row[k * stride + i]);
    sum[i] = s;
  }
  for (int i = 0; i + last < n; i++) {
    uint16_t s = static_cast<uint16_t>(sum[i] + pixels / 2);
    for (int k = 3; k <= last; k += 3) s = static_cast<uint16_t>(s + sum[i + k]);
    out[i] = static_cast<uint16_t>(N == 3 ? static_cast<uint32_t>(s) * 7282 >> 16 : s / pixels);
  }
}

WIDE void means2(const uint8_t *row, size_t stride, int blocks, uint16_t *out) { meansOf<2>(row, stride, blocks, out); }
WIDE void means3(const uint8_t *row, size_t stride, int blocks, uint16_t *out) { meansOf<3>(row, stride, blocks, out); }
WIDE void means4(const uint8_t *row, size_t stride, int blocks, uint16_t *out) { meansOf<4>(row, stride, blocks, out); }

// Means of a block's R, G and B.
struct means {
  uint32_t r, g, b;
};

// across averages sums of columns, a block at a time.
template <typename Put>
void across(const uint16_t *sum, int factor, int outW, Put put) {
  const uint32_t n = static_cast<uint32_t>(factor * factor), half = n / 2;
  for (int x = 0; x < outW; x++, sum += 3 * factor) {
    means m = {half, half, half};
    for (int k = 0; k < factor; k++) {
      m.r += sum[3 * k];
      m.g += sum[3 * k + 1];
      m.b += sum[3 * k + 2];
    }
    put(x, means{m.r / n, m.g / n, m.b / n});
  }
}

// narrow averages a row of blocks of 2 to 4 pixels a side.
template <typename Put>
void narrow(const uint8_t *rgb, size_t stride, int factor, int outW, Put put) {
  Chunk mean;
  for (int x = 0; x < outW; x += together, rgb += 3 * static_cast<size_t>(factor) * together) {
    const int blocks = std::min(together, outW - x);
    (factor == 2 ? means2 : factor == 3 ? means3 : means4)(rgb, stride, blocks, mean);
    const uint16_t *m = mean;
    for (int i = 0; i < blocks; i++, m += 3 * factor) put(x + i, means{m[0], m[1], m[2]});
  }
}

// blocksOf averages all blocks, row by row.
template <typename Put>
void blocksOf(const uint8_t *rgb, size_t stride, int factor, int outW, int outH, uint16_t *scratch, Put put) {
  for (int y = 0; y < outH; y++, rgb += stride * factor) {
    const auto here = [&](int x, const means &m) { put(static_cast<size_t>(y) * outW + x, m); };
    if (factor >= 2 && factor <= widest) {
      narrow(rgb, stride, factor, outW, here);
      continue;
    }
    addRows(rgb, stride, factor, scratch, static_cast<size_t>(3) * factor * outW);
    across(scratch, factor, outW, here);
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
  blocksOf(rgb, static_cast<size_t>(stride), factor, outW, outH, scratch, [rgba](size_t at, const means &m) {
    uint8_t *to = rgba + 4 * at;
    to[0] = static_cast<uint8_t>(m.r);
    to[1] = static_cast<uint8_t>(m.g);
    to[2] = static_cast<uint8_t>(m.b);
    to[3] = 255;
  });
}

void rl_reduce_grey(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *grey, uint16_t *scratch) {
  blocksOf(rgb, static_cast<size_t>(stride), factor, outW, outH, scratch, [grey](size_t at, const means &m) {
    grey[at] = static_cast<uint8_t>((m.r * 9798 + m.g * 19235 + m.b * 3735 + (1 << 14)) >> 15);
  });
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
