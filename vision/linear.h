// C face of counting light. Nothing here allocates or fails.
#ifndef ROWLIGHT_LINEAR_H
#define ROWLIGHT_LINEAR_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

enum { RL_LIGHT_BINS = 1000 };

// rl_light_counts adds to counts (RL_LIGHT_BINS + 1 of them, the last for 1 and over) how
// many pixels of every so many-th of h rows of w have a luminance (linear.go) in each bin,
// those under 0 in the first; luminance under a million.
void rl_light_counts(const float *r, const float *g, const float *b, int w, int h, int every, uint32_t *counts);

#ifdef __cplusplus
}
#endif
#endif
