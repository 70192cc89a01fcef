// C face of laying ink on a drawing. Nothing here allocates or fails.
#ifndef ROWLIGHT_INK_H
#define ROWLIGHT_INK_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_lay_ink lays ink (R G B, 0 to 255) on n pixels of R G B A bytes: of pixel x the
// amount at column[x] (never falling), 0 none and 1 full, those beyond taken for these,
// times most.
void rl_lay_ink(uint8_t *rgba, int n, const float ink[3], float most, const float *amounts, const int32_t *column);

#ifdef __cplusplus
}
#endif
#endif
