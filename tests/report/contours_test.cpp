#include "report/contours.h"

#include <cmath>
#include <functional>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace lieflat::report {
namespace {

HeightGrid Grid(int side, double size_mm, const std::function<double(double, double)>& height) {
  HeightGrid grid;
  grid.origin_mm = {-0.5 * size_mm, -0.5 * size_mm};
  grid.step_mm = Eigen::Vector2d::Constant(size_mm / side);
  grid.z_mm.resize(side + 1, side + 1);
  for (Eigen::Index row = 0; row <= side; ++row) {
    for (Eigen::Index column = 0; column <= side; ++column) {
      const Eigen::Vector2d at = grid.Place(row, column);
      grid.z_mm(row, column) = height(at.x(), at.y());
    }
  }
  return grid;
}

// Closed form: the level h of z = (x^2 + y^2) / (2 R) is the circle of radius sqrt(2 R h). Straight
// interpolation between points a step s apart is off by at most s^2 / (8 R) in height, so by that
// over the slope r / R in radius: s^2 / (8 r).
TEST(Contours, ParaboloidGivesCircles) {
  constexpr double kR = 400.0;
  constexpr int kSide = 60;
  constexpr double kSize = 120.0;
  const HeightGrid grid =
      Grid(kSide, kSize, [](double x, double y) { return (x * x + y * y) / (2.0 * kR); });
  for (const double level : {0.5, 1.0, 2.0, 4.0}) {
    const auto lines = Contours(grid, level);
    ASSERT_EQ(lines.size(), 1U) << "level " << level;
    EXPECT_TRUE(lines[0].closed);
    const double radius = std::sqrt(2.0 * kR * level);
    const double step = kSize / kSide;
    for (const auto& point : lines[0].points_mm) {
      EXPECT_NEAR(point.norm(), radius, step * step / (8.0 * radius) + 1e-12) << "level " << level;
    }
    // The polygon's length falls short of the circle's by about (step / r)^2 / 24 of it, and never
    // exceeds it by more.
    const double circumference = 2.0 * std::acos(-1.0) * radius;
    EXPECT_NEAR(lines[0].Length(), circumference, circumference * step * step / (radius * radius));
  }
}

// z = x^2 / (2 a) + y^2 / (2 b): the level h is the ellipse x^2 / (2 a h) + y^2 / (2 b h) = 1;
// points are held against it through their height, which is off by at most s^2 / (8 min(a, b)).
TEST(Contours, EllipticParaboloidGivesEllipses) {
  constexpr double kA = 300.0;
  constexpr double kB = 900.0;
  const auto height = [](double x, double y) { return x * x / (2.0 * kA) + y * y / (2.0 * kB); };
  const HeightGrid grid = Grid(80, 160.0, height);
  const auto lines = Contours(grid, 1.5);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_TRUE(lines[0].closed);
  const double step = 2.0;
  for (const auto& point : lines[0].points_mm) {
    EXPECT_NEAR(height(point.x(), point.y()), 1.5, step * step / (8.0 * kA) + 1e-12);
  }
}

// A plane is interpolated exactly: its levels are straight lines from side to side.
TEST(Contours, PlaneGivesStraightLines) {
  const auto height = [](double x, double y) { return 0.02 * x - 0.013 * y + 0.1; };
  const HeightGrid grid = Grid(37, 100.0, height);
  const auto lines = Contours(grid, 0.35);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_FALSE(lines[0].closed);
  constexpr double kTolMm = 1e-12;  // roundings of values near 1
  for (const auto& point : lines[0].points_mm)
    EXPECT_NEAR(height(point.x(), point.y()), 0.35, kTolMm);
  const Eigen::Vector2d chord = lines[0].points_mm.back() - lines[0].points_mm.front();
  EXPECT_NEAR(lines[0].Length(), chord.norm(), 1e-9);
}

// z = x y / k: the level c > 0 has two branches, one in each of two quadrants.
TEST(Contours, SaddleHasTwoBranches) {
  const HeightGrid grid = Grid(50, 100.0, [](double x, double y) { return x * y / 500.0; });
  EXPECT_EQ(Contours(grid, 1.0).size(), 2U);
  EXPECT_EQ(Contours(grid, -1.0).size(), 2U);
}

TEST(Contours, SaddleInOneCellIsSettledByItsMean) {
  HeightGrid grid{{0, 0}, {1, 1}, Eigen::Matrix2d{{1.0, -1.0}, {-1.0, 1.5}}};
  // Mean 0.125, above 0: the high corners (0,0) and (1,1) are joined, and no line may pass between
  // them.
  const auto lines = Contours(grid, 0.0);
  ASSERT_EQ(lines.size(), 2U);
  for (const auto& line : lines) {
    ASSERT_EQ(line.points_mm.size(), 2U);
    const Eigen::Vector2d middle = 0.5 * (line.points_mm[0] + line.points_mm[1]);
    EXPECT_GT(std::abs(middle.x() - middle.y()), 0.2) << "the line crosses the joined diagonal";
  }
}

TEST(Contours, NothingOutsideTheRange) {
  const HeightGrid grid = Grid(10, 50.0, [](double x, double) { return x / 100.0; });
  EXPECT_TRUE(Contours(grid, 5.0).empty());
  EXPECT_TRUE(Contours(grid, -5.0).empty());
  const HeightGrid flat = Grid(10, 50.0, [](double, double) { return 0.0; });
  EXPECT_TRUE(Contours(flat, 0.0).empty());
}

// Every crossing of a grid line is on exactly one contour line, once: nothing lost, nothing
// doubled.
TEST(Contours, RandomSurfacesKeepEveryCrossing) {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    SCOPED_TRACE(seed);
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    const HeightGrid grid = Grid(12, 12.0, [&](double, double) { return normal(random); });
    std::size_t crossings = 0;
    const auto above = [&](Eigen::Index r, Eigen::Index c) { return grid.z_mm(r, c) >= 0.0; };
    for (Eigen::Index r = 0; r < 13; ++r) {
      for (Eigen::Index c = 0; c < 13; ++c) {
        if (c < 12 && above(r, c) != above(r, c + 1)) ++crossings;
        if (r < 12 && above(r, c) != above(r + 1, c)) ++crossings;
      }
    }
    std::size_t points = 0;
    for (const auto& line : Contours(grid, 0.0)) points += line.points_mm.size();
    EXPECT_EQ(points, crossings);
  }
}

