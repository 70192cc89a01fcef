// C face of the votes of many points by their direction from one.
#ifndef ROWLIGHT_ANGLES_H
#define ROWLIGHT_ANGLES_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_angle_votes counts, by the direction they are seen in from (x, y), the points of px,
// py whose squared distance is from least to most: all of them, and those with mark 1.
// Bins of equal angle begin at minus half a turn. scratch takes n numbers.
void rl_angle_votes(const double *px, const double *py, const unsigned char *mark, int n, double x, double y,
                    double least, double most, int bins, double *scratch, double *all, double *marked);

#ifdef __cplusplus
}
#endif
#endif
