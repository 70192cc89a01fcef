// C face of the loops over every pixel that may be sky (package sideview).
#ifndef ROWLIGHT_SKY_H
#define ROWLIGHT_SKY_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_sum_cells adds up, for each cell of cellPx x cellPx pixels, how many pixels of w x h
// are marked and the three planes' values there; a row of cells is (w + cellPx - 1) /
// cellPx long. n and sums are cleared by the caller.
void rl_sum_cells(const unsigned char *marked, const float *a, const float *b, const float *c, int w, int h,
                  int cellPx, double *n, double *sumA, double *sumB, double *sumC);

// rl_blur_grid convolves a small grid by a symmetric kernel, given whole and of odd
// length, along its rows (down 0) or its columns (down 1), over the kernel's total; outside the grid is nothing.
void rl_blur_grid(const double *v, int w, int h, const double *kernel, int length, int down, double *out);

// rl_spread_cells lays a row of cells of three numbers each out over the n pixels under
// them, cellPx to a cell: straight from each cell's middle to the next.
void rl_spread_cells(const float *cells, int count, int cellPx, float *a, float *b, float *c, int n);

// What rl_match_sky holds a pixel's logarithms of light against: the sky behind it.
typedef struct {
  float minBlue, lowBlue, highBlue, mostGreen, mostRed, nearGreen, nearRed;
} rl_sky_limits;

// rl_match_sky marks, of n pixels where may is 1, those that are sky and those near it (or
// marked in seed). lr, lg, lb are their logarithms, sr, sg, sb the sky's.
void rl_match_sky(const unsigned char *may, const unsigned char *seed, const float *lr, const float *lg,
                  const float *lb, const float *sr, const float *sg, const float *sb, const rl_sky_limits *limits,
                  unsigned char *sky, unsigned char *near, int n);

#ifdef __cplusplus
}
#endif
#endif
