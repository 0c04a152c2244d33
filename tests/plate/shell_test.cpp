// A curved board resists as a shell: a published case of the shallow spherical shell.

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "plates.h"

namespace lieflat {
namespace {

using namespace testing;

/// Grid lines from the middle of a side to both ends: fine there, coarser step by step outwards.
std::vector<double> LinesFromTheMiddle(double side_mm, double finest_mm, double coarsest_mm) {
  constexpr double kGrowth = 1.06;
  std::vector<double> out = {0.0};
  for (double step = finest_mm; out.back() + step < side_mm / 2; step *= kGrowth)
    out.push_back(out.back() + std::min(step, coarsest_mm));
  std::vector<double> lines;
  for (const double d : out) {
    lines.push_back(side_mm / 2 + d);
    if (d > 0) lines.push_back(side_mm / 2 - d);
  }
  std::sort(lines.begin(), lines.end());
  return lines;
}

// A point force P on a shallow spherical shell of radius R sinks in by P l^2 / (8 D) against its
// surroundings, l^2 = R t / sqrt(12 (1 - nu^2)), that is sqrt(3 (1 - nu^2)) P R / (4 E t^2):
// Reissner, Stresses and small displacements of shallow spherical shells II, J. Math. Phys. 25
// (1946) 279, for an endless shell, where the deflection goes as kei(r / l). Surroundings: 8 l
// away, where kei is under a thousandth of kei(0) (Abramowitz & Stegun, Table 9.12). The edge, held
// in height alone, is twice as far: it carries the load by a rim of bending that moves the inside
// as a whole. The force is so small that the answer is linear in it.
TEST(Shell, PointForceOnAShallowSphere) {
  constexpr double kSide = 240.0, kRadius = 500.0, kThick = 0.4;
  constexpr double kModulus = 20000.0, kPoisson = 0.15, kForce = 1e-4;
  PlateModel model = BareBoard(kSide, kSide, Ply::Isotropic(kModulus, kPoisson, kThick), 6.0);
  const double length = std::sqrt(kRadius * kThick / std::sqrt(12 * (1 - kPoisson * kPoisson)));
  model.lines_x_mm = model.lines_y_mm = LinesFromTheMiddle(kSide, length / 10, length / 2);
  const auto plate = Plate::Make(model).value();
  const HeightField sphere = [](const Eigen::Vector2d& at) {
    return -(at - Eigen::Vector2d(kSide / 2, kSide / 2)).squaredNorm() / (2 * kRadius);
  };
  Hold hold = Bare();
  for (const Eigen::Vector2d& p : PointsOn(plate, {0.0, kSide}, {0.0, kSide}))
    hold.rests.push_back({p, sphere(p), true});
  const Eigen::Vector2d middle(kSide / 2, kSide / 2);
  hold.forces = {{middle, -kForce}};
  const auto solution = plate.Solve(sphere, hold);
  ASSERT_TRUE(solution) << solution.error().Text();
  const double expected = std::sqrt(3 * (1 - kPoisson * kPoisson)) * kForce * kRadius /
                          (4 * kModulus * kThick * kThick);
  const auto sinks_in = [&](const PlateSolution& answer) {
    const double far = 8 * length;
    double around = 0.0;
    for (const Eigen::Vector2d& off : {Eigen::Vector2d(far, 0), Eigen::Vector2d(0, far)})
      around +=
          (plate.Displacement(answer, middle + off) + plate.Displacement(answer, middle - off)) / 4;
    return around - plate.Displacement(answer, middle);
  };
  constexpr double kTolerance = 0.01;
  EXPECT_NEAR(sinks_in(*solution), expected, kTolerance * expected);
  // As a flat plate it would sink in many times as far.
  const auto as_flat = plate.Solve(sphere, hold, kLinear);
  ASSERT_TRUE(as_flat) << as_flat.error().Text();
  EXPECT_GT(sinks_in(*as_flat), 10 * expected);
}

}  // namespace
}  // namespace lieflat
