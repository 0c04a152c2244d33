// Strain from curvature.

#include "lieflat/joints/strain.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "support/counts.h"

namespace lieflat {
namespace {

constexpr double kMicrostrain = 1e-6;
constexpr double kTolRounding = 1e-15;  // of strains near 1e-3

// A bow of 2.25 mm over 300 mm is 0.75 %; its curvature 8 h / L^2 = 2.0e-4 per mm strains the faces
// of a 1.6 mm board by k t / 2 = 160.0 microstrain. The convex face is stretched.
TEST(SurfaceStrain, BowAtTheLimit) {
  const Curvature middle_up(-8.0 * 2.25 / (300.0 * 300.0), 0.0, 0.0);
  EXPECT_NEAR(
      SurfaceStrain(middle_up, 1.6, Side::kComponent).x(), 160.0 * kMicrostrain, kTolRounding);
  EXPECT_NEAR(
      SurfaceStrain(middle_up, 1.6, Side::kSolder).x(), -160.0 * kMicrostrain, kTolRounding);
}

// Twist at 0.75 % of a 300 x 240 mm board (IPC-TM-650 2.4.22C 5.2.2): the fourth corner lifts by
// R = 2 D 0.75 / 100 = 5.763 mm, zxy = R / (L W) = 8.004e-5 per mm, principal strains +-64.0
// microstrain at 45 degrees.
TEST(SurfaceStrain, TwistAtTheLimit) {
  const double lift = 2.0 * std::hypot(300.0, 240.0) * 0.75 / 100.0;
  EXPECT_NEAR(lift, 5.763, 5e-4);
  const double c = lift / (300.0 * 240.0);
  EXPECT_NEAR(c, 8.004e-5, 5e-9);
  const auto [first, second] = Principal(SurfaceStrain({0.0, 0.0, c}, 1.6, Side::kComponent));
  EXPECT_NEAR(first, 64.0 * kMicrostrain, 0.05 * kMicrostrain);
  EXPECT_NEAR(second, -first, kTolRounding);
}

// Mohr's circle: kx 2e-4, ky -1e-4, c 1.5e-4 (w = - kx x^2/2 - ky y^2/2 + c x y), t 1.6:
// (t/2) [(kx + ky)/2 +- sqrt(((kx - ky)/2)^2 + c^2)] = +209.7, -129.7 microstrain.
TEST(Principal, MohrCircle) {
  const auto [first, second] =
      Principal(SurfaceStrain({-2e-4, 1e-4, 1.5e-4}, 1.6, Side::kComponent));
  EXPECT_NEAR(first, 209.7 * kMicrostrain, 0.05 * kMicrostrain);
  EXPECT_NEAR(second, -129.7 * kMicrostrain, 0.05 * kMicrostrain);
  EXPECT_EQ(LargestPrincipal(SurfaceStrain({-2e-4, 1e-4, 1.5e-4}, 1.6, Side::kComponent)), first);
  const double other_face =
      LargestPrincipal(SurfaceStrain({-2e-4, 1e-4, 1.5e-4}, 1.6, Side::kSolder));
  EXPECT_NEAR(other_face, -first, kTolRounding);
}

// IEC 60068-2-21 test Ue1 geometry: 2 mm over a span of 90 mm. A beam loaded in the middle has the
// curvature 12 d / L^2 there, so 6 t d / L^2 = 2 370 microstrain at t 1.6.
TEST(SurfaceStrain, BendTestOfChipCapacitors) {
  const Curvature centre(-12.0 * 2.0 / (90.0 * 90.0), 0.0, 0.0);
  EXPECT_NEAR(
      SurfaceStrain(centre, 1.6, Side::kComponent).x(), 2370.4 * kMicrostrain, 0.05 * kMicrostrain);
}

// Diagonal strain metric max(|e2|, |e1 + e3 - e2|) of a 0/45/90 rosette (Joyce, Board Test Workshop
// 2005): e1 400, e2 -100, e3 250 gives 750; shear e2 - (e1 + e3)/2 = -425, principals 325 +-
// sqrt(75^2 + 425^2) = +756.57, -106.57.
TEST(DiagonalStrain, Rosette) {
  EXPECT_EQ(DiagonalStrain(400.0, -100.0, 250.0), 750.0);
  const auto [first, second] = Principal({400.0, 250.0, -100.0 - 325.0});
  EXPECT_NEAR(first, 756.57, 0.005);
  EXPECT_NEAR(second, -106.57, 0.005);
  // The same state as a tensor, the rosette's 45 degree element on the package's diagonal.
  EXPECT_NEAR(DiagonalStrain(Eigen::Vector3d(400.0, 250.0, -425.0), 0.0), 750.0, 1e-9);
}

// The same three readings as a tensor: principals +756.57, -106.57. A 0/60/120 rosette of +800,
// -200, +625 (readings of a mechanics course's example): eyy = (2 (e60 + e120) - e0) / 3 = 16.67,
// gamma = 2 (e60 - e120) / sqrt(3) = -952.6, principals +1025.0, -208.3.
TEST(Rosette, ToStrain) {
  const auto [first, second] = Principal(FromRosette45(400.0, -100.0, 250.0));
  EXPECT_NEAR(first, 756.57, 0.005);
  EXPECT_NEAR(second, -106.57, 0.005);
  const Eigen::Vector3d strain = FromRosette60(800.0, -200.0, 625.0);
  EXPECT_EQ(strain.x(), 800.0);
  EXPECT_NEAR(strain.y(), 16.67, 0.005);
  EXPECT_NEAR(2.0 * strain.z(), -952.6, 0.05);
  EXPECT_NEAR(Principal(strain)[0], 1025.0, 0.05);
  EXPECT_NEAR(Principal(strain)[1], -208.3, 0.05);
}

// Gauges read e(a) = exx cos^2 a + eyy sin^2 a + 2 exy sin a cos a; both rosettes give the strain
// back.
TEST(Rosette, RoundTrip) {
  constexpr std::uint64_t kSeed = 19;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(200, 20000); ++i) {
    const Eigen::Vector3d e(random.Normal(), random.Normal(), random.Normal());
    const auto gauge = [&](double degrees) {
      const double angle = degrees * std::numbers::pi / 180.0;
      const double c = std::cos(angle);
      const double s = std::sin(angle);
      return e.x() * c * c + e.y() * s * s + 2.0 * e.z() * s * c;
    };
    constexpr double kTol = 1e-14;  // a dozen roundings of values near 1
    EXPECT_LT((FromRosette45(gauge(0), gauge(45), gauge(90)) - e).norm(), kTol);
    EXPECT_LT((FromRosette60(gauge(0), gauge(60), gauge(120)) - e).norm(), kTol);
  }
}

// Turning the strain and the package together changes nothing; no direction shows more than the
// largest principal.
TEST(DiagonalStrain, TurnsWithThePackage) {
  constexpr std::uint64_t kSeed = 11;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(500, 20000); ++i) {
    const Eigen::Vector3d e(random.Normal(), random.Normal(), random.Normal());
    const double rotation = random.Uniform(-3.0, 3.0);
    const double turn = random.Uniform(-3.0, 3.0);
    const double c = std::cos(turn);
    const double s = std::sin(turn);
    const Eigen::Vector3d turned(e.x() * c * c + e.y() * s * s - 2 * e.z() * s * c,
                                 e.x() * s * s + e.y() * c * c + 2 * e.z() * s * c,
                                 (e.x() - e.y()) * s * c + e.z() * (c * c - s * s));
    constexpr double kTol = 1e-12;  // a dozen roundings of values near 1
    EXPECT_NEAR(DiagonalStrain(turned, rotation + turn), DiagonalStrain(e, rotation), kTol);
    EXPECT_NEAR(Principal(turned)[0], Principal(e)[0], kTol);
    EXPECT_LE(DiagonalStrain(e, rotation), std::abs(LargestPrincipal(e)) + kTol);
    // A quarter turn swaps the two diagonals.
    EXPECT_NEAR(
        DiagonalStrain(e, rotation + 0.5 * std::numbers::pi), DiagonalStrain(e, rotation), kTol);
  }
}

}  // namespace
}  // namespace lieflat
