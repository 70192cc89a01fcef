// C face of fitting a line through many points. Nothing here allocates or fails.
#ifndef ROWLIGHT_ROBUST_H
#define ROWLIGHT_ROBUST_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_line_sums adds up, over n points weighed 1/(1 + k r^2) with r what y lies off a + b x,
// the weights, and by them x, y, x x and x y.
void rl_line_sums(const float *x, const float *y, int n, float a, float b, float k, double sums[5]);

// rl_line_median is the middle of how far n points' y lies off a + b x, from 2^-24 to 2^8,
// right to a hundredth of itself.
double rl_line_median(const float *x, const float *y, int n, float a, float b);

#ifdef __cplusplus
}
#endif
#endif
