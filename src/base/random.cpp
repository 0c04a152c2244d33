#include "lieflat/base/random.h"

#include <cmath>

namespace lieflat {

double Random::Uniform() {
  // 52 bits and a half: with 53 the largest value would round to 1.
  constexpr double kStep = 0x1p-52;
  return (static_cast<double>(engine_() >> 12U) + 0.5) * kStep;
}

double Random::Normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  for (;;) {
    const double u = Uniform(-1.0, 1.0);
    const double v = Uniform(-1.0, 1.0);
    const double s = u * u + v * v;
    if (s >= 1.0 || s == 0.0) continue;
    const double factor = std::sqrt(-2.0 * std::log(s) / s);
    spare_ = v * factor;
    has_spare_ = true;
    return u * factor;
  }
}

}  // namespace lieflat
