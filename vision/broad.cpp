#include "broad.h"

#include <algorithm>
#include <cstddef>

#include "wide.h"

namespace {
// addMarked adds a row's wanted pixels to sums of columns.
WIDE void addMarked(const unsigned char *in, const float *by, float under, const float *a, float ka, const float *b,
                    float kb, int n, float *counts, float *sums) {
  for (int i = 0; i < n; i++) {
    const float k = in[i] != 0 && by[i] < under ? 1.0f : 0.0f;
    counts[i] += k;
    sums[i] += k * (ka * a[i] + kb * b[i]);
  }
}

void closeCells(const float *columns, int cells, float *out) {
  for (int c = 0; c < cells; c++, columns += RL_CELL) {
    float s = 0;
    for (int i = 0; i < RL_CELL; i++) s += columns[i];
    out[c] = s;
  }
}

WIDE void between(const float *over, const float *under, float t, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = over[i] + t * (under[i] - over[i]);
}

// along lays count steps from one cell's middle to the next's.
WIDE void along(const float *cells, int count, float *out) {
  for (int c = 0; c < count; c++)
    for (int i = 0; i < RL_CELL; i++)
      out[c * RL_CELL + i] = cells[c] + (cells[c + 1] - cells[c]) * ((static_cast<float>(i) + 0.5f) / RL_CELL);
}

WIDE void less(const float *a, const float *b, float *out, int n) {
  for (int i = 0; i < n; i++) out[i] = a[i] - b[i];
}

int cellsOver(int n) { return (n + RL_CELL - 1) / RL_CELL; }
}  // namespace

void rl_cell_sums(const unsigned char *in, const float *by, float under, const float *a, float ka, const float *b, float kb,
                  int w, int h, float *counts, float *sums, float *rows) {
  const int cells = cellsOver(w), wide = cells * RL_CELL;
  for (int y0 = 0; y0 < h; y0 += RL_CELL, counts += cells, sums += cells) {
    std::fill(rows, rows + 2 * static_cast<size_t>(wide), 0.0f);
    for (int y = y0; y < std::min(y0 + RL_CELL, h); y++) {
      const size_t at = static_cast<size_t>(y) * w;
      addMarked(in + at, by + at, under, a + at, ka, b + at, kb, w, rows, rows + wide);
    }
    closeCells(rows, cells, counts);
    closeCells(rows + wide, cells, sums);
  }
}

void rl_spread_row(const float *cells, int cellsW, int cellsH, int y, int w, float *out, float *line) {
  // Rows of cells are half a cell off rows of pixels; one more cell at each end stands still.
  const int lower = (y + RL_CELL / 2) / RL_CELL;
  const float t = (static_cast<float>((y + RL_CELL / 2) % RL_CELL) + 0.5f) / RL_CELL;
  const float *over = cells + static_cast<size_t>(std::max(lower - 1, 0)) * cellsW;
  const float *under = cells + static_cast<size_t>(std::min(lower, cellsH - 1)) * cellsW;
  between(over, under, t, line + 1, cellsW);
  line[0] = line[1];
  line[cellsW + 1] = line[cellsW];
  along(line, cellsOver(w) + 1, out);
}

void rl_less_broad(const float *v, const float *cells, int cellsW, int cellsH, int w, int h, float *out, float *row) {
  float *line = row + w + 2 * RL_CELL;
  for (int y = 0; y < h; y++) {
    const size_t at = static_cast<size_t>(y) * w;
    rl_spread_row(cells, cellsW, cellsH, y, w, row, line);
    less(v + at, row + RL_CELL / 2, out + at, w);
  }
}
