#include "jpeg.h"

#include <algorithm>
#include <cstring>
#include <dlfcn.h>
#include <exception>
#include <opencv2/core.hpp>
#include <opencv2/core/version.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "turn.h"

namespace {
int fail(const char *what, char *err, int errLen) {
  std::strncpy(err, what, errLen - 1);
  err[errLen - 1] = 0;
  return 1;
}

using Decode = cv::Mat (*)(cv::InputArray, int);

// cv::imdecode(InputArray, int) in the Itanium C++ ABI, and the library that
// holds it, by OpenCV's own naming of its versions.
const char *const kSymbol = "_ZN2cv8imdecodeERKNS_11_InputArrayEi";
#define RL_TEXT(x) #x
#define RL_SO(major, minor) "libopencv_imgcodecs.so." RL_TEXT(major) "0" RL_TEXT(minor)
const char *const kLibrary = RL_SO(CV_VERSION_MAJOR, CV_VERSION_MINOR);

const int kColour = 1, kIgnoreOrientation = 128;  // cv::ImreadModes
}  // namespace

int rl_decode_other(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, int orientation,
                    char *err, int errLen) {
  try {
    void *lib = dlopen(kLibrary, RTLD_LAZY);  // opened once by the system, however often asked
    auto decode = lib ? reinterpret_cast<Decode>(dlsym(lib, kSymbol)) : nullptr;
    if (!decode) return fail("OpenCV's picture formats are not installed", err, errLen);
    cv::Mat raw(1, static_cast<int>(bytes), CV_8UC1, const_cast<unsigned char *>(data));
    cv::Mat bgr = decode(raw, kColour | kIgnoreOrientation);
    if (bgr.empty() || bgr.cols != width || bgr.rows != height || bgr.type() != CV_8UC3)
      return fail("the picture is damaged", err, errLen);
    if (orientation == 1) {
      cv::Mat out(height, width, CV_8UC3, rgb);
      cv::cvtColor(bgr, out, cv::COLOR_BGR2RGB);
      return 0;
    }
    std::vector<unsigned char> stripe(rl_stripe_bytes(width));
    for (int y = 0; y < height; y += rl_stripe_rows) {
      const int rows = std::min<int>(rl_stripe_rows, height - y);
      cv::Mat out(rows, width, CV_8UC3, stripe.data());
      cv::cvtColor(bgr.rowRange(y, y + rows), out, cv::COLOR_BGR2RGB);
      rl_turn(stripe.data(), y, rows, width, height, orientation, rgb);
    }
    return 0;
  } catch (const std::exception &e) {
    return fail(e.what(), err, errLen);
  } catch (...) {
    return fail("unknown C++ exception", err, errLen);
  }
}
