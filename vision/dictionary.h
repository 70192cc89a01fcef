// C face of OpenCV's drawing of a marker.
#ifndef ROWLIGHT_DICTIONARY_H
#define ROWLIGHT_DICTIONARY_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_marker_modules writes the modules of a DICT_5X5_100 marker with its black
// border, row by row, side x side bytes: 1 black, 0 white. Returns 0, or 1 with a
// message in err.
int rl_marker_modules(int id, int side, unsigned char *modules, char *err, int errLen);

#ifdef __cplusplus
}
#endif
#endif
