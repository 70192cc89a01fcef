// C face of the loops over a picture's colours apart from their brightness (package
// sideview). Nothing here allocates or fails.
#ifndef ROWLIGHT_TINTS_H
#define ROWLIGHT_TINTS_H
#include <stddef.h>
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

// The zones and classes.
enum { RL_ABOVE, RL_MIDDLE, RL_BELOW, RL_SHEET };
enum { RL_SKY, RL_FOLIAGE, RL_WOOD, RL_GROUND, RL_BOARD };

// RL_BOX_MOST is the largest half of rl_tints.
enum { RL_BOX_MOST = 4 };

// Colours between whose bounds a pixel may be wood by itself.
typedef struct {
  float leastRG, mostRG, leastBG;
} rl_grey;

// rl_tints averages the light of w x h pixels over (2 half + 1)^2 of them, fewer at the
// edges, adds dark, and writes ln(r/g) to r and ln(b/g) to b. Of pixels whose kind is 1 (sky)
// nothing need be written. Where zone is RL_ABOVE kind becomes the class: sky, or wood where
// the tint is grey, or foliage. scratch takes rl_tints_floats(w, half) floats.
void rl_tints(float *r, const float *g, float *b, const unsigned char *zone, int w, int h, int half, float dark,
              const rl_grey *grey, unsigned char *kind, float *scratch);
size_t rl_tints_floats(int w, int half);

// A cloud of colours: means, spreads, and the logarithm of the spreads' determinant.
// Nothing is near a cloud whose det is not over 0.
typedef struct {
  double mr, mb, vr, vb, c, det, lnDet;
} rl_cloud;

// How colours under the horizon are parted. Wood is what is grey where onlyGrey is set; else
// what is likelier bark than soil and, where hasLeaf is set, than leaf. Leaf is what
// lies over the line, or where leafOnly is set near the leaf cloud, if there is one.
typedef struct {
  rl_grey grey;
  rl_cloud bark, soil, leaf;
  int onlyGrey, hasLeaf, leafOnly;
  double wr, wb, limit, near2;
} rl_split;

// rl_mark_near marks the pixels of a zone whose colour is nearer to a cloud than near2,
// a squared distance in its own spreads.
void rl_mark_near(const float *rg, const float *bg, const unsigned char *zone, int n, int of, const rl_cloud *cloud,
                  double near2, unsigned char *mark);

// rl_count_marks counts the bytes that are mark.
int rl_count_marks(const unsigned char *v, int n, int mark);

// rl_every_mark lists every step-th place whose byte is mark, at most `most` of them.
int rl_every_mark(const unsigned char *v, int n, int mark, int step, int32_t *at, int most);

// rl_class_pixels classes the pixels of every zone but RL_ABOVE.
void rl_class_pixels(const float *rg, const float *bg, const unsigned char *zone, int w, int h, const rl_split *split,
                     unsigned char *kind, double *scratch);

#ifdef __cplusplus
}
#endif
#endif
