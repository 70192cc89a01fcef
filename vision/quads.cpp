#include "quads.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <exception>
#include <opencv2/aruco.hpp>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "wide.h"

namespace {
// darkerBy is how many codes darker than its surroundings a pixel must be: noise on
// even ground stays under it (OpenCV's own figure for markers).
const int darkerBy = 7;
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

WIDE void columnSums(const unsigned char *const *row, int rows, int w, int32_t *sum) {
  for (int x = 0; x < w; x++) sum[x] = row[0][x];
  for (int k = 1; k < rows; k++)
    for (int x = 0; x < w; x++) sum[x] += row[k][x];
}

WIDE void rowSums(const int32_t *column, int window, int w, int32_t *sum) {
  for (int x = 0; x < w; x++) sum[x] = column[x];
  for (int k = 1; k < window; k++)
    for (int x = 0; x < w; x++) sum[x] += column[x + k];
}

// markDark marks with 1 what is darker than the rounded mean: code + darkerBy <= mean, in
// whole numbers.
WIDE void markDark(const unsigned char *grey, const int32_t *sum, int pixels, int w, signed char *out) {
  for (int x = 0; x < w; x++) out[x] = static_cast<signed char>(2 * sum[x] >= pixels * (2 * (grey[x] + darkerBy) - 1));
}

// darkPixels marks what is darker than the mean over window x window pixels (odd); those at
// the edges go on past them. The marks have a rim of one pixel of 0 all round.
void darkPixels(const unsigned char *grey, int w, int h, int window, std::vector<signed char> *out) {
  const int reach = window / 2, stride = w + 2;
  out->assign(static_cast<size_t>(stride) * (h + 2), 0);
  std::vector<const unsigned char *> row(window);
  std::vector<int32_t> column(w + 2 * reach), sum(w);
  for (int y = 0; y < h; y++) {
    for (int k = 0; k < window; k++) row[k] = grey + static_cast<size_t>(std::min(std::max(y + k - reach, 0), h - 1)) * w;
    columnSums(row.data(), window, w, column.data() + reach);
    std::fill(column.begin(), column.begin() + reach, column[reach]);
    std::fill(column.end() - reach, column.end(), column[reach + w - 1]);
    rowSums(column.data(), window, w, sum.data());
    markDark(grey + static_cast<size_t>(y) * w, sum.data(), window * window, w, out->data() + static_cast<size_t>(y + 1) * stride + 1);
  }
}

// neighbours marks, a bit each, which of a pixel's eight neighbours are marked: to the
// right, and on against the clock.
WIDE void neighbours(const signed char *mark, int stride, int w, unsigned char *out) {
  const signed char *over = mark - stride, *under = mark + stride;
  for (int x = 0; x < w; x++)
    out[x] = static_cast<unsigned char>(mark[x + 1] | over[x + 1] << 1 | over[x] << 2 | over[x - 1] << 3 | mark[x - 1] << 4 |
                                        under[x - 1] << 5 | under[x] << 6 | under[x + 1] << 7);
}

// Borders walks along the borders of what is marked, and of the holes in it (Suzuki and
// Abe 1985, by OpenCV's rules, from memory: a test holds it against findContours).
// Pixels walked are numbered 2, and -126 where what lies to their right is not marked.
class Borders {
 public:
  // mark is 0 and 1, with a rim of 0 all round.
  Borders(signed char *mark, int w, int h)
      : mark_(mark), w_(w), h_(h), stride_(w + 2), beside_(static_cast<size_t>(stride_) * (h + 2)),
        step_{1, 1 - stride_, -stride_, -1 - stride_, -1, stride_ - 1, stride_, stride_ + 1} {
    for (int y = 0; y < h; y++) {
      const size_t at = static_cast<size_t>(y + 1) * stride_ + 1;
      neighbours(mark + at, stride_, w, beside_.data() + at);
    }
  }

  // next finds the next border in reading order that has least points or more; false
  // where there are no more.
  bool next(size_t least, std::vector<cv::Point> *out) {
    for (; y_ < h_; y_++, x_ = 0) {
      signed char *row = mark_ + static_cast<ptrdiff_t>(y_ + 1) * stride_ + 1;
      for (;;) {
        const signed char before = row[x_ - 1];
        x_ = change(row, x_, before);
        if (x_ > w_) break;
        const bool outer = row[x_ - 1] == 0 && row[x_] == 1, hole = row[x_] == 0 && row[x_ - 1] >= 1;
        if (!outer && !hole) {
          x_++;
          continue;
        }
        out->clear();
        const int at = hole ? x_ - 1 : x_;
        walk(row + at, at, hole, out);
        if (outer) x_++;
        if (out->size() >= least) return true;
      }
    }
    return false;
  }

 private:
  // change is the first place from x on, the rim past the row's end included, that is not
  // like the one before x; past the rim where there is none.
  int change(const signed char *row, int x, signed char before) const {
    const uint64_t like = 0x0101010101010101u * static_cast<unsigned char>(before);
    for (; x + 8 <= w_ + 1; x += 8) {
      uint64_t eight;
      std::memcpy(&eight, row + x, sizeof eight);
      if (eight == like) continue;
#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
      return x + __builtin_ctzll(eight ^ like) / 8;
#else
      break;
#endif
    }
    while (x <= w_ && row[x] == before) x++;
    return x;
  }

  void walk(signed char *from, int x, bool hole, std::vector<cv::Point> *out) {
    const int seen = 2, rightOpen = 2 | -128;
    const int dx[8] = {1, 1, 0, -1, -1, -1, 0, 1}, dy[8] = {0, -1, -1, -1, 0, 1, 1, 1};
    cv::Point at(x, y_);
    const signed char *const marks = mark_;
    if (beside_[from - marks] == 0) {
      *from = static_cast<signed char>(rightOpen);
      out->push_back(at);
      return;
    }
    int s = hole ? 0 : 4;
    do s = (s - 1) & 7;
    while (!(beside_[from - marks] >> s & 1));
    const signed char *const last = from + step_[s];
    for (signed char *here = from;;) {
      // The next neighbour against the clock: one there is, where the walk came from.
      const unsigned twice = beside_[here - marks] * 0x101u >> (s + 1);
      const int on = (s + 1 + __builtin_ctz(twice)) & 7;
      const bool open = static_cast<unsigned>(on - 1) < static_cast<unsigned>(s);
      *here = static_cast<signed char>(open ? rightOpen : *here == 1 ? seen : *here);
      out->push_back(at);
      at.x += dx[on];
      at.y += dy[on];
      signed char *const next = here + step_[on];
      if (next == from && here == last) return;
      here = next;
      s = on ^ 4;
    }
  }

  signed char *mark_;
  int w_, h_, stride_, x_ = 0, y_ = 0;
  std::vector<unsigned char> beside_;
  int step_[8];
};

void findQuads(const unsigned char *grey, int w, int h, int window, double minSidePx, double polyRate, std::vector<Quad> *out) {
  std::vector<signed char> dark;
  darkPixels(grey, w, h, window, &dark);
  Borders borders(dark.data(), w, h);
  std::vector<cv::Point> outline, corner;
  Quad q;
  while (borders.next(static_cast<size_t>(std::ceil(4 * (minSidePx - 1))), &outline))
    if (fourSided(outline, minSidePx, polyRate, &corner) && fitted(outline, corner, &q)) out->push_back(q);
  // From the foot of the picture up, as OpenCV lists outlines: of two that read as one
  // marker, the first is kept.
  std::reverse(out->begin(), out->end());
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
    findQuads(grey, width, height, window, minSidePx, polyRate, &quads);
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
