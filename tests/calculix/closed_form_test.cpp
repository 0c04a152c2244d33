// The solid model alone, before anything is compared with it: closed forms of plates and beams.

#include <cmath>

#include <gtest/gtest.h>

#include "calculix/solid_model.h"
#include "support/temporary_folder.h"

namespace lieflat::testing {
namespace {

std::vector<double> Lines(double length_mm, int cells) {
  std::vector<double> lines;
  for (int i = 0; i <= cells; ++i) {
    lines.push_back(length_mm * i / cells);
  }
  return lines;
}

SolidModel FlatBoard(double long_mm, double wide_mm, int columns, int rows, const Ply& ply) {
  SolidModel model;
  model.x_mm = Lines(long_mm, columns);
  model.y_mm = Lines(wide_mm, rows);
  model.shape = [](const Eigen::Vector2d&) { return 0.0; };
  model.board = ply;
  model.large_deflection = false;
  return model;
}

// Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, table 8: a simply supported square
// under even pressure q sinks by 0.00406 q a^4 / D at its middle; 0.0040624 with more digits (their
// series summed).
TEST(Solid, SimplySupportedSquareSinksAsTheTableSays) {
  constexpr double kSideMm = 100, kThickMm = 1, kPressureMpa = 1e-4, kModulus = 20000, kNu = 0.3;
  SolidModel model = FlatBoard(kSideMm, kSideMm, 12, 12, Ply::Isotropic(kModulus, kNu, kThickMm));
  model.loads.push_back({{0, 0}, {kSideMm, kSideMm}, kPressureMpa * kSideMm * kSideMm});
  std::vector<HeldVertex> held;
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    const Eigen::Vector2d at = model.At(vertex);
    if (at.minCoeff() <= 0 || at.maxCoeff() >= kSideMm) {
      held.push_back({vertex, 0.0});
    }
  }
  const TemporaryFolder folder;
  const auto answer = SolveSolid(model, held, folder.path());
  ASSERT_TRUE(answer) << answer.error().Text();
  const double d = kModulus * std::pow(kThickMm, 3) / (12 * (1 - kNu * kNu));
  const double sag_mm = 0.0040624 * kPressureMpa * std::pow(kSideMm, 4) / d;
  const int middle = model.VertexAt({kSideMm / 2, kSideMm / 2});
  // Edges held at vertices only and shear through the thickness: under 1 % on this mesh.
  constexpr double kTolShare = 0.01;
  EXPECT_NEAR(answer->height_mm[static_cast<std::size_t>(middle)], -sag_mm, kTolShare * sag_mm);
  double up_n = 0.0;
  for (const double n : answer->up_n) {
    up_n += n;
  }
  constexpr double kTolN = 1e-6;  // printed with seven digits, by 48 supports of about 0.02 N
  EXPECT_NEAR(up_n, kPressureMpa * kSideMm * kSideMm, kTolN);
}

// Corner forces P, -P, P, -P twist a free plate to w = c x y, c = P / (2 D (1 - nu)) (Timoshenko &
// Woinowsky-Krieger, article 11); strain on a face t c, all of it shear.
TEST(Solid, CornerForcesTwistItEvenly) {
  constexpr double kLongMm = 120, kWideMm = 100, kThickMm = 1, kModulus = 20000, kNu = 0.3;
  constexpr double kForceN = 0.1;
  SolidModel model = FlatBoard(kLongMm, kWideMm, 12, 10, Ply::Isotropic(kModulus, kNu, kThickMm));
  model.forces.push_back({{kLongMm, kWideMm}, kForceN});
  const std::vector<HeldVertex> held = {{model.VertexAt({0, 0}), 0.0},
                                        {model.VertexAt({kLongMm, 0}), 0.0},
                                        {model.VertexAt({0, kWideMm}), 0.0}};
  const TemporaryFolder folder;
  const auto answer = SolveSolid(model, held, folder.path());
  ASSERT_TRUE(answer) << answer.error().Text();
  const double d = kModulus * std::pow(kThickMm, 3) / (12 * (1 - kNu * kNu));
  const double c = kForceN / (2 * d * (1 - kNu));
  const auto far = static_cast<std::size_t>(model.VertexAt({kLongMm, kWideMm}));
  const auto middle = static_cast<std::size_t>(model.VertexAt({kLongMm / 2, kWideMm / 2}));
  // Along free edges the shear strain dies within one thickness (Saint-Venant: the torsion constant
  // of a strip falls by 0.63 t / width), which makes a solid softer by some 2 t / width here.
  constexpr double kTolLift = 2 * kThickMm / kWideMm;
  EXPECT_NEAR(answer->height_mm[far], c * kLongMm * kWideMm, kTolLift * c * kLongMm * kWideMm);
  constexpr double kTolStrain = 0.01;
  EXPECT_NEAR(
      std::abs(answer->top_strain[middle].z()), kThickMm / 2 * c, kTolStrain * kThickMm * c);
  EXPECT_NEAR(answer->top_strain[middle].x(), 0.0, kTolStrain * kThickMm * c);
}

// A strip rolled to radius r without stress and laid out flat: strain t / (2 r) on each face, in
// the middle, whatever holds it (large deflection).
TEST(Solid, BowedStripHeldFlatIsStrainedByItsCurvature) {
  constexpr double kLongMm = 100, kWideMm = 20, kThickMm = 1, kRadiusMm = 1000;
  SolidModel model = FlatBoard(kLongMm, kWideMm, 10, 2, Ply::Isotropic(20000, 0.0, kThickMm));
  model.large_deflection = true;
  model.shape = [](const Eigen::Vector2d& at) {
    const double x = at.x() - kLongMm / 2;
    return std::sqrt(kRadiusMm * kRadiusMm - x * x) - kRadiusMm;
  };
  std::vector<HeldVertex> held;
  held.reserve(static_cast<std::size_t>(model.vertices()));
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    held.push_back({vertex, 0.0});
  }
  const TemporaryFolder folder;
  const auto answer = SolveSolid(model, held, folder.path());
  ASSERT_TRUE(answer) << answer.error().Text();
  const double strain = kThickMm / (2 * kRadiusMm);
  const auto middle = static_cast<std::size_t>(model.VertexAt({kLongMm / 2, kWideMm / 2}));
  constexpr double kTolShare = 0.005;  // the arc is a parabola cell by cell
  EXPECT_NEAR(answer->top_strain[middle].x(), -strain, kTolShare * strain);
  EXPECT_NEAR(answer->bottom_strain[middle].x(), strain, kTolShare * strain);
  EXPECT_GT(answer->iterations, 1);
  EXPECT_LT(answer->residual, 1e-3);
}

