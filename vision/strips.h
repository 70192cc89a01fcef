// C face of the colour of stretches of rows, and of upright strips that differ from what
// lies beside and under them (package alleyview). Nothing here allocates or fails.
#ifndef ROWLIGHT_STRIPS_H
#define ROWLIGHT_STRIPS_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_row_sums sums along each of h rows of w pixels: ln luminance, ln(r/g), ln(b/g), dark
// added to each light. A row of sum is (w + 1) x 4 floats: what lies before each place,
// the fourth number 0. scratch takes 4 w floats.
void rl_row_sums(const float *r, const float *g, const float *b, int w, int h, float dark, float *sum, float *scratch);

// The form of a strip (strips.go).
typedef struct {
  int rows;
  double half, beside, besideHalf, lightSD, colourSD;
} rl_strip_form;

// rl_strip_rows is how many rows a form may have.
#define rl_strip_rows 16

// rl_strip_scores scores n places, a place being footX, footY, topX, topY and four widths;
// score takes four each, -1 where the strip does not lie in the raster; one that is no more
// than tooFaint may come out as 0 in place of either. Places and widths
// are in units of which perPx make a pixel of the raster; sum begins at row top, the
// raster has h rows in all. per holds the inverse of each whole number up to w.
void rl_strip_scores(const float *sum, int w, int top, int h, const double *per, const double *places, int n, double perPx,
                     const rl_strip_form *form, double tooFaint, double *score);

#ifdef __cplusplus
}
#endif
#endif
