#include "turn.h"

#include <cstring>

namespace {
// aside turns rows to columns: `row` is where the first pixel of a stored row goes,
// rowStep how far on the next one's is, the pixels of the stripe's rows lie side by
// side there, in order or, backwards, from its last row to its first.
void aside(const unsigned char *stripe, int rows, int width, unsigned char *row, ptrdiff_t rowStep, bool backwards) {
  const ptrdiff_t line = static_cast<ptrdiff_t>(3) * width;
  const ptrdiff_t step = backwards ? -line : line;
  const unsigned char *first = backwards ? stripe + (rows - 1) * line : stripe;
  for (int x = 0; x < width; x++, row += rowStep, first += 3) {
    const unsigned char *in = first;
    unsigned char *out = row;
    for (int k = 1; k < rows; k++, in += step, out += 3) std::memcpy(out, in, 4);  // the fourth is written over
    std::memcpy(out, in, 3);
  }
}

void mirror(const unsigned char *in, int width, unsigned char *out) {
  for (out += static_cast<size_t>(3) * width; width > 0; width--, in += 3) std::memcpy(out -= 3, in, 3);
}
}  // namespace

void rl_turn(const unsigned char *stripe, int y, int rows, int width, int height, int orientation, unsigned char *upright) {
  const ptrdiff_t line = static_cast<ptrdiff_t>(3) * width, column = static_cast<ptrdiff_t>(3) * height;
  if (orientation >= 5) {
    const bool right = orientation == 6 || orientation == 7;   // the stored top is on the right
    const bool bottom = orientation == 7 || orientation == 8;  // the stored left is at the bottom
    upright += static_cast<ptrdiff_t>(3) * (right ? height - y - rows : y) + (bottom ? (width - 1) * column : 0);
    return aside(stripe, rows, width, upright, bottom ? -column : column, right);
  }
  for (int k = 0; k < rows; k++, stripe += line) {
    unsigned char *out = upright + line * (orientation == 2 ? y + k : height - 1 - y - k);
    if (orientation == 4) {
      std::memcpy(out, stripe, line);
    } else {
      mirror(stripe, width, out);
    }
  }
}
