// A board without weight between two parallel plates: it turns until both touch it in balance.

#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"
#include "lieflat/board/zone.h"

#include "plates.h"

namespace lieflat {
namespace {

using namespace testing;

constexpr double kModulus = 20000.0, kThick = 1.6;

Hold Between(double gap_mm) {
  Hold hold;
  hold.own_weight = false;
  hold.plate = Hold::TopPlate{gap_mm, 0.0};
  return hold;
}

/// Bow of 5 mm and some cubic, so that it lies on a slant, on a plane of its own.
HeightField Shape(double tilt_x, double tilt_y, double cubic) {
  return [=](const Eigen::Vector2d& at) {
    const double u = at.x() / 150.0 - 1.0;
    return -5.0 * u * u + cubic * u * u * u + tilt_x * at.x() + tilt_y * at.y();
  };
}

// However the shape is given, it is the same board: force and gap do not know its plane.
TEST(Floating, ATiltChangesNothing) {
  const auto plate =
      Plate::Make(BareBoard(300, 240, Ply::Isotropic(kModulus, 0.15, kThick), 10)).value();
  for (const double gap : {4.5, 3.0, 1.0}) {
    const auto level = plate.Solve(Shape(0, 0, 1.5), Between(gap)).value();
    const auto tilted = plate.Solve(Shape(0.03, -0.02, 1.5), Between(gap)).value();
    EXPECT_GT(level.plate_force_n, 0.0) << gap;
    EXPECT_NEAR(tilted.plate_force_n, level.plate_force_n, 1e-3 * level.plate_force_n) << gap;
    EXPECT_NEAR(tilted.gap_mm(), level.gap_mm(), 1e-4);
  }
}

// A strip (nu = 0) between planes, down to a third of its rise: F = 48 EI (h - g) / L^3, from its
// very first touch on.
TEST(Floating, ForceFromTheFirstTouchOn) {
  const auto plate =
      Plate::Make(BareBoard(300, 240, Ply::Isotropic(kModulus, 0.0, kThick), 10)).value();
  const double stiffness = kModulus * 240 * std::pow(kThick, 3) / 12.0;
  // The crown may lie between grid lines: the rise is that of the board's points.
  const auto apart = plate.Solve(Shape(0.02, 0.01, 0.0), Between(5.1)).value();
  EXPECT_EQ(apart.plate_force_n, 0.0);
  EXPECT_TRUE(apart.contacts.empty());
  const double rise = apart.gap_mm();
  EXPECT_NEAR(rise, 5.0, 0.01);
  for (const double gap : {4.9, 4.0, 3.0, 2.0}) {
    const double force = 48.0 * stiffness * (rise - gap) / std::pow(300.0, 3);
    const auto solution = plate.Solve(Shape(0.02, 0.01, 0.0), Between(gap)).value();
    EXPECT_NEAR(solution.plate_force_n, force, 0.01 * force) << gap;
  }
}

// The narrowest space of random points, by brute force over the planes through three of them.
TEST(Floating, NarrowestSpaceByBruteForce) {
  Random random(20260302);
  for (int trial = 0; trial < 20; ++trial) {
    constexpr int kPoints = 14;
    Eigen::MatrixX3d points(kPoints, 3);
    for (int i = 0; i < kPoints; ++i)
      points.row(i) << random.Uniform(0, 300), random.Uniform(0, 240), random.Uniform(-3, 3);
    // One plane holds three points, or one holds two and the other two: the directions of all.
    double best = 1e9;
    const auto height_of = [&](double a, double b) {
      const Eigen::VectorXd z = points.col(2) - a * points.col(0) - b * points.col(1);
      return z.maxCoeff() - z.minCoeff();
    };
    const auto through = [&](const Eigen::Vector3d& p, const Eigen::Vector3d& q) {
      const Eigen::Vector3d normal = p.cross(q);
      if (std::abs(normal.z()) > 1e-9)
        best = std::min(best, height_of(-normal.x() / normal.z(), -normal.y() / normal.z()));
    };
    std::vector<Eigen::Vector3d> arms;
    for (int i = 0; i < kPoints; ++i) {
      for (int j = i + 1; j < kPoints; ++j) arms.emplace_back(points.row(j) - points.row(i));
    }
    for (std::size_t i = 0; i < arms.size(); ++i) {
      for (std::size_t j = i + 1; j < arms.size(); ++j) through(arms[i], arms[j]);
    }
    const Zone zone = MinimumZone(points);
    EXPECT_NEAR(zone.height_mm, best, 1e-5 * best);
    const Eigen::VectorXd over = points.col(2) - Eigen::VectorXd::Constant(kPoints, zone.plane(0)) -
                                 points.leftCols<2>() * zone.plane.tail<2>();
    EXPECT_NEAR(over.minCoeff(), 0.0, 1e-9);
    EXPECT_NEAR(over.maxCoeff(), zone.height_mm, 1e-9);
    for (const Zone::Touching& touching : zone.touching)
      EXPECT_NEAR(over(touching.point), touching.above ? zone.height_mm : 0.0, 1e-4);
  }
}

}  // namespace
}  // namespace lieflat
