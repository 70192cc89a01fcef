// C face of the JPEG decoder and of OpenCV's decoder for the other formats.
#ifndef ROWLIGHT_JPEG_H
#define ROWLIGHT_JPEG_H
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif

// rl_decode_jpeg decodes a JPEG of one or three components, of width x height pixels as
// stored, to rgb, as many x 3 bytes, turned upright by its EXIF orientation: 2 to 8, 1
// leaves it as it is. Returns 0, or 1 with a message in err.
int rl_decode_jpeg(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, int orientation,
                   char *err, int errLen);

// rl_encode_jpeg encodes R G B x pixels as a JPEG with its colours halved both ways
// (4:2:0). *out is to be freed by rl_free.
int rl_encode_jpeg(const unsigned char *rgba, int width, int height, int quality, unsigned char **out, size_t *bytes,
                   char *err, int errLen);
void rl_free(void *p);

// rl_decode_other decodes any other format OpenCV knows to the same. OpenCV's
// codecs bring 100 libraries with them, so they are opened when first needed.
int rl_decode_other(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, int orientation,
                    char *err, int errLen);

#ifdef __cplusplus
}
#endif
#endif
