// One cell: what it must reproduce exactly, and that its tangent is the derivative of its forces.

#include "plate/element.h"

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

namespace lieflat {
namespace {

constexpr double kA = 7.0, kB = 4.0;
constexpr double kRounding = 1e-9;
const Ply kPly{22000, 18000, 0.136, 4800, 1.57};

struct Quadratic {
  double kx, ky, c, tilt_x, tilt_y, lift;
};

BendingVector NodesOf(const Quadratic& w) {
  BendingVector nodes;
  const std::array<std::array<double, 2>, 4> at = {{{0, 0}, {kA, 0}, {kA, kB}, {0, kB}}};
  for (int n = 0; n < 4; ++n) {
    const double x = at[static_cast<std::size_t>(n)][0], y = at[static_cast<std::size_t>(n)][1];
    nodes.segment<3>(3 * n) << 0.5 * w.kx * x * x + 0.5 * w.ky * y * y + w.c * x * y +
                                   w.tilt_x * x + w.tilt_y * y + w.lift,
        w.kx * x + w.c * y + w.tilt_x, w.ky * y + w.c * x + w.tilt_y;
  }
  return nodes;
}

TEST(Cell, ConstantCurvatureAndTwistAreExact) {
  const Quadratic w{2e-4, -1e-4, 1.5e-4, 0.01, -0.02, 0.3};
  const BendingVector nodes = NodesOf(w);
  for (const auto& [s, t] : {std::pair{0.0, 0.0}, {1.0, 0.0}, {0.3, 0.8}}) {
    const Eigen::Vector3d curvature = CurvatureRows(kA, kB, s, t) * nodes;
    EXPECT_NEAR(curvature(0), w.kx, kRounding * 1e-3);
    EXPECT_NEAR(curvature(1), w.ky, kRounding * 1e-3);
    EXPECT_NEAR(curvature(2), w.c, kRounding * 1e-3);
  }
  // Energy per area (Timoshenko & Woinowsky-Krieger, art. 88): half the curvatures into moments.
  const Eigen::Vector3d bent(w.kx, w.ky, 2 * w.c);
  const double energy = 0.5 * nodes.dot(BendingStiffness(kA, kB, kPly.Bending()) * nodes);
  EXPECT_NEAR(energy, 0.5 * kA * kB * bent.dot(kPly.Bending() * bent), kRounding);
}

// Moments along x alone bend a plate across as well, ky = -nu kx (anticlastic): the moment across
// is then nothing, and kx = M / (D (1 - nu^2)). Timoshenko & Woinowsky-Krieger, art. 11.
TEST(Cell, AnticlasticBending) {
  const Ply ply = Ply::Isotropic(20000, 0.15, 1.6);
  const double kx = 2e-4;
  const Eigen::Vector3d moments = ply.Bending() * Eigen::Vector3d(kx, -0.15 * kx, 0.0);
  EXPECT_NEAR(moments(1), 0.0, kRounding);
  EXPECT_NEAR(moments(0), ply.Bending()(0, 0) * (1 - 0.15 * 0.15) * kx, kRounding);
}

TEST(Cell, RigidMotionGivesNoForce) {
  const BendingVector rigid = NodesOf({0, 0, 0, 0.02, -0.01, 3.0});
  EXPECT_LT((BendingStiffness(kA, kB, kPly.Bending()) * rigid).cwiseAbs().maxCoeff(), 1e-8);
  // A warped cell tilted by b about y: w = b x, and u = -b (z0 + w / 2) to second order.
  Random random(5);
  MembraneCell::Heights shape;
  for (int n = 0; n < 4; ++n) shape(n) = random.Normal();
  const double b = 0.01, c = -0.02;
  CellVector x = CellVector::Zero();
  const std::array<std::array<double, 2>, 4> at = {{{0, 0}, {kA, 0}, {kA, kB}, {0, kB}}};
  for (int n = 0; n < 4; ++n) {
    const double px = at[static_cast<std::size_t>(n)][0], py = at[static_cast<std::size_t>(n)][1];
    const double w = b * px + c * py;
    x(5 * n + kW) = w;
    x(5 * n + kU) = -b * (shape(n) + 0.5 * w);
    x(5 * n + kV) = -c * (shape(n) + 0.5 * w);
  }
  CellVector forces = CellVector::Zero();
  MembraneCell(kA, kB, kPly.Membrane()).Add(x, shape, true, forces, nullptr);
  EXPECT_LT(forces.cwiseAbs().maxCoeff(), 1e-8);
}

TEST(Cell, EvenStretchIsExact) {
  const Eigen::Vector3d strain(1e-4, -2e-4, 3e-4);
  CellVector x = CellVector::Zero();
  const std::array<std::array<double, 2>, 4> at = {{{0, 0}, {kA, 0}, {kA, kB}, {0, kB}}};
  for (int n = 0; n < 4; ++n) {
    const double px = at[static_cast<std::size_t>(n)][0], py = at[static_cast<std::size_t>(n)][1];
    x(5 * n + kU) = strain(0) * px + 0.4 * strain(2) * py;
    x(5 * n + kV) = strain(1) * py + 0.6 * strain(2) * px;
  }
  const MembraneCell cell(kA, kB, kPly.Membrane());
  EXPECT_NEAR(cell.Energy(x, MembraneCell::Heights::Zero(), true),
              0.5 * kA * kB * strain.dot(kPly.Membrane() * strain),
              kRounding);
}

TEST(Cell, ForcesAndTangentAreDerivatives) {
  Random random(9);
  CellVector x;
  MembraneCell::Heights shape;
  for (int k = 0; k < x.size(); ++k) x(k) = 0.05 * random.Normal();
  for (int n = 0; n < 4; ++n) shape(n) = 0.3 * random.Normal();
  const MembraneCell cell(kA, kB, kPly.Membrane());
  CellVector forces = CellVector::Zero();
  CellMatrix tangent = CellMatrix::Zero();
  cell.Add(x, shape, true, forces, &tangent);
  EXPECT_LT((tangent - tangent.transpose()).cwiseAbs().maxCoeff(),
            1e-9 * tangent.cwiseAbs().maxCoeff());
  const double h = 1e-5;
  for (int k = 0; k < x.size(); ++k) {
    CellVector up = x, down = x;
    up(k) += h;
    down(k) -= h;
    // Central differences of a quartic: exact to h^2.
    EXPECT_NEAR(forces(k),
                (cell.Energy(up, shape, true) - cell.Energy(down, shape, true)) / (2 * h),
                1e-5 * forces.cwiseAbs().maxCoeff());
    CellVector more = CellVector::Zero(), less = CellVector::Zero();
    cell.Add(up, shape, true, more, nullptr);
    cell.Add(down, shape, true, less, nullptr);
    EXPECT_LT(((more - less) / (2 * h) - tangent.col(k)).cwiseAbs().maxCoeff(),
              1e-6 * tangent.cwiseAbs().maxCoeff());
  }
}

}  // namespace
}  // namespace lieflat
