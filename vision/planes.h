// C face of the loops over rasters of floats. Rasters lie row by row, w x h; scratch
// holds as many floats as the raster. Nothing here allocates or fails.
#ifndef ROWLIGHT_PLANES_H
#define ROWLIGHT_PLANES_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_convolve runs a symmetric kernel, given from its middle to its end at reach, along
// the rows and then down the columns; outside the raster is nothing.
void rl_convolve(float *v, int w, int h, const float *kernel, int reach, float *scratch);

// rl_boxes averages over boxes of radii, one after another, along the rows and then
// down the columns; outside the raster is nothing. sums takes max(w, h) numbers.
void rl_boxes(float *v, int w, int h, const int *radii, int passes, float *scratch, double *sums);

// rl_ln takes the natural logarithm of v + above, which is positive and normal.
void rl_ln(const float *v, float above, float *out, int n);

#ifdef __cplusplus
}
#endif
#endif
