#include "smooth.h"

#include <algorithm>
#include <cstring>

#include "lanes.h"
#include "logarithm.h"
#include "wide.h"

namespace {
// A block of a row is worked on at once: four registers of eight.
const int block = 4 * lanes;

// What of a block's neighbourhood, itself and the blocks at its sides, is marked.
enum : uint8_t { none, some, all };

int blocksOf(int w) { return (w + block - 1) / block; }
size_t rowOf(int w) { return static_cast<size_t>(blocksOf(w)) * block; }

// across convolves a row along itself; around it lie zeros, as far as the kernel reaches.
// whole is what comes out of a row of marks where all is marked; null works that out too.
WIDE void across(const float *a, const uint8_t *state, int blocks, const float *kernel, int reach, const float *whole,
                 float *out) {
  for (int b = 0; b < blocks; b++, a += block, out += block) {
    if (state[b] == none) {
      std::memset(out, 0, block * sizeof *out);
      continue;
    }
    if (whole && state[b] == all) {
      for (int i = 0; i < block; i++) out[i] = *whole;
      continue;
    }
    eight sum[block / lanes];
    for (int i = 0; i < block / lanes; i++) sum[i] = kernel[0] * EIGHT(a + lanes * i);
    for (int k = 1; k <= reach; k++) {
      const float *l = a - k, *r = a + k;
      for (int i = 0; i < block / lanes; i++)
        sum[i] += kernel[k] * (EIGHT(l + lanes * i) + EIGHT(r + lanes * i));
    }
    for (int i = 0; i < block / lanes; i++) EIGHT_AT(out + lanes * i) = sum[i];
  }
}

// down convolves 2 reach + 1 rows into one.
WIDE void down(const float *const *rows, const uint8_t *state, int blocks, const float *kernel, int reach, float *out) {
  for (int b = 0; b < blocks; b++) {
    if (state[b] == none) continue;
    const size_t at = static_cast<size_t>(b) * block;
    eight sum[block / lanes];
    for (int i = 0; i < block / lanes; i++) sum[i] = kernel[0] * EIGHT(rows[reach] + at + lanes * i);
    for (int k = 1; k <= reach; k++) {
      const float *u = rows[reach - k] + at, *d = rows[reach + k] + at;
      for (int i = 0; i < block / lanes; i++)
        sum[i] += kernel[k] * (EIGHT(u + lanes * i) + EIGHT(d + lanes * i));
    }
    for (int i = 0; i < block / lanes; i++) EIGHT_AT(out + at + lanes * i) = sum[i];
  }
}

WIDE void marks(const uint8_t *mask, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = mask[i];
}

WIDE void times(const float *a, float k, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = k * a[i];
}

WIDE void add(const float *a, float k, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] += k * a[i];
}

WIDE void masked(const float *marked, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] *= marked[i];
}

// over divides by how much of the marked was in reach, 0 where next to nothing was.
WIDE void over(const float *part, float *v, int n) {
  for (int i = 0; i < n; i++) v[i] = part[i] > 1e-4f ? v[i] / part[i] : 0;
}

WIDE void ln(float *v, float above, int n) {
  for (int i = 0; i < n; i++) v[i] = lnOf(v[i] + above);
}

// own tells what of each block itself is marked, and marked what of it and its neighbours.
void statesOf(const uint8_t *mask, int w, uint8_t *own, uint8_t *around) {
  const int blocks = blocksOf(w);
  for (int b = 0; b < blocks; b++) {
    const int n = std::min(block, w - b * block);
    int count = 0;
    for (int i = 0; i < n; i++) count += mask[b * block + i];
    own[b] = count == 0 ? none : count == block ? all : some;
  }
  for (int b = 0; b < blocks; b++) {
    const uint8_t left = b > 0 ? own[b - 1] : none, right = b + 1 < blocks ? own[b + 1] : none;
    around[b] = left == none && own[b] == none && right == none ? none : left == all && own[b] == all && right == all ? all : some;
  }
}

// Work is one call's scratch: for each source, and before them for the mask, the last
// 2 reach + 1 rows convolved along themselves.
struct Work {
  int n, w, h, reach, blocks;
  size_t row;
  float *rings, *padded, *marked, *part, *zeros, *out;
  uint8_t *own, *around, *want, *mixed;
  uint8_t *run;  // of each block the rows, up to the last one taken, about which all is marked; 255 at most

