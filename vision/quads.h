// C face of the search for dark four-sided shapes.
#ifndef ROWLIGHT_QUADS_H
#define ROWLIGHT_QUADS_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_find_quads finds dark convex shapes of four straight sides in a grey picture
// (one byte a pixel, rows close together): darker than the mean over window x window
// pixels about them. Sides are at least minSidePx long; polyRate is how far an outline
// may stray from its four sides, over its perimeter. corners takes eight floats a
// shape, clockwise as seen, fitted to the outline's points; at most max are handed
// over of the found there were. Returns 0, or 1 with a message in err.
int rl_find_quads(const unsigned char *grey, int width, int height, int window, double minSidePx, double polyRate,
                  float *corners, int max, int *found, char *err, int errLen);

// rl_marker_codes fills codes with the inner 5 x 5 modules of DICT_5X5_100's first n
// markers, a bit each, the first module the highest of 25; 1 is white.
int rl_marker_codes(int n, unsigned int *codes, char *err, int errLen);

#ifdef __cplusplus
}
#endif
#endif
