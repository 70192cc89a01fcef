#include "angles.h"

#include <algorithm>
#include <cmath>

#include "wide.h"

namespace {
const double pi = 3.14159265358979323846;
// open is how near to a bin's edge, in bins, a direction is worked out in full.
const double open = 1e-3;

// turns is each point's direction in turns from minus a half, by a short series
// (Abramowitz and Stegun 1964, 4.4.47, right to 1e-5 rad).
WIDE void turns(const double *px, const double *py, int n, double x, double y, double *out) {
  for (int i = 0; i < n; i++) {
    const double dx = px[i] - x, dy = py[i] - y, ax = std::fabs(dx), ay = std::fabs(dy);
    const double low = ax < ay ? ax : ay, high = ax < ay ? ay : ax;
    const double t = low / high, s = t * t;
    double a = t * (0.9998660 + s * (-0.3302995 + s * (0.1801410 + s * (-0.0851330 + s * 0.0208351))));
    a = ay > ax ? pi / 2 - a : a;
    a = dx < 0 ? pi - a : a;
    a = dy < 0 ? -a : a;
    out[i] = a * (1 / (2 * pi)) + 0.5;
  }
}
}  // namespace

void rl_angle_votes(const double *px, const double *py, const unsigned char *mark, int n, double x, double y,
                    double least, double most, int bins, double *scratch, double *all, double *marked) {
  turns(px, py, n, x, y, scratch);
  for (int i = 0; i < n; i++) {
    const double dx = px[i] - x, dy = py[i] - y, r = dx * dx + dy * dy;
    if (!(r >= least && r <= most) || r == 0) continue;
    const double at = scratch[i] * bins;
    int b = static_cast<int>(at);
    const double rest = at - b;
    if (rest < open || rest > 1 - open) b = static_cast<int>((std::atan2(dy, dx) / (2 * pi) + 0.5) * bins);
    b = std::min(b, bins - 1);
    all[b]++;
    marked[b] += mark[i];
  }
}
