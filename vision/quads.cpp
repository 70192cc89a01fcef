#include "quads.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <exception>
#include <opencv2/aruco.hpp>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace {
// darkerBy is how many codes darker than its surroundings a pixel must be: noise on
// even ground stays under it (OpenCV's own figure for markers).
const double darkerBy = 7;
// sideMargin of a side is left out at either end, where corners are round.
const double sideMargin = 0.15;
// mostUneven: no marker seen from where its code can be read has sides that differ more.
const double mostUneven = 4;

typedef std::array<cv::Point2d, 4> Quad;

struct Line {
  cv::Point2d at, dir;
};

// through fits a line to the outline's points from one corner to the next.
Line through(const std::vector<cv::Point> &outline, int from, int to) {
  const int n = static_cast<int>(outline.size()), count = (to - from + n) % n;
  const int skip = static_cast<int>(sideMargin * count);
  double k = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
  for (int i = skip; i <= count - skip; i++) {
    const cv::Point &p = outline[(from + i) % n];
    k++;
    x += p.x;
    y += p.y;
    xx += static_cast<double>(p.x) * p.x;
    xy += static_cast<double>(p.x) * p.y;
    yy += static_cast<double>(p.y) * p.y;
  }
  x /= k;
  y /= k;
  const double turn = 0.5 * std::atan2(2 * (xy / k - x * y), (xx / k - x * x) - (yy / k - y * y));
  return {cv::Point2d(x, y), cv::Point2d(std::cos(turn), std::sin(turn))};
}

// meet is where two lines cross; false where they hardly do.
bool meet(const Line &a, const Line &b, cv::Point2d *at) {
  const double det = a.dir.cross(b.dir);
  if (std::fabs(det) < 0.1) return false;
  *at = a.at + a.dir * ((b.at - a.at).cross(b.dir) / det);
  return true;
}

// grown moves the corners from the middles of the outermost dark pixels to their rims.
Quad grown(const Quad &q) {
  const cv::Point2d middle = (q[0] + q[1] + q[2] + q[3]) * 0.25;
  double side = 0;
  for (int k = 0; k < 4; k++) side += cv::norm(q[(k + 1) % 4] - q[k]) / 4;
  Quad out;
  for (int k = 0; k < 4; k++) out[k] = middle + (q[k] - middle) * ((side + 1) / side);
  return out;
}

// fitted makes four lines of an outline's sides, clockwise, and of them its corners.
bool fitted(const std::vector<cv::Point> &outline, const std::vector<cv::Point> &corner, Quad *out) {
  int at[4];
  for (int k = 0; k < 4; k++) {
    at[k] = static_cast<int>(std::find(outline.begin(), outline.end(), corner[k]) - outline.begin());
    if (at[k] == static_cast<int>(outline.size())) return false;
  }
  // approxPolyDP keeps the outline's own direction.
  Line side[4];
  for (int k = 0; k < 4; k++) side[k] = through(outline, at[k], at[(k + 1) % 4]);
  Quad q;
  for (int k = 0; k < 4; k++) {
    if (!meet(side[(k + 3) % 4], side[k], &q[k])) q[k] = corner[k];
    if (cv::norm(q[k] - cv::Point2d(corner[k])) > 3) q[k] = corner[k];
  }
  if ((q[1] - q[0]).cross(q[2] - q[0]) < 0) std::swap(q[1], q[3]);
  *out = grown(q);
  return true;
}

// fourSided tells whether an outline is a marker's by its form.
bool fourSided(const std::vector<cv::Point> &outline, double minSidePx, double polyRate,
               std::vector<cv::Point> *corner) {
  cv::approxPolyDP(outline, *corner, outline.size() * polyRate, true);
  if (corner->size() != 4 || !cv::isContourConvex(*corner)) return false;
  double least = 1e9, most = 0;
  for (int k = 0; k < 4; k++) {
    const double d = cv::norm((*corner)[(k + 1) % 4] - (*corner)[k]);
    least = std::min(least, d);
    most = std::max(most, d);
  }
  return least >= minSidePx - 1 && most < mostUneven * least;
}

void findQuads(const cv::Mat &grey, int window, double minSidePx, double polyRate, std::vector<Quad> *out) {
  cv::Mat dark;
  cv::adaptiveThreshold(grey, dark, 255, cv::ADAPTIVE_THRESH_MEAN_C, cv::THRESH_BINARY_INV, window, darkerBy);
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(dark, outlines, cv::RETR_LIST, cv::CHAIN_APPROX_NONE);
  std::vector<cv::Point> corner;
  Quad q;
  for (const auto &o : outlines) {
    if (o.size() < 4 * (minSidePx - 1)) continue;
    if (fourSided(o, minSidePx, polyRate, &corner) && fitted(o, corner, &q)) out->push_back(q);
  }
}

int fail(const char *what, char *err, int errLen) {
  std::strncpy(err, what, errLen - 1);
  err[errLen - 1] = 0;
  return 1;
}
}  // namespace

int rl_find_quads(const unsigned char *grey, int width, int height, int window, double minSidePx, double polyRate,
                  float *corners, int max, int *found, char *err, int errLen) {
  try {
    std::vector<Quad> quads;
    findQuads(cv::Mat(height, width, CV_8UC1, const_cast<unsigned char *>(grey)), window, minSidePx, polyRate, &quads);
    *found = static_cast<int>(quads.size());
    for (int i = 0; i < *found && i < max; i++) {
      for (int k = 0; k < 4; k++) {
        corners[8 * i + 2 * k] = static_cast<float>(quads[i][k].x);
        corners[8 * i + 2 * k + 1] = static_cast<float>(quads[i][k].y);
      }
    }
    return 0;
  } catch (const std::exception &e) {
    return fail(e.what(), err, errLen);
  } catch (...) {
    return fail("unknown C++ exception", err, errLen);
  }
}

int rl_marker_codes(int n, unsigned int *codes, char *err, int errLen) {
  try {
    auto dict = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_100);
    for (int id = 0; id < n; id++) {
      const cv::Mat bits = cv::aruco::Dictionary::getBitsFromByteList(dict->bytesList.rowRange(id, id + 1), dict->markerSize);
      codes[id] = 0;
      for (int k = 0; k < bits.rows * bits.cols; k++)
        codes[id] = codes[id] << 1 | (bits.at<unsigned char>(k / bits.cols, k % bits.cols) ? 1 : 0);
    }
    return 0;
  } catch (const std::exception &e) {
    return fail(e.what(), err, errLen);
  } catch (...) {
    return fail("unknown C++ exception", err, errLen);
  }
}