  Work(int n, int w, int h, int reach, float *floats, uint8_t *bytes)
      : n(n), w(w), h(h), reach(reach), blocks(blocksOf(w)), row(rowOf(w)) {
    rings = floats;
    padded = rings + (n + 1) * slots() * row;
    marked = padded + row + 2 * RL_SMOOTH_REACH;
    part = marked + row;
    zeros = part + row;
    out = zeros + row;
    own = bytes;
    around = own + slots() * blocks;
    want = around + slots() * blocks;
    mixed = want + blocks;
    run = mixed + blocks;
    std::fill(run, run + blocks, 0);
    std::fill(padded, padded + row + 2 * RL_SMOOTH_REACH, 0.0f);
    std::fill(zeros, zeros + row, 0.0f);
  }

  int slots() const { return 2 * reach + 1; }
  float *ring(int k, int y) { return rings + (static_cast<size_t>(k) * slots() + y % slots()) * row; }
  uint8_t *ownOf(int y) { return own + static_cast<size_t>(y % slots()) * blocks; }
  uint8_t *aroundOf(int y) { return around + static_cast<size_t>(y % slots()) * blocks; }

  void take(const rl_source *sources, const uint8_t *mask, const float *kernel, int y) {
    const size_t at = static_cast<size_t>(y) * w;
    float *p = padded + RL_SMOOTH_REACH;
    uint8_t *state = aroundOf(y);
    if (mask) {
      statesOf(mask + at, w, ownOf(y), state);
      marks(mask + at, marked, w);
      std::memcpy(p, marked, w * sizeof *p);
      // By the same sums as a block's.
      float whole = kernel[0];
      for (int k = 1; k <= reach; k++) whole += kernel[k] * (1.0f + 1.0f);
      across(p, state, blocks, kernel, reach, &whole, ring(0, y));
    } else {
      std::fill(ownOf(y), ownOf(y) + blocks, all);
      std::fill(state, state + blocks, all);
    }
    for (int b = 0; b < blocks; b++) run[b] = static_cast<uint8_t>(state[b] == all ? std::min(run[b] + 1, 255) : 0);
    for (int k = 0; k < n; k++) {
      const rl_source &s = sources[k];
      bool first = true;
      for (int j = 0; j < RL_SMOOTH_PLANES; j++) {
        if (!s.plane[j]) continue;
        (first ? times : add)(s.plane[j] + at, s.k[j], p, w);
        first = false;
      }
      if (mask) masked(marked, p, w);
      across(p, state, blocks, kernel, reach, nullptr, ring(k + 1, y));
    }
  }

  // judge tells which blocks of a row are wanted, and of which the mask lies only partly
  // in reach. The last row in reach was the last one taken.
  void judge(bool whole, int y) {
    const uint8_t *mine = ownOf(y);
    for (int b = 0; b < blocks; b++) want[b] = mixed[b] = mine[b] == none ? none : some;
    if (whole) {
      std::fill(mixed, mixed + blocks, none);
      return;
    }
    if (y - reach < 0 || y + reach >= h) return;
    for (int b = 0; b < blocks; b++)
      if (run[b] >= slots()) mixed[b] = none;
  }

  void rowsOf(int k, int y, const float **rows) {
    for (int j = -reach; j <= reach; j++) rows[j + reach] = y + j >= 0 && y + j < h ? ring(k, y + j) : zeros;
  }

  void give(const rl_source *sources, const uint8_t *mask, const float *kernel, int y) {
    const float *rows[2 * RL_SMOOTH_REACH + 1];
    judge(!mask, y);
    if (mask) {
      rowsOf(0, y, rows);
      down(rows, mixed, blocks, kernel, reach, part);
    }
    for (int k = 0; k < n; k++) {
      rowsOf(k + 1, y, rows);
      down(rows, want, blocks, kernel, reach, out);
      for (int b = 0; b < blocks; b++) {
        if (want[b] == none) std::fill(out + b * block, out + (b + 1) * block, 0.0f);
        else if (mixed[b] != none) over(part + b * block, out + b * block, block);
      }
      if (sources[k].above > 0) ln(out, sources[k].above, w);
      std::memcpy(sources[k].out + static_cast<size_t>(y) * w, out, w * sizeof *out);
    }
  }
};
}  // namespace

size_t rl_smooth_floats(int n, int w, int reach) {
  return (static_cast<size_t>(n + 1) * (2 * reach + 1) + 5) * rowOf(w) + 2 * RL_SMOOTH_REACH;
}

size_t rl_smooth_bytes(int w, int reach) { return (2 * static_cast<size_t>(2 * reach + 1) + 3) * blocksOf(w); }

void rl_smooth(const rl_source *sources, int n, const uint8_t *mask, int w, int h, const float *kernel, int reach,
               float *floats, uint8_t *bytes) {
  Work work(n, w, h, reach, floats, bytes);
  for (int y = 0; y < h + reach; y++) {
    if (y < h) work.take(sources, mask, kernel, y);
    if (y >= reach) work.give(sources, mask, kernel, y - reach);
  }
}