// A board held to w = c x^2 / 2 under a body that does not bend: the body floats at the joints'
// mean height, so a joint at x carries k (mean - w(x)); and the face there moves by -t/2 c x, so
// its shear along x is k (t/2) c x.
TEST(Solid, JointsUnderARigidBodyCarryTheShapeOfTheBoard) {
  constexpr double kSideMm = 20, kThickMm = 1, kBend = 1e-4, kAxial = 0.02, kShear = 0.03;
  SolidModel model = FlatBoard(kSideMm, kSideMm, 8, 8, Ply::Isotropic(20000, 0.0, kThickMm));
  for (double& x : model.x_mm) {
    x -= kSideMm / 2;
  }
  for (const Side side : {Side::kComponent, Side::kSolder}) {
    SolidPart part;
    part.low_mm = {-5, 5};
    part.high_mm = {5, 15};
    part.side = side;
    part.ply = Ply::Isotropic(2e7, 0.0, 2.0);
    for (const double x : {-5.0, -2.5, 2.5, 5.0}) {
      for (const double y : {5.0, 15.0}) {
        part.joints.push_back({{x, y}, kAxial, kShear});
      }
    }
    model.parts = {part};
    std::vector<HeldVertex> held;
    held.reserve(static_cast<std::size_t>(model.vertices()));
    for (int vertex = 0; vertex < model.vertices(); ++vertex) {
      held.push_back({vertex, kBend / 2 * std::pow(model.At(vertex).x(), 2)});
    }
    const TemporaryFolder folder;
    const auto answer = SolveSolid(model, held, folder.path());
    ASSERT_TRUE(answer) << answer.error().Text();
    const double over = side == Side::kComponent ? 1.0 : -1.0;
    const double mean_mm = kBend / 2 * (25.0 + 6.25) / 2;
    // The board is held at its vertices alone, and gives a little between them: 0.3 % of its slope.
    constexpr double kTolShare = 0.005;
    const double tolerance_n = kTolShare * kShear * kThickMm / 2 * kBend * 5.0;
    for (std::size_t i = 0; i < part.joints.size(); ++i) {
      const double x = part.joints[i].at_mm.x();
      const Eigen::Vector3d load_n = answer->joint_n.front()[i];
      EXPECT_NEAR(load_n.x(), kAxial * over * (mean_mm - kBend / 2 * x * x), tolerance_n) << x;
      EXPECT_NEAR(load_n.y(), kShear * over * kThickMm / 2 * kBend * x, tolerance_n) << x;
      EXPECT_NEAR(load_n.z(), 0.0, tolerance_n) << x;
    }
  }
}

}  // namespace
}  // namespace lieflat::testing
