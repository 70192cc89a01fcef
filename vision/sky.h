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

// What is known of pixels: the logarithms of their light, and where it may be sky (zone 0)
// and surely is (seed).
typedef struct {
  float *r, *g, *b;
  const unsigned char *zone;
  unsigned char *seed;
  int w, h;
} rl_sky_light;

// What is known of a cell's pixels that may be sky.
typedef struct {
  double all[3], sure[3];   // sums of the logarithms of r, g, b: over all, and over the seeds
  float least[3], most[3];  // of the logarithms of b, of g / b, of r / b
  int may, seeds;
} rl_sky_cell;

// rl_sky_look takes the logarithms of light (dark added) and marks the seeds: where zone is
// 0, light is smooth (the variance of ln b over (2 half + 1)^2 pixels, fewer at the edges, is
// under most) and bluer than blue times its green and its red. scratch takes
// rl_sky_floats(w, half) floats.
void rl_sky_look(const float *r, const float *g, const float *b, float dark, int half, float most, float blue,
                 const rl_sky_light *light, rl_sky_cell *cells, float *scratch);
size_t rl_sky_floats(int w, int half);

// What a pixel's logarithms of light, less those of the sky behind it, are held against.
typedef struct {
  float minBlue, lowBlue, highBlue, mostGreen, mostRed, nearGreen, nearRed;
} rl_sky_limits;

// rl_sky_near adds up, by cells, the number and the logarithms of light of the pixels where
// zone is 0 that are near the sky behind them or seeds. behind are the sky's three colours at
// the cells' middles, between which they run straight; null: the seeds alone are added up.
// scratch takes 3 RL_SKY_CELL + 1 floats a cell of a row.
void rl_sky_near(const rl_sky_light *light, const rl_sky_cell *cells, const float *behind, const rl_sky_limits *limits,
                 double *n, double *r, double *g, double *b, float *scratch);

// rl_sky_mark puts 1 to sky, which is clear, for the pixels where zone is 0 that are sky.
void rl_sky_mark(const rl_sky_light *light, const rl_sky_cell *cells, const float *behind, const rl_sky_limits *limits,
                 unsigned char *sky, float *scratch);

#ifdef __cplusplus
}
#endif
#endif
