// C face of the loops over a floor's light (package floorlight). Rasters lie row by row;
// in marks the floor, fraction is the sun's share of each pixel. Nothing here allocates
// or fails.
#ifndef ROWLIGHT_FLOOR_H
#define ROWLIGHT_FLOOR_H
#ifdef __cplusplus
extern "C" {
#endif

// Sums of rl_floor_ends: floor, its green and blue, burnt out in every channel, dark.
enum { RL_ENDS = 5 };
void rl_floor_ends(const unsigned char *in, const float *r, const float *g, const float *b, float burnt, float dark, int n,
                   double sums[RL_ENDS]);

// Sums of rl_floor_lights: for the shade (a fraction under shade) and for the sun (over
// sun) each how many, then red, green and blue of those whose channels all are under most;
// last the shade's red and blue without that limit.
enum { RL_LIGHTS = 10 };
void rl_floor_lights(const unsigned char *in, const float *fraction, const float *r, const float *g, const float *b,
                     float shade, float sun, float most, int n, double sums[RL_LIGHTS]);

// A feature's line over the log light, its spread, and how many times it is strange on
// which side.
typedef struct {
  float a, b, perSpread;
} rl_floor_line;

// rl_floor_strange writes, where shade is marked, how far ln red, ln blue over ln green
// and texture lie off the three lines (at x held between lo and hi), in spreads, squares added
// up; 0 elsewhere. What lies along the dawn (its red and blue, up to most of it) is taken
// off first. Only less texture than the line's counts.
void rl_floor_strange(const unsigned char *shade, const float *r, const float *g, const float *b, const float *texture,
                      const float *x, float lo, float hi, const rl_floor_line *lines, float dawnRed,
                      float dawnBlue, float dawnMost, int n, float *out);

// rl_floor_unmix splits w x h pixels between the shade's light near each (cells, as
// rl_spread_row lays them) and contrast times as much. On the floor fraction stays, linear
// becomes where the light kg g + kb b lies between the two, lit whether the smooth light
// lies beyond half; elsewhere all are 0. moments are the shade's sum and sum of squares over
// the floor; row is scratch as in rl_less_broad.
void rl_floor_unmix(const unsigned char *in, const float *g, float kg, const float *b, float kb, const float *smooth,
                    const float *cells, int cellsW, int cellsH, float contrast, float half, int w, int h,
                    float *fraction, float *linear, unsigned char *lit, double moments[2], float *row);

// rl_floor_square writes the square of a less b.
void rl_floor_square(const float *a, const float *b, int n, float *out);

// rl_floor_ln_root writes ln(root of v + above), what lies under 0 taken for 0.
void rl_floor_ln_root(const float *v, float above, int n, float *out);

#ifdef __cplusplus
}
#endif
#endif
