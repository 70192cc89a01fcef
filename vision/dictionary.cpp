#include "dictionary.h"

#include <cstring>
#include <exception>
#include <opencv2/aruco.hpp>
#include <opencv2/core.hpp>

int rl_marker_modules(int id, int side, unsigned char *modules, char *err, int errLen) {
  try {
    cv::Mat img;
    cv::aruco::drawMarker(cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_100), id, side, img, 1);
    for (int y = 0; y < side; y++)
      for (int x = 0; x < side; x++) modules[y * side + x] = img.at<unsigned char>(y, x) < 128 ? 1 : 0;
    return 0;
  } catch (const std::exception &e) {
    std::strncpy(err, e.what(), errLen - 1);
  } catch (...) {
    std::strncpy(err, "unknown C++ exception", errLen - 1);
  }
  err[errLen - 1] = 0;
  return 1;
}
