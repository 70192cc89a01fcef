#include "turn.h"

#include <algorithm>
#include <cstdint>
#include <cstring>

#include "wide.h"

#define INLINE inline __attribute__((always_inline))

namespace {
typedef uint8_t bytes __attribute__((vector_size(16)));
typedef uint32_t four __attribute__((vector_size(16)));

const int side = 4;  // of the squares of pixels that are turned at once

// ahead is how many columns on memory is asked for: each goes to a row of its own, whose
// place the processor does not foresee.
const int ahead = 8, cacheLine = 64;

// pixelsAt are four pixels, each in four bytes; 16 bytes are read.
INLINE four pixelsAt(const unsigned char *p) {
  bytes v;
  std::memcpy(&v, p, sizeof v);
  const bytes apart = {0, 1, 2, 3, 3, 4, 5, 6, 6, 7, 8, 9, 9, 10, 11, 12};
  return reinterpret_cast<four>(__builtin_shuffle(v, apart));
}

INLINE bytes closed(four pixels) {
  const bytes close = {0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 15, 15, 15, 15};
  return __builtin_shuffle(reinterpret_cast<bytes>(pixels), close);
}

// square turns four by four pixels; it writes `written` bytes to each row, 12 or, where the
// rest is written over, 16.
INLINE void square(const unsigned char *in, ptrdiff_t step, unsigned char *out, ptrdiff_t rowStep, size_t written) {
  const four lower = {0, 4, 1, 5}, upper = {2, 6, 3, 7}, low = {0, 1, 4, 5}, high = {2, 3, 6, 7};
  const four a = pixelsAt(in), b = pixelsAt(in + step), c = pixelsAt(in + 2 * step), d = pixelsAt(in + 3 * step);
  const four ab = __builtin_shuffle(a, b, lower), cd = __builtin_shuffle(c, d, lower);
  const four ab2 = __builtin_shuffle(a, b, upper), cd2 = __builtin_shuffle(c, d, upper);
  const bytes row[side] = {closed(__builtin_shuffle(ab, cd, low)), closed(__builtin_shuffle(ab, cd, high)),
                           closed(__builtin_shuffle(ab2, cd2, low)), closed(__builtin_shuffle(ab2, cd2, high))};
  for (int k = 0; k < side; k++) std::memcpy(out + k * rowStep, &row[k], written);
}

// squares turns whole squares: so many of columns, and rows.
WIDE void squares(const unsigned char *first, ptrdiff_t step, int rows, int columns, unsigned char *row, ptrdiff_t rowStep) {
  for (int x = 0; x < columns; x += side, first += 3 * side, row += side * rowStep) {
    for (int k = ahead; k < ahead + side && x + k < columns; k++)
      for (int b = 0; b < 3 * rows; b += cacheLine) __builtin_prefetch(row + k * rowStep + b, 1);
    const unsigned char *in = first;
    unsigned char *out = row;
    for (int k = side; k < rows; k += side, in += side * step, out += 3 * side) square(in, step, out, rowStep, 4 * side);
    square(in, step, out, rowStep, 3 * side);
  }
}

// aside turns rows to columns: `row` is where the first pixel of a stored row goes,
// rowStep how far on the next one's is, the pixels of the stripe's rows lie side by
// side there, in order or, backwards, from its last row to its first.
void aside(const unsigned char *stripe, int rows, int width, unsigned char *row, ptrdiff_t rowStep, bool backwards) {
  const ptrdiff_t line = static_cast<ptrdiff_t>(3) * width;
  const ptrdiff_t step = backwards ? -line : line;
  const unsigned char *first = backwards ? stripe + (rows - 1) * line : stripe;
  // The last square of a row would read past the stripe.
  const int squared = rows % side == 0 ? std::max(width - side, 0) / side * side : 0;
  if (squared > 0) squares(first, step, rows, squared, row, rowStep);
  first += 3 * squared;
  row += squared * rowStep;
  for (int x = squared; x < width; x++, row += rowStep, first += 3) {
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
