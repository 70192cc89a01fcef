#include "angles.h"

#include <algorithm>
#include <cmath>

#include "wide.h"

namespace {
const double pi = 3.14159265358979323846;
// open is how near to a bin's edge, in bins, a direction is worked out in full: some
// times what the short series and floats are off by at 254 bins.
const float open = 1e-3f;

// bins finds each point's bin by a short series (Abramowitz and Stegun 1964, 4.4.47, right
// to 1e-5 rad): count for those too near or too far, count + 1 by a bin's edge.
WIDE void binsOf(const float *px, const float *py, int n, float x, float y, float least, float most, int count, uint8_t *out) {
  const float turn = static_cast<float>(pi), quarter = static_cast<float>(pi / 2), per = static_cast<float>(count / (2 * pi)),
              half = 0.5f * static_cast<float>(count);
  for (int i = 0; i < n; i++) {
    const float dx = px[i] - x, dy = py[i] - y, ax = std::fabs(dx), ay = std::fabs(dy), r = dx * dx + dy * dy;
    // Sums and products only: where the compiler sees two choices hang on one question,
    // it makes branches of them, and no wide loop.
    const float less = 0.5f * (ax + ay - std::fabs(ax - ay)), more = ax + ay - less;
    const float t = less / more, s = t * t;
    float a = t * (0.9998660f + s * (-0.3302995f + s * (0.1801410f + s * (-0.0851330f + s * 0.0208351f))));
    const float steep = static_cast<float>(ay > ax), back = static_cast<float>(dx < 0);
    a = steep * quarter + (1 - 2 * steep) * a;
    a = back * turn + (1 - 2 * back) * a;
    const float at = std::copysign(a, dy) * per + half;
    const int b = static_cast<int>(at);
    const float rest = at - static_cast<float>(b);
    const int inside = -((rest >= open) & (rest <= 1 - open)), meant = -((r >= least) & (r <= most) & (r > 0));
    // Without branches: a bin's own number, else one past the last or two past it.
    const int in = count + 1 + ((b - count - 1) & inside);
    out[i] = static_cast<uint8_t>(count + ((in - count) & meant));
  }
}
}  // namespace

void rl_angle_votes(const double *px, const double *py, const float *fx, const float *fy, const uint8_t *mark, int n,
                    double x, double y, double least, double most, int bins, uint8_t *scratch, int32_t *all, int32_t *marked) {
  binsOf(fx, fy, n, static_cast<float>(x), static_cast<float>(y), static_cast<float>(least), static_cast<float>(most), bins, scratch);
  // Neighbours mostly fall in one bin: in turn they count apart, or each would wait
  // for the one before it.
  uint64_t count[4][rl_most_bins + 2] = {};
  for (int i = 0; i < n; i++) {
    int b = scratch[i];
    if (b == bins + 1) b = std::min(static_cast<int>((std::atan2(py[i] - y, px[i] - x) / (2 * pi) + 0.5) * bins), bins - 1);
    count[i & 3][b] += 1 + (static_cast<uint64_t>(mark[i]) << 32);
  }
  for (int b = 0; b < bins; b++) {
    const uint64_t sum = count[0][b] + count[1][b] + count[2][b] + count[3][b];
    all[b] += static_cast<int32_t>(sum & 0xffffffff);
    marked[b] += static_cast<int32_t>(sum >> 32);
  }
}
