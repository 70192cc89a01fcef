// C face of laying a classed picture onto a plane. Nothing here allocates or fails.
#ifndef ROWLIGHT_PLANECLASS_H
#define ROWLIGHT_PLANECLASS_H
#ifdef __cplusplus
extern "C" {
#endif

// Evenly spaced points before a lens that does not distort: the first, the step, and the
// lens, x = fx X/Z + cx.
typedef struct {
  double at[3], by[3], fx, fy, cx, cy;
} rl_sights;

// rl_plane_classes writes, for n points, what stands for the class (as[class]) of the pixel
// that shows each, in a picture of w x h classes, factor pixels of the photo wide each;
// as[255] for those that it does not show.
void rl_plane_classes(const rl_sights *sights, int n, const unsigned char *classes, int w, int h, int factor,
                      const unsigned char as[256], unsigned char *out);

#ifdef __cplusplus
}
#endif
#endif
