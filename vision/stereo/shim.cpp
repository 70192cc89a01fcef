#include "shim.h"

#include <algorithm>
#include <cstring>
#include <exception>
#include <opencv2/calib3d.hpp>
#include <opencv2/core.hpp>
#include <opencv2/features2d.hpp>
#include <vector>

namespace {
int fail(const char *what, char *err, int errLen) {
  std::strncpy(err, what, errLen - 1);
  err[errLen - 1] = 0;
  return 1;
}

cv::Mat view(const unsigned char *pix, int w, int h) {
  return cv::Mat(h, w, CV_8UC1, const_cast<unsigned char *>(pix));
}

// guarded hands every exception over as a message.
template <typename Body>
int guarded(char *err, int errLen, Body body) {
  try {
    body();
    return 0;
  } catch (const std::exception &e) {
    return fail(e.what(), err, errLen);
  } catch (...) {
    return fail("unknown C++ exception", err, errLen);
  }
}
}  // namespace

int rl_features(const unsigned char *grey, int w, int h, int most, double contrast, float *xy, unsigned char *desc,
                int *found, char *err, int errLen) {
  return guarded(err, errLen, [&] {
    std::vector<cv::KeyPoint> points;
    cv::Mat d;
    cv::SIFT::create(most, 3, contrast)->detectAndCompute(view(grey, w, h), cv::noArray(), points, d);
    cv::Mat bytes;
    d.convertTo(bytes, CV_8U);  // SIFT's entries are whole numbers of 0..255
    *found = std::min(most, bytes.rows);
    for (int i = 0; i < *found; i++) {
      xy[2 * i] = points[i].pt.x, xy[2 * i + 1] = points[i].pt.y;
      std::memcpy(desc + 128 * static_cast<size_t>(i), bytes.ptr(i), 128);
    }
  });
}

int rl_disparity(const unsigned char *left, const unsigned char *right, int w, int h, int least, int count,
                 int block, int small, int large, int unique, short *out, char *err, int errLen) {
  return guarded(err, errLen, [&] {
    // A border on the left lets disparities reach past the picture's edge.
    cv::Mat l, r, d;
    const int pad = least + count;
    cv::copyMakeBorder(view(left, w, h), l, 0, 0, pad, 0, cv::BORDER_CONSTANT);
    cv::copyMakeBorder(view(right, w, h), r, 0, 0, pad, 0, cv::BORDER_CONSTANT);
    auto sgbm = cv::StereoSGBM::create(least, count, block, small, large, 1, 31, unique, 0, 0,
                                       cv::StereoSGBM::MODE_SGBM);
    sgbm->compute(l, r, d);
    CV_Assert(d.type() == CV_16SC1);
    for (int y = 0; y < h; y++) std::memcpy(out + static_cast<size_t>(y) * w, d.ptr<short>(y) + pad, sizeof(short) * w);
  });
}
