// C face of the loops over every pixel of a photo: plain arithmetic that a compiler
// turns into wide instructions, which Go's does not. Nothing here allocates or fails.
#ifndef ROWLIGHT_PIXELS_H
#define ROWLIGHT_PIXELS_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_reduce averages factor x factor pixels of a picture's part, R G B bytes with
// rows `stride` bytes apart, into outW x outH pixels of R G B 255. scratch takes
// 3 x factor x outW numbers.
void rl_reduce(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *rgba, uint16_t *scratch);

// rl_reduce_grey is rl_reduce of a whole picture, turned to grey (edge.go) afterwards.
void rl_reduce_grey(const uint8_t *rgb, int stride, int factor, int outW, int outH, uint8_t *grey, uint16_t *scratch);

// rl_halve averages two by two pixels of a grey picture w wide into outW x outH.
void rl_halve(const uint8_t *grey, int w, int outW, int outH, uint8_t *out);

// rl_linear averages the light of factor x factor pixels, into three planes of outW x
// outH: lut says what each code stands for.
void rl_linear(const uint8_t *rgb, int stride, int factor, int outW, int outH, const float lut[256], float *r,
               float *g, float *b);

#ifdef __cplusplus
}
#endif
#endif
