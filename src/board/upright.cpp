#include "lieflat/board/upright.h"

#include <cmath>

namespace lieflat {

double CriticalHeight(double stiffness_n_mm, double pressure_mpa) {
  // 9/4 of the square of the first zero of the Bessel function of order -1/3.
  constexpr double kFirstZero = 1.8663508;
  return std::cbrt(2.25 * kFirstZero * kFirstZero * stiffness_n_mm / pressure_mpa);
}

std::optional<double> LeanFactor(double height_mm, double critical_height_mm) {
  const double share = height_mm / critical_height_mm;
  if (!(share < 1.0)) return std::nullopt;
  return 1.0 / (1.0 - share * share * share);
}

}  // namespace lieflat
