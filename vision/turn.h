// C face of the turning of photos.
#ifndef ROWLIGHT_TURN_H
#define ROWLIGHT_TURN_H
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_stripe_rows stored rows are turned at a time, while they lie in the processor's
// cache: 192 bytes of each row of a picture that is turned to its side. (An enum, so
// that Go sees it too.)
enum { rl_stripe_rows = 64 };

// rl_stripe_bytes is what a stripe of a picture of that width takes.
#define rl_stripe_bytes(width) ((size_t)rl_stripe_rows * 3 * (width) + 1)

// rl_turn puts `rows` rows of a stored picture of width x height pixels (R G B), of
// which y is the first, where they belong in the picture turned upright by its EXIF
// orientation (EXIF 2.32, tag 0x0112), 2 to 8. A byte past the rows may be read.
void rl_turn(const unsigned char *stripe, int y, int rows, int width, int height, int orientation, unsigned char *upright);

#ifdef __cplusplus
}
#endif
#endif
