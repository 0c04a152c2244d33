// The facet of the lower hull under a place, against every triangle of the points: the hull's
// height there is the lowest that any triangle round the place has (Caratheodory's theorem in the
// plane).

#include "plate/lower_facet.h"

#include <cmath>

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

namespace lieflat {
namespace {

struct Points {
  std::vector<Eigen::Vector2d> at;
  std::vector<double> heights;
};

Points Drawn(Random& random, int count) {
  Points points;
  for (int i = 0; i < count; ++i) {
    points.at.emplace_back(random.Uniform(0.0, 100.0), random.Uniform(0.0, 80.0));
    points.heights.push_back(random.Uniform(0.0, 3.0));
  }
  return points;
}

/// Height of the plane through three points at a place round which they stand; else nothing.
std::optional<double> HeightAt(const Points& points,
                               const std::array<int, 3>& t,
                               const Eigen::Vector2d& place) {
  Eigen::Matrix3d m;
  Eigen::Vector3d z;
  for (int k = 0; k < 3; ++k) {
    const auto p = static_cast<std::size_t>(t[static_cast<std::size_t>(k)]);
    m.col(k) << points.at[p], 1.0;
    z(k) = points.heights[p];
  }
  const Eigen::Vector3d weights = m.inverse() * Eigen::Vector3d(place.x(), place.y(), 1.0);
  if (!(weights.minCoeff() >= -1e-9)) return std::nullopt;
  return weights.dot(z);
}

std::optional<double> LowestOfAll(const Points& points, const Eigen::Vector2d& place) {
  std::optional<double> lowest;
  const int n = static_cast<int>(points.at.size());
  for (int a = 0; a < n; ++a)
    for (int b = a + 1; b < n; ++b)
      for (int c = b + 1; c < n; ++c)
        if (const auto height = HeightAt(points, {a, b, c}, place))
          lowest = std::min(lowest.value_or(*height), *height);
  return lowest;
}

TEST(LowerFacet, IsTheLowestOfAllTrianglesRoundThePlace) {
  Random random(31);
  int held = 0, outside = 0;
  for (int i = 0; i < 400; ++i) {
    const Points points = Drawn(random, 3 + random.Below(10));
    const Eigen::Vector2d place(random.Uniform(0.0, 100.0), random.Uniform(0.0, 80.0));
    const auto wanted = LowestOfAll(points, place);
    const auto found = LowerFacet(points.at, points.heights, place);
    ASSERT_EQ(found.has_value(), wanted.has_value()) << "case " << i;
    if (!found) {
      ++outside;
      continue;
    }
    const auto height = HeightAt(points, *found, place);
    ASSERT_TRUE(height) << "case " << i;
    EXPECT_NEAR(*height, *wanted, 1e-9) << "case " << i;
    ++held;
  }
  EXPECT_GT(held, 100);
  EXPECT_GT(outside, 50);
}

TEST(LowerFacet, TwoPointsOrPointsOnALineHoldNothing) {
  const Eigen::Vector2d place(1.0, 0.0);
  EXPECT_FALSE(LowerFacet({{0, 0}, {2, 0}}, {0, 0}, place));
  EXPECT_FALSE(LowerFacet({{0, 0}, {1, 0}, {2, 0}, {3, 0}}, {0, 1, 0, 1}, place));
}

}  // namespace
}  // namespace lieflat
