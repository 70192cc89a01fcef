// C face of the votes of many points by their direction from one.
#ifndef ROWLIGHT_ANGLES_H
#define ROWLIGHT_ANGLES_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_most_bins is how many bins of angle there may be.
#define rl_most_bins 254

// rl_angle_votes counts, by the direction they are seen in from (x, y), the points of px,
// py whose squared distance is from least to most: all of them, and the marked, which are
// the first so many. Bins of equal angle begin at minus half a turn. fx and fy are px and py
// as floats; scratch takes n bytes.
void rl_angle_votes(const double *px, const double *py, const float *fx, const float *fy, int n, int marks, double x, double y,
                    double least, double most, int bins, uint8_t *scratch, int32_t *all, int32_t *marked);

#ifdef __cplusplus
}
#endif
#endif
