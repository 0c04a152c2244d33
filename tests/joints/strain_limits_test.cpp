// Published lines on strain: rate and thickness, bend test of chip parts, shock.

#include "lieflat/joints/strain_limits.h"

#include <cmath>

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "support/counts.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

constexpr double kMicrostrain = 1e-6;
constexpr double kTolLastDigit = 0.05 * kMicrostrain;  // expected values are given to 0.1

// IPC/JEDEC-9704 (2005), appendix A (from memory): sqrt(2.35 / t) (1900 - 300 log10(rate)).
TEST(RateLine, Formula) {
  struct Row {
    double thickness_mm, rate_ue_per_s, expected_ue;
  };
  const std::vector<Row> rows = {{2.35, 1000, 1000.0},
                                 {2.35, 5000, 790.3},
                                 {2.35, 50000, 490.3},
                                 {1.6, 100, 1575.5},
                                 {1.6, 1000, 1211.9},
                                 {1.6, 5000, 957.8},
                                 {1.57, 500, 1333.9},
                                 {1.57, 5000, 966.9}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.thickness_mm);
    SCOPED_TRACE(row.rate_ue_per_s);
    EXPECT_NEAR(RateLineStrain(row.thickness_mm, row.rate_ue_per_s * kMicrostrain, calib()),
                row.expected_ue * kMicrostrain,
                kTolLastDigit);
  }
}

// Engineering choice: the line is not followed below 500 microstrain a second; 1321.4 at t 1.6.
TEST(RateLine, SlowBendingGainsNothing) {
  const double at_500 = RateLineStrain(1.6, 500 * kMicrostrain, calib());
  EXPECT_NEAR(at_500, 1321.4 * kMicrostrain, kTolLastDigit);
  for (const double rate_ue : {0.0, 0.1, 100.0, 499.0, 500.0}) {
    EXPECT_EQ(RateStrainLimit(1.6, rate_ue * kMicrostrain, calib()), at_500);
  }
  EXPECT_EQ(RateStrainLimit(1.6, 5000 * kMicrostrain, calib()),
            RateLineStrain(1.6, 5000 * kMicrostrain, calib()));
  // The line crosses 0 at 10^(1900/300) = 2.2e6 microstrain a second.
  EXPECT_LT(RateLineStrain(1.6, 1e7 * kMicrostrain, calib()), 0.0);
  EXPECT_EQ(RateStrainLimit(1.6, 1e7 * kMicrostrain, calib()), 0.0);
}

// The form of the same line: limits go as 1 / sqrt(t), the reference 1.6 mm.
TEST(ThicknessFactor, GoesAsTheLine) {
  constexpr double kTol = 1e-15;  // two roots
  EXPECT_EQ(ThicknessFactor(1.6, calib()), 1.0);
  EXPECT_NEAR(ThicknessFactor(0.4, calib()), 2.0, kTol);
  EXPECT_NEAR(RateLineStrain(1.0, 1e-3, calib()) / RateLineStrain(1.6, 1e-3, calib()),
              ThicknessFactor(1.0, calib()),
              kTol * 10);
}

// Simply supported beam with a load in the middle: 6 t d / L^2; span 90 mm and 1.6 mm board as in
// IEC 60068-2-21, test Ue1.
TEST(ThreePointBend, BendTestGeometry) {
  const std::vector<std::pair<double, double>> rows = {
      {1.0, 1185.2}, {2.0, 2370.4}, {3.0, 3555.6}, {5.0, 5925.9}};
  for (const auto& [deflection_mm, expected_ue] : rows) {
    const double strain = ThreePointBendStrain(1.6, deflection_mm, 90.0);
    EXPECT_NEAR(strain, expected_ue * kMicrostrain, kTolLastDigit);
    constexpr double kTolRounding = 1e-14;
    EXPECT_NEAR(BendTestDeflection(strain, calib()), deflection_mm, kTolRounding);
  }
}

// Weibull in the deflection, size 1206 (slope 4.87, 2.72 mm, fitted to a capacitor maker's sheet):
// 800 microstrain are 8e-4 * 90^2 / 9.6 = 0.675 mm; 1 - exp(-(0.675/2.72)^4.87) = 1.13e-3; of 100
// alike 1 - (1 - p)^100 = 0.107.
TEST(ChipCrack, WorkedExample) {
  const ChipBendLaw law = ChipBendLawOf(3.2, calib());
  EXPECT_EQ(law.size, "1206");
  EXPECT_NEAR(BendTestDeflection(800 * kMicrostrain, calib()), 0.675, 1e-12);
  const double p = ChipCrackProbability(800 * kMicrostrain, law, calib());
  EXPECT_NEAR(p, 1.13e-3, 5e-6);
  EXPECT_NEAR(AnyOfProbability(p, 100), 0.107, 5e-4);
}

