// C face of the smoothing of small grids (package sideview's cells of sky). Nothing here
// allocates or fails.
#ifndef ROWLIGHT_GRIDBLUR_H
#define ROWLIGHT_GRIDBLUR_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_blur_grid convolves a small grid by a symmetric kernel, given whole and of odd
// length, along its rows (down 0) or its columns (down 1), over the kernel's total; outside the grid is nothing.
// scratch takes 3 w numbers.
void rl_blur_grid(const double *v, int w, int h, const double *kernel, int length, int down, double *out,
                  double *scratch);

#ifdef __cplusplus
}
#endif
#endif
