// lnOf is Cephes's logf (Moshier 1992, coefficients from memory; a test holds it
// against math.Log), good to the last bit or two of a float.
#ifndef ROWLIGHT_LOGARITHM_H
#define ROWLIGHT_LOGARITHM_H
#include <cstdint>
#include <cstring>

namespace {
inline float lnOf(float x) {
  uint32_t bits;
  std::memcpy(&bits, &x, sizeof bits);
  const uint32_t half = (bits & 0x7fffff) > 0x3504f3 ? 1 : 0;  // over the root of 2
  const float e = static_cast<float>(static_cast<int32_t>(bits >> 23) - 127 + static_cast<int32_t>(half));
  bits = (bits & 0x7fffff) | (0x3f800000 - (half << 23));
  float m;
  std::memcpy(&m, &bits, sizeof m);
  const float f = m - 1, z = f * f;
  float y = 7.0376836292e-2f;
  y = y * f - 1.1514610310e-1f;
  y = y * f + 1.1676998740e-1f;
  y = y * f - 1.2420140846e-1f;
  y = y * f + 1.4249322787e-1f;
  y = y * f - 1.6668057665e-1f;
  y = y * f + 2.0000714765e-1f;
  y = y * f - 2.4999993993e-1f;
  y = y * f + 3.3333331174e-1f;
  y = y * f * z;
  y += -2.12194440e-4f * e;
  y += -0.5f * z;
  return f + y + 0.693359375f * e;
}
}  // namespace
#endif
