// What copper adds to a laminate's stiffness.

#include "lieflat/board/laminate.h"

#include <cmath>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

constexpr double kTolMpa = 50.0;  // expected values are given to 0.1 GPa

// Parallel-axis sum with E0 20 GPa, copper 117 GPa, t 1.6 mm: two layers of 35 um at z 0.78 mm and
// 40 % cover: 20 + 2 * 0.035 * 0.78^2 * 0.4 * 97 / (1.6^3 / 12) = 24.8 GPa; full cover 32.1; with
// two planes of 80 % at z 0.45 28.1 in bending, 25.1 in tension.
TEST(Copper, LayerSums) {
  const CopperPair outer{0.035, 0.78, 0.4};
  const CopperPair planes{0.035, 0.45, 0.8};
  EXPECT_NEAR(FlexuralModulus(20000.0, 1.6, {outer}, calib()), 24800.0, kTolMpa);
  EXPECT_NEAR(FlexuralModulus(20000.0, 1.6, {{0.035, 0.78, 1.0}}, calib()), 32100.0, kTolMpa);
  EXPECT_NEAR(FlexuralModulus(20000.0, 1.6, {outer, planes}, calib()), 28100.0, kTolMpa);
  EXPECT_NEAR(TensileModulus(20000.0, 1.6, {outer, planes}, calib()), 25100.0, kTolMpa);
}

// Against layers integrated through the thickness, E(z) z^2 over t^3 / 12 and E(z) over t: the
// formula leaves out each layer's own t_i^3 / 12 only.
TEST(Copper, IntegratedThroughTheThickness) {
  constexpr double kThickness = 1.6;
  constexpr double kFoil = 0.035;
  constexpr double kMiddle = 0.7;
  constexpr double kCover = 0.6;
  constexpr int kSteps = 160000;
  double bending = 0.0;
  double tension = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double z = kThickness * ((i + 0.5) / kSteps - 0.5);
    const bool copper = std::abs(std::abs(z) - kMiddle) < 0.5 * kFoil;
    const double modulus = 20000.0 + (copper ? kCover * 97000.0 : 0.0);
    bending += modulus * z * z * kThickness / kSteps;
    tension += modulus * kThickness / kSteps;
  }
  const double expected = 12.0 * bending / (kThickness * kThickness * kThickness);
  const std::vector<CopperPair> pair = {{kFoil, kMiddle, kCover}};
  constexpr double kTolShare = 1e-3;  // the layer's own term, (0.035 / 0.7)^2 / 12, and the steps
  EXPECT_NEAR(FlexuralModulus(20000.0, kThickness, pair, calib()), expected, kTolShare * expected);
  EXPECT_NEAR(TensileModulus(20000.0, kThickness, pair, calib()),
              tension / kThickness,
              kTolShare * expected);
  EXPECT_EQ(FlexuralModulus(20000.0, kThickness, {}, calib()), 20000.0);
}

}  // namespace
}  // namespace lieflat
