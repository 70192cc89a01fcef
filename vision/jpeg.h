// C face of the JPEG decoder and of OpenCV's decoder for the other formats.
#ifndef ROWLIGHT_JPEG_H
#define ROWLIGHT_JPEG_H
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_decode_jpeg decodes a JPEG of one or three components to rgb, width x height
// x 3 bytes, as stored. Returns 0, or 1 with a message in err.
int rl_decode_jpeg(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, char *err,
                   int errLen);

// rl_decode_other decodes any other format OpenCV knows to the same. OpenCV's
// codecs bring 100 libraries with them, so they are opened when first needed.
int rl_decode_other(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, char *err,
                    int errLen);

#ifdef __cplusplus
}
#endif
#endif
