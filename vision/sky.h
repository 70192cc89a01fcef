// C face of the loops over every pixel that may be sky (package sideview). Pixels lie row
// by row, w x h; nothing here allocates or fails.
#ifndef ROWLIGHT_SKY_H
#define ROWLIGHT_SKY_H
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif

// RL_SKY_CELL is a cell's side in pixels; a row of cells is (w + RL_SKY_CELL - 1) / RL_SKY_CELL long.
#define RL_SKY_CELL 16
// RL_SKY_LANES is how many sums a cell is added up in.
#define RL_SKY_LANES 8

// rl_sky_light takes the logarithms of light (dark added) of w x h pixels and marks the
// seeds: where zone is 0, light is smooth (the variance of ln b over (2 half + 1)^2 pixels,
// fewer at the edges, is under most) and bluer than blue times its green and its red.
// scratch takes rl_sky_floats(w, half) floats.
void rl_sky_light(const float *r, const float *g, const float *b, const unsigned char *zone, int w, int h, float dark,
                  int half, float most, float blue, float *lr, float *lg, float *lb, unsigned char *seed, float *scratch);
size_t rl_sky_floats(int w, int half);

// What a pixel's logarithms of light, less those of the sky behind it, are held against.
typedef struct {
  float minBlue, lowBlue, highBlue, mostGreen, mostRed, nearGreen, nearRed;
} rl_sky_limits;

// rl_match_sky adds up, by cells, the number and the logarithms of light of the pixels
// where zone is 0 that are near the sky behind them or marked in seed; sky (or null) is
// given those that are sky. cells are the sky's three colours at the cells' middles, between
// which they run straight; null: the seeds alone are added up. n is cleared; scratch takes
// 32 RL_SKY_LANES bytes and 3 floats a cell of a row, and 64 bytes more.
void rl_match_sky(const float *lr, const float *lg, const float *lb, const unsigned char *zone,
                  const unsigned char *seed, int w, int h, const float *cells, const rl_sky_limits *limits,
                  unsigned char *sky, double *n, double *sumR, double *sumG, double *sumB, double *scratch);

// rl_blur_grid convolves a small grid by a symmetric kernel, given whole and of odd
// length, along its rows (down 0) or its columns (down 1), over the kernel's total; outside the grid is nothing.
void rl_blur_grid(const double *v, int w, int h, const double *kernel, int length, int down, double *out);

#ifdef __cplusplus
}
#endif
#endif
