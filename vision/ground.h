// C face of laying pixels out on the ground. Nothing here allocates or fails.
#ifndef ROWLIGHT_GROUND_H
#define ROWLIGHT_GROUND_H
#ifdef __cplusplus
extern "C" {
#endif

// A row of pixels on the ground (calibrate.Chart): u, v and w of its first pixel and how
// they go from pixel to pixel.
typedef struct {
  double u, v, w, du, dv, dw, d, area;
} rl_ground_row;

// rl_ground writes, for n pixels of a row, whether they lie within reach (squared) of the
// origin, and within near (squared) what ground they show and in which square of side they lie,
// numbered by rows of across squares whose middle corner is the origin; 0 elsewhere.
void rl_ground(const rl_ground_row *row, int n, double reach, double near, double perSide, int across,
               unsigned char *within, float *area, int *square);

#ifdef __cplusplus
}
#endif
#endif
