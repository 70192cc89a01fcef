// C face of the OpenCV calls that compare two photos. Pictures are 8-bit grey, row
// by row, w x h, in memory of Go's. Every function returns 0, or 1 with a message in
// err (errLen bytes): no C++ exception crosses into Go.
#ifndef ROWLIGHT_STEREO_SHIM_H
#define ROWLIGHT_STEREO_SHIM_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_features finds the strongest SIFT features of a picture (Lowe 2004): x, y in
// xy, 128 bytes each in desc; both have room for most of them.
int rl_features(const unsigned char *grey, int w, int h, int most, double contrast, float *xy, unsigned char *desc,
                int *found, char *err, int errLen);

// rl_disparity runs semi-global matching (Hirschmueller 2008, in OpenCV's form)
// from the left view to the right one. out takes w x h disparities in sixteenths
// of a pixel; less than 16 least is no match. count must be a multiple of 16.
int rl_disparity(const unsigned char *left, const unsigned char *right, int w, int h, int least, int count,
                 int block, int small, int large, int unique, short *out, char *err, int errLen);

#ifdef __cplusplus
}
#endif
#endif
