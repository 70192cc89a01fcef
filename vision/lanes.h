// Eight numbers at once, whether the processor has 256-bit instructions or not: the same
// sums in the same order. Never an argument or a result of a function that is not inlined.
#ifndef ROWLIGHT_LANES_H
#define ROWLIGHT_LANES_H
#include <cstdint>
#include <cstring>

namespace {
const int lanes = 8;
typedef float eight __attribute__((vector_size(4 * lanes), aligned(4), may_alias));
typedef int32_t eightInts __attribute__((vector_size(4 * lanes)));
}  // namespace

// EIGHT is the eight floats from p on.
#define EIGHT(p) (*reinterpret_cast<const eight *>(p))
#define EIGHT_AT(p) (*reinterpret_cast<eight *>(p))
#endif
