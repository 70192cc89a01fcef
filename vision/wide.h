// WIDE makes one copy of a loop for processors with 256-bit instructions and one for
// all; both do the same sums in the same order, so that they give the same bytes.
#ifndef ROWLIGHT_WIDE_H
#define ROWLIGHT_WIDE_H
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif
#endif
