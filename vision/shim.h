// C face of the few OpenCV calls that gocv 0.31 lacks. Every function returns 0,
// or 1 with a message in err (errLen bytes): no C++ exception crosses into Go.
#ifndef ROWLIGHT_SHIM_H
#define ROWLIGHT_SHIM_H
#ifdef __cplusplus
extern "C" {
#endif

// rl_set_threads sets OpenCV's own thread count.
int rl_set_threads(int n, char *err, int errLen);

// rl_opencv_version writes the version of the OpenCV that is loaded to out (outLen bytes).
int rl_opencv_version(char *out, int outLen, char *err, int errLen);

// rl_find_markers finds DICT_5X5_100 markers in a grey cv::Mat. corners takes
// eight floats a marker (clockwise from the marker's own top left), ids one int.
// found is how many there were, of which at most max are handed over. polyRate is
// how far a contour may stray from its quadrilateral, over its perimeter.
int rl_find_markers(void *greyMat, double minPerimeterRate, double polyRate, float *corners, int *ids, int max,
                    int *found, char *err, int errLen);

#ifdef __cplusplus
}
#endif
#endif