// The sheet the law of size 0805 was fitted to: 10/30/80/90/100 % of ten at 3/4/5/6/7 mm, none at
// 2 mm. Ten parts leave a share open by sqrt(p (1 - p) / 10), 16 % at most; two of these.
TEST(ChipCrack, FollowsTheSheet) {
  const ChipBendLaw law = ChipBendLawOf(2.0, calib());
  EXPECT_EQ(law.size, "0805");
  const std::vector<std::pair<double, double>> sheet = {
      {2.0, 0.0}, {3.0, 0.1}, {4.0, 0.3}, {5.0, 0.8}, {6.0, 0.9}, {7.0, 1.0}};
  for (const auto& [deflection_mm, share] : sheet) {
    SCOPED_TRACE(deflection_mm);
    constexpr double kTolTenParts = 0.32;
    const double strain = ThreePointBendStrain(1.6, deflection_mm, 90.0);
    EXPECT_NEAR(ChipCrackProbability(strain, law, calib()), share, kTolTenParts);
  }
}

// Against the Weibull distribution of the GNU Scientific Library.
TEST(ChipCrack, AgreesWithAReferenceLibrary) {
  constexpr std::uint64_t kSeed = 31;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(1000, 50000); ++i) {
    const double strain = random.Uniform(0.0, 8e-3);
    const ChipBendLaw law = ChipBendLawOf(random.Uniform(0.5, 6.0), calib());
    const double expected =
        gsl_cdf_weibull_P(strain * 90.0 * 90.0 / (6.0 * 1.6), law.scale_mm, law.slope);
    constexpr double kTolShare = 1e-12;  // a power and an exponential of either library
    EXPECT_NEAR(ChipCrackProbability(strain, law, calib()), expected, kTolShare * expected);
  }
  EXPECT_EQ(ChipCrackProbability(-1e-3, ChipBendLawOf(3.2, calib()), calib()), 0.0);
}

// 1 - (1 - p)^n, for p too small for that form to keep any digit as well.
TEST(AnyOf, SmallAndLarge) {
  EXPECT_NEAR(AnyOfProbability(0.5, 2), 0.75, 1e-15);
  EXPECT_NEAR(AnyOfProbability(1e-20, 10) / 1e-19, 1.0, 1e-12);
  EXPECT_EQ(AnyOfProbability(1.0, 3), 1.0);
  EXPECT_EQ(AnyOfProbability(0.3, 0), 0.0);
}

// A chipset's thermal and mechanical design guide, table 8-1: below 2000 low, 2000 to 2400 medium,
// above high; compression, hence the sign.
TEST(ShockBands, Table) {
  const std::vector<std::pair<double, const char*>> rows = {{1900, "low"},
                                                            {1999.9, "low"},
                                                            {2000.1, "medium"},
                                                            {2200, "medium"},
                                                            {2399.9, "medium"},
                                                            {2400.1, "high"},
                                                            {2500, "high"}};
  EXPECT_THROW((void)Name(static_cast<ShockBand>(3)), std::logic_error);
  EXPECT_EQ(ShockBandOf(2000 * kMicrostrain, calib()), ShockBand::kMedium);
  EXPECT_EQ(ShockBandOf(2400 * kMicrostrain, calib()), ShockBand::kMedium);
  for (const auto& [strain_ue, name] : rows) {
    EXPECT_STREQ(Name(ShockBandOf(-strain_ue * kMicrostrain, calib())), name) << strain_ue;
    EXPECT_STREQ(Name(ShockBandOf(strain_ue * kMicrostrain, calib())), name) << strain_ue;
  }
}

// Up to 2.0 mm a chip counts as 0805, from there on as 1206 (calib/joints.json).
TEST(ChipCrack, SizeByLength) {
  EXPECT_EQ(ChipBendLawOf(2.0, calib()).size, "0805");
  EXPECT_EQ(ChipBendLawOf(2.01, calib()).size, "1206");
  EXPECT_EQ(ChipCrackProbability(0.0, ChipBendLawOf(3.2, calib()), calib()), 0.0);
  EXPECT_EQ(AnyOfProbability(0.3, -1), 0.0);
  EXPECT_EQ(AnyOfProbability(0.3, 1), 0.3);
}

}  // namespace
}  // namespace lieflat
