// A board on its edge under its own weight.

#include "lieflat/board/upright.h"

#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/board/mass.h"

namespace lieflat {
namespace {

// E 20 GPa, t 1.6 mm, nu 0.15, 8 kg/m2: (7.84 * 6984 / 7.845e-5)^(1/3) = 887 mm; a board 300 mm
// high leans 1 / (1 - (300/887)^3) = 1.040 times as far as it is bent.
TEST(Upright, DesktopBoard) {
  const double critical = CriticalHeight(PlateStiffness(20000.0, 1.6, 0.15), 8.0 * 9.80665e-6);
  EXPECT_NEAR(critical, 887.0, 0.5);
  EXPECT_NEAR(LeanFactor(300.0, critical).value(), 1.040, 5e-4);
  EXPECT_EQ(LeanFactor(0.0, critical).value(), 1.0);
  EXPECT_FALSE(LeanFactor(critical, critical).has_value());
  EXPECT_FALSE(LeanFactor(2.0 * critical, critical).has_value());
}

/// J_(-1/3)(x) without its factor (x/2)^(-1/3): sum of (-1)^m (x/2)^(2m) / (m! Gamma(m + 2/3)).
double BesselSeries(double x) {
  double sum = 0.0;
  for (int m = 0; m < 30; ++m) {
    sum += (m % 2 == 0 ? 1.0 : -1.0) * std::pow(0.5 * x, 2 * m) /
           (std::tgamma(m + 1.0) * std::tgamma(m + 2.0 / 3.0));
  }
  return sum;
}

// Timoshenko & Gere, Theory of Elastic Stability, 2nd ed., art. 2.12: q H^3 / D = 7.837, where
// J_(-1/3)(2/3 sqrt(q H^3 / D)) is first zero.
TEST(Upright, CriticalHeightIsTheFirstZero) {
  const double cube = std::pow(CriticalHeight(1.0, 1.0), 3);
  EXPECT_NEAR(cube, 7.837, 5e-4);
  const double zero = 2.0 / 3.0 * std::sqrt(cube);
  EXPECT_NEAR(BesselSeries(zero), 0.0, 1e-6);  // eight figures of the zero
  for (double x = 0.0; x < 0.99 * zero; x += 0.01) EXPECT_GT(BesselSeries(x), 0.0) << x;
}

}  // namespace
}  // namespace lieflat
