// Plane polygons.

#include "lieflat/board/polygon.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "support/counts.h"

namespace lieflat {
namespace {

constexpr double kTolRounding =
    1e-9;  // of areas up to 1e5 mm2 and lengths up to 1e3 mm, relative 1e-12 or better

const Ring kLetterL = {{0, 0}, {40, 0}, {40, 10}, {10, 10}, {10, 30}, {0, 30}};

// 40 x 10 and 10 x 20: area 600; centroid by moments, x = (400 * 20 + 200 * 5) / 600, y = (400 * 5
// + 200 * 20) / 600.
TEST(Polygon, LetterL) {
  EXPECT_NEAR(SignedArea(kLetterL), 600.0, kTolRounding);
  EXPECT_NEAR(Centroid(kLetterL).x(), 15.0, kTolRounding);
  EXPECT_NEAR(Centroid(kLetterL).y(), 10.0, kTolRounding);
  EXPECT_TRUE(Inside(kLetterL, {5, 25}));
  EXPECT_FALSE(Inside(kLetterL, {20, 20}));
  EXPECT_TRUE(Inside(kLetterL, {40, 5})) << "on the boundary";
  EXPECT_NEAR(DistanceToBoundary(kLetterL, {20, 20}), 10.0, kTolRounding);
  EXPECT_FALSE(SelfCrossing(kLetterL));
}

TEST(Polygon, FindsCrossings) {
  EXPECT_EQ(SelfCrossing({{0, 0}, {10, 0}, {0, 10}, {10, 10}}),
            std::pair(std::size_t{1}, std::size_t{3}));
  EXPECT_TRUE(SelfCrossing({{0, 0}, {10, 0}, {5, 0}, {5, 5}})) << "an edge that runs back";
  EXPECT_TRUE(SelfCrossing({{0, 0}, {10, 0}, {10, 10}, {5, 0}, {0, 10}})) << "a point on an edge";
  EXPECT_FALSE(SelfCrossing({{0, 0}, {5, 0}, {10, 0}, {10, 10}}))
      << "points in line are no crossing";
  EXPECT_TRUE(RingsMeet({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{5, 5}, {15, 5}, {15, 8}}));
  EXPECT_FALSE(RingsMeet({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{5, 5}, {8, 5}, {8, 8}}));
}

// Closed form: the regular polygon of n corners on a circle r has area n r^2 sin(2 pi / n) / 2;
// turning and shifting it changes nothing.
TEST(Polygon, RegularPolygonsAnywhere) {
  constexpr std::uint64_t kSeed = 5;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(100, 2000); ++i) {
    const int n = 3 + random.Below(20);
    const double r = random.Uniform(1.0, 100.0);
    const double turn = random.Uniform(0.0, 6.0);
    const Eigen::Vector2d centre(random.Uniform(-300, 300), random.Uniform(-300, 300));
    Ring ring;
    for (int k = 0; k < n; ++k) {
      const double angle = turn + 2.0 * std::numbers::pi * k / n;
      ring.emplace_back(centre + r * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
    }
    const double area = 0.5 * n * r * r * std::sin(2.0 * std::numbers::pi / n);
    EXPECT_NEAR(SignedArea(ring), area, kTolRounding);
    EXPECT_NEAR((Centroid(ring) - centre).norm(), 0.0, kTolRounding);
    EXPECT_NEAR(DistanceToBoundary(ring, centre), r * std::cos(std::numbers::pi / n), kTolRounding);
    EXPECT_TRUE(Inside(ring, centre));
    EXPECT_FALSE(Inside(ring, centre + Eigen::Vector2d(0.0, 1.01 * r)));
  }
}

}  // namespace
}  // namespace lieflat
