#include "shim.h"

#include <cstring>
#include <exception>
#include <opencv2/aruco.hpp>
#include <opencv2/core.hpp>
#include <vector>

#ifdef __GLIBC__  // told by the headers above
#include <malloc.h>

// glibc gives each thread a heap arena of its own, and every one of Go's threads
// comes by here: rests of pictures in them were a quarter of a run's memory (0.77
// GB against 0.56 with one arena, 30 photos of 12 megapixels, two workers). Told
// before main, for threads that are there keep theirs. The few, large pieces that
// pictures are made of do not contend. What one photo's small pictures took is kept for
// the next one's, up to a bound; larger ones, of pairs, go back to the system.
__attribute__((constructor)) static void oneArena() {
  mallopt(M_ARENA_MAX, 1);
  mallopt(M_MMAP_THRESHOLD, 8 << 20);
  mallopt(M_TRIM_THRESHOLD, 16 << 20);
}
#endif

namespace {
void tell(const char *what, char *out, int outLen) {
  std::strncpy(out, what, outLen - 1);
  out[outLen - 1] = 0;
}

int fail(const char *what, char *err, int errLen) {
  tell(what, err, errLen);
  return 1;
}
}  // namespace

#define GUARDED(body)                                    \
  try {                                                  \
    body;                                                \
    return 0;                                            \
  } catch (const std::exception &e) {                    \
    return fail(e.what(), err, errLen);                  \
  } catch (...) {                                        \
    return fail("unknown C++ exception", err, errLen);   \
  }

int rl_set_threads(int n, char *err, int errLen) { GUARDED(cv::setNumThreads(n)) }

int rl_opencv_version(char *out, int outLen, char *err, int errLen) {
  GUARDED(tell(cv::getVersionString().c_str(), out, outLen))
}

int rl_find_markers(void *greyMat, double minPerimeterRate, double polyRate, float *corners, int *ids, int max,
                    int *found, char *err, int errLen) {
  GUARDED({
    const cv::Mat &grey = *static_cast<cv::Mat *>(greyMat);
    auto dict = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_100);
    auto params = cv::aruco::DetectorParameters::create();
    params->minMarkerPerimeterRate = minPerimeterRate;
    params->polygonalApproxAccuracyRate = polyRate;
    params->cornerRefinementMethod = cv::aruco::CORNER_REFINE_NONE;
    std::vector<std::vector<cv::Point2f>> quads;
    std::vector<int> which;
    cv::aruco::detectMarkers(grey, dict, quads, which, params);
    *found = static_cast<int>(which.size());
    for (int i = 0; i < *found && i < max; i++) {
      ids[i] = which[i];
      for (int k = 0; k < 4; k++) {
        corners[8 * i + 2 * k] = quads[i][k].x;
        corners[8 * i + 2 * k + 1] = quads[i][k].y;
      }
    }
  })
}
