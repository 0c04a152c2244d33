// Creep-limited extension of joints and the cycles they stand.

#include "lieflat/joints/fatigue.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

// Engelmaier, IEEE Trans. CHMT 6 (1983) 232 (from memory), ductility 0.325: at 25 C and 720 min
// c = -0.442 - 0.015 + 0.0174 ln 1.5 = -0.450, N = (0.0681 / 0.65)^(1/c) / 2 = 75.
TEST(Fatigue, WorkedExample) {
  EXPECT_NEAR(FatigueExponent(25.0, 720.0, calib()), -0.450, 5e-4);
  EXPECT_NEAR(CyclesToFailure(0.0681, 25.0, 720.0, calib()), 75.0, 0.5);
}

// 5 mm of bow over 300 mm is a curvature of 8 * 5 / 300^2 = 4.44e-4 per mm. Half spans of 19, 25
// and 18 pitches of 1.27 mm, joints 0.55 and 0.9 mm high: k a^2 / 3 = 21.6, 37.4, 19.4 um; strain
// 3.9, 6.8, 2.2 %; times sqrt(3) and through the law above 75, 22 and 287 cycles.
TEST(Fatigue, BowOfFiveMillimetres) {
  struct Row {
    double pitches, height_mm, extension_um, strain_percent, cycles;
  };
  const std::vector<Row> rows = {
      {19, 0.55, 21.6, 3.9, 75}, {25, 0.55, 37.4, 6.8, 22}, {18, 0.9, 19.4, 2.2, 287}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.pitches);
    const double extension = CreepExtension(4.45e-4, 0.5 * row.pitches * 1.27);
    EXPECT_NEAR(1e3 * extension, row.extension_um, 0.06);
    EXPECT_NEAR(100.0 * extension / row.height_mm, row.strain_percent, 0.06);
    const double shear = ExtensionShear(extension, row.height_mm, calib());
    EXPECT_NEAR(shear, std::sqrt(3.0) * extension / row.height_mm, 1e-9);
    constexpr double kTolShare = 0.02;  // the strains above are given to two figures
    EXPECT_NEAR(CyclesToFailure(shear, 25.0, 720.0, calib()), row.cycles, kTolShare * row.cycles);
  }
}

// Closed form against its definition: the largest distance of k x^2 / 2 from its mean over -a to a.
TEST(CreepExtension, LargestDistanceFromTheMean) {
  constexpr double kCurvature = 3e-4;
  constexpr double kHalfSpan = 16.0;
  constexpr int kSteps = 20000;
  double mean = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double x = kHalfSpan * (2.0 * (i + 0.5) / kSteps - 1.0);
    mean += 0.5 * kCurvature * x * x / kSteps;
  }
  double largest = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double x = kHalfSpan * (2.0 * i / kSteps - 1.0);
    largest = std::max(largest, std::abs(0.5 * kCurvature * x * x - mean));
  }
  constexpr double kTolMidpoint = 1e-8;  // of the sum, a share of 1 / kSteps^2
  EXPECT_NEAR(CreepExtension(kCurvature, kHalfSpan), largest, kTolMidpoint * largest * 10);
  EXPECT_EQ(CreepExtension(-kCurvature, kHalfSpan), CreepExtension(kCurvature, kHalfSpan));
}

// Life goes as strain to the power 1 / c (twice the strain, 2^(1/0.44994) = 4.67 times fewer);
// longer dwells and warmer joints last less; damage adds up as n / N (Miner).
TEST(Fatigue, Trends) {
  const double once = CyclesToFailure(0.05, 25.0, 720.0, calib());
  const double exponent = FatigueExponent(25.0, 720.0, calib());
  EXPECT_NEAR(
      once / CyclesToFailure(0.10, 25.0, 720.0, calib()), std::pow(2.0, -1.0 / exponent), 1e-9);
  EXPECT_LT(CyclesToFailure(0.05, 60.0, 720.0, calib()), once);
  EXPECT_LT(CyclesToFailure(0.05, 25.0, 7200.0, calib()), once);
  EXPECT_EQ(CyclesToFailure(-0.05, 25.0, 720.0, calib()), once);
  EXPECT_EQ(FatigueDamage(10.0, 75.0), 10.0 / 75.0);
  EXPECT_EQ(FatigueDamage(10.0, CyclesToFailure(0.0, 25.0, 720.0, calib())), 0.0);
  // Dwells under a minute count as one.
  EXPECT_EQ(FatigueExponent(25.0, 0.0, calib()), FatigueExponent(25.0, 1.0, calib()));
}

}  // namespace
}  // namespace lieflat