TEST(ContourInterval, DrawsAtMostNineLinesOfNiceHeights) {
  for (const double range : {0.01, 0.3, 0.85, 1.0, 2.0, 4.5, 7.0, 12.0, 30.0}) {
    const double interval = ContourInterval(-0.4 * range, 0.6 * range);
    EXPECT_LE(std::floor(0.6 * range / interval) + std::floor(0.4 * range / interval) + 1.0, 9.0)
        << range;
    EXPECT_THAT(interval, testing::AnyOf(0.1, 0.2, 0.5, 1.0, 2.0, 5.0)) << range;
  }
  EXPECT_EQ(ContourInterval(-0.2, 0.3), 0.1);
  EXPECT_EQ(ContourInterval(-2.0, 2.0), 0.5);
}

// Straight interpolation is exact for a + b x + c y + d x y.
TEST(HeightGrid, InterpolatesBilinearSurfacesExactly) {
  const auto height = [](double x, double y) { return 1.0 + 0.2 * x - 0.1 * y + 0.01 * x * y; };
  const HeightGrid grid = Grid(9, 30.0, height);
  constexpr double kTolMm = 1e-12;
  for (const Eigen::Vector2d& at :
       {Eigen::Vector2d(0.3, -7.1), Eigen::Vector2d(14.9, 15.0), Eigen::Vector2d(-15.0, -15.0)}) {
    EXPECT_NEAR(grid.At(at), height(at.x(), at.y()), kTolMm);
  }
}

}  // namespace
}  // namespace lieflat::report
