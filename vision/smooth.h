// C face of smoothing over part of a raster. Rasters lie row by row, w x h. Nothing here
// allocates or fails.
#ifndef ROWLIGHT_SMOOTH_H
#define ROWLIGHT_SMOOTH_H
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif

enum { RL_SMOOTH_PLANES = 3, RL_SMOOTH_MOST = 4, RL_SMOOTH_REACH = 32 };

// What is smoothed: the sum of k times plane (those that are there), and where it goes;
// with above over 0 it is ln(smoothed + above) that goes there. out may be a plane of any
// source.
typedef struct {
  const float *plane[RL_SMOOTH_PLANES];
  float k[RL_SMOOTH_PLANES];
  float *out;
  float above;
} rl_source;

// rl_smooth_floats and rl_smooth_bytes are how much scratch rl_smooth wants.
size_t rl_smooth_floats(int n, int w, int reach);
size_t rl_smooth_bytes(int w, int reach);

// rl_smooth takes the mean of n sources over the marked pixels under a symmetric kernel
// that adds up to 1, given from its middle to its end at reach (RL_SMOOTH_REACH at most),
// along rows and columns. What is not marked comes out 0 or what of the mean reaches
// there. Without mask all is marked and nothing lies outside the raster, not even a
// share of the mean.
void rl_smooth(const rl_source *sources, int n, const unsigned char *mask, int w, int h, const float *kernel, int reach,
               float *floats, unsigned char *bytes);

#ifdef __cplusplus
}
#endif
#endif
