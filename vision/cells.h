// C face of the loops over the colour of every pixel (package alleyview). Planes hold n
// floats; nothing here allocates or fails.
#ifndef ROWLIGHT_CELLS_H
#define ROWLIGHT_CELLS_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

// Bins of one kind: from low on, so many to one, count in all; what lies beyond falls
// in the end bins.
typedef struct {
  double low, per;
  int count;
} rl_bins;

// rl_colour_cells finds each pixel's bins of ln(r/g), ln(b/g) and ln(luminance), dark added
// to each light, and numbers them (red x blue.count + blue) x lum.count + lum; and the
// thousandths of its luminance, up to 1000.
void rl_colour_cells(const float *r, const float *g, const float *b, int n, float dark, const rl_bins *red,
                     const rl_bins *blue, const rl_bins *lum, uint16_t *cell, uint16_t *thousandths);

// rl_bands numbers the pixels of w x h by how far down their column they lie: 0 over
// the row first, 1 from there on, 2 from the row second on.
void rl_bands(const int16_t *first, const int16_t *second, int w, int h, uint8_t *band);

// What makes a pixel open sky: blue light over so much of its green and its red, and
// luminance over so much.
typedef struct {
  float blue, lum, veryBlue, veryBlueLum;
} rl_open_sky;

// rl_raise_sky adds by to the kind of each open sky's pixel that is under below.
void rl_raise_sky(const float *r, const float *g, const float *b, int n, const rl_open_sky *sky, uint8_t below,
                  uint8_t by, uint8_t *kind);

// rl_count_cells adds 1 to count[kind x cells + cell] for each pixel.
void rl_count_cells(const uint8_t *kind, const uint16_t *cell, int n, int cells, uint32_t *count);

#ifdef __cplusplus
}
#endif
#endif
