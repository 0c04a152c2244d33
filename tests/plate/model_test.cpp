// The plate model of a board: laminate, parts as stiffeners, mass.

#include "lieflat/plate/model.h"

#include <cmath>
#include <numbers>
#include <set>

#include <Eigen/Eigenvalues>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"
#include "lieflat/board/mass.h"

#include "support/counts.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

Part PartAt(const std::string& name, double x, double y, double length, double width) {
  Part part;
  part.ref = name + "-1";
  part.part_class = name;
  part.centre_mm = Eigen::Vector2d(x, y);
  part.size_mm = Eigen::Vector2d(length, width);
  return part;
}

Board DesktopBoard() {
  Board board = RectangularBoard(305, 244, calib()).value();
  board.mass_g = Uncertain{600.0, 5.0};
  return board;
}

PlateModel ModelOf(const Board& board, const PlateOptions& options = {}) {
  return MakePlateModel(board, calib(), options).value();
}

/// The one stiffener of a desktop board with this part.
Stiffener StiffenerOf(const Part& part) {
  Board board = DesktopBoard();
  board.parts = {part};
  const PlateModel model = ModelOf(board);
  EXPECT_EQ(model.stiffeners.size(), 1U) << part.ref;
  return model.stiffeners.empty() ? Stiffener{} : model.stiffeners.front();
}

// Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., art. 85:
// Dx = Ex t^3 / 12 (1 - nu_xy nu_yx), Dy alike, D1 = nu_yx Dx, D66 = G t^3 / 12; nu_yx = nu_xy Ey /
// Ex.
TEST(Ply, OrthotropicBending) {
  const Ply ply{22000.0, 18000.0, 0.136, 5000.0, 1.6};
  const double third = 1.6 * 1.6 * 1.6 / 12.0;
  const double poisson_yx = 0.136 * 18000.0 / 22000.0;
  const double over = 1.0 - 0.136 * poisson_yx;
  const Eigen::Matrix3d bending = ply.Bending();
  constexpr double kTol = 1e-9;  // roundings of values near 8 000
  EXPECT_NEAR(bending(0, 0), 22000.0 * third / over, kTol);
  EXPECT_NEAR(bending(1, 1), 18000.0 * third / over, kTol);
  EXPECT_NEAR(bending(0, 1), poisson_yx * bending(0, 0), kTol);
  EXPECT_NEAR(bending(1, 0), 0.136 * bending(1, 1), kTol);
  EXPECT_NEAR(bending(2, 2), 5000.0 * third, kTol);
  EXPECT_EQ(bending(0, 2), 0.0);
  EXPECT_EQ(bending(1, 2), 0.0);
  EXPECT_EQ(bending, bending.transpose());
  EXPECT_NEAR((ply.Membrane() - bending * 12.0 / (1.6 * 1.6)).norm(), 0.0, kTol);
}

// The same, art. 2 and 10: D = E t^3 / 12 (1 - nu^2) = 6 983.8 N mm, D66 = D (1 - nu) / 2.
TEST(Ply, IsotropicBending) {
  const Eigen::Matrix3d bending = Ply::Isotropic(20000.0, 0.15, 1.6).Bending();
  const double d = PlateStiffness(20000.0, 1.6, 0.15);
  constexpr double kTol = 1e-9;
  EXPECT_NEAR(bending(0, 0), d, kTol);
  EXPECT_NEAR(bending(0, 1), 0.15 * d, kTol);
  EXPECT_NEAR(bending(2, 2), 0.5 * (1.0 - 0.15) * d, kTol);
}

// Whatever laminate is accepted resists every strain; one that could not is refused by name.
TEST(MakePlateModel, LaminatesThatCannotBe) {
  Board board = DesktopBoard();
  board.laminate.poisson.value = 0.49;
  board.laminate.modulus_x_mpa.value = 5000.0;
  board.laminate.modulus_y_mpa.value = 25000.0;
  const auto model = MakePlateModel(board, calib());
  ASSERT_FALSE(model);
  EXPECT_EQ(model.error().Text(),
            "laminate, poisson: 0.49 is not below 0.4472, the root of modulus_x_gpa / "
            "modulus_y_gpa (poisson is the contraction along y for a pull along x; check it and "
            "the moduli)");
  board.laminate.poisson.value = 0.44;
  const Eigen::Matrix3d bending = ModelOf(board).board.Bending();
  EXPECT_GT(Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(bending).eigenvalues()[0], 0.0);
  board.mass_g->value = 100.0;
  EXPECT_EQ(MakePlateModel(board, calib()).error().where, "mass_g");
}

// A card slot 138 x 12 x 11 mm, half solid of 8 GPa: E I = 4 GPa * 12 * 11^3 / 12 = 5.3e6 N mm2;
// two rows at 2.54 mm stand as one line of joints at 1.27 mm.
TEST(Stiffeners, CardSlot) {
  const Stiffener slot = StiffenerOf(PartAt("slot", 150, 100, 138, 12));
  const double third = slot.ply.thickness_mm * slot.ply.thickness_mm * slot.ply.thickness_mm / 12.0;
  EXPECT_NEAR(slot.ply.modulus_x_mpa * third * 12.0, 5.3e6, 0.05e6);
  EXPECT_EQ(slot.layout, JointLayout::kLine);
  EXPECT_NEAR(slot.pitch_mm, 1.27, 1e-12);
  EXPECT_EQ(slot.axial_n_per_mm, 3000.0);
  EXPECT_EQ(slot.low_mm, Eigen::Vector2d(81, 94));
  EXPECT_EQ(slot.high_mm, Eigen::Vector2d(219, 106));
  EXPECT_EQ(slot.side, Side::kComponent);
}

TEST(Stiffeners, LayoutsByClass) {
  // Where leads stand by kind of package (common practice): balls all over; four sides of flat
  // packs and chip carriers; two long sides of dual in-line and small outline; a socket as wide as
  // long has a grid of pins.
  struct Row {
    const char* name;
    double length, width;
    JointLayout layout;
  };
  const std::vector<Row> rows = {{"pbga", 27, 27, JointLayout::kArea},
                                 {"fcbga", 35, 35, JointLayout::kArea},
                                 {"csp", 10, 10, JointLayout::kArea},
                                 {"cbga", 25, 25, JointLayout::kArea},
                                 {"lccc", 20, 20, JointLayout::kPerimeter},
                                 {"mlcc", 4.5, 3.2, JointLayout::kArea},
                                 {"plcc", 24, 24, JointLayout::kPerimeter},
                                 {"plcc-socket", 20, 20, JointLayout::kPerimeter},
                                 {"qfp", 28, 28, JointLayout::kPerimeter},
                                 {"cerdip", 37, 15, JointLayout::kLongSides},
                                 {"soic", 18, 7.5, JointLayout::kLongSides},
                                 {"tsop", 20, 10, JointLayout::kLongSides},
                                 {"dip", 50, 14, JointLayout::kLongSides},
                                 {"socket", 50, 16, JointLayout::kLongSides},
                                 {"socket", 47, 47, JointLayout::kArea},
                                 {"connector", 50, 9, JointLayout::kLine},
                                 {"slot", 138, 12, JointLayout::kLine}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.name);
    EXPECT_EQ(StiffenerOf(PartAt(row.name, 150, 100, row.length, row.width)).layout, row.layout);
  }
}

TEST(Stiffeners, WhatDoesNotStiffenIsSaid) {
  Board board = DesktopBoard();
  board.parts = {PartAt("electrolytic", 50, 50, 10, 10),
                 PartAt("battery", 80, 50, 20, 20),
                 PartAt("heatsink", 110, 50, 40, 40),
                 PartAt("label", 150, 50, 30, 10),
                 PartAt("other", 200, 50, 30, 30),
                 PartAt("mlcc", 250, 50, 3.2, 1.6),
                 PartAt("qfp", 250, 150, 28, 28),
                 PartAt("pbga", 0, 0, 0, 0)};
  board.parts.back().centre_mm.reset();
  board.parts.back().size_mm.reset();
  EXPECT_EQ(ModelOf(board).stiffeners.size(), 1U);
  const std::vector<std::pair<std::string, std::string>> expected = {
      {"electrolytic-1", "stands on two wires"},
      {"battery-1", "is held by its clips or two wires"},
      {"heatsink-1", "has no joints with the board of its own"},
      {"label-1", "has no stiffness to speak of"},
      {"other-1", "is of a kind that is not known"},
      {"mlcc-1", "is too small to stiffen the board"},
      {"pbga-1", "has no place on the board"}};
  const std::vector<NotStiffening> said = PartsNotStiffening(board, calib());
  ASSERT_EQ(said.size(), expected.size());
  for (std::size_t i = 0; i < said.size(); ++i) {
    EXPECT_EQ(said[i].ref, expected[i].first);
    EXPECT_EQ(said[i].why, expected[i].second);
  }
}

TEST(Stiffeners, DescriptionBeforeClass) {
  Part part = PartAt("qfp", 150, 100, 28, 28);
  part.side = Side::kSolder;
  part.body_modulus_gpa = 25.0;
  part.body_thickness_mm = 2.0;
  part.joint_axial_n_per_mm = 15.0;
  part.joint_shear_n_per_mm = 12.0;
  part.joint_pitch_mm = 0.635;
  const Stiffener stated = StiffenerOf(part);
  EXPECT_EQ(stated.side, Side::kSolder);
  EXPECT_EQ(stated.ply.modulus_x_mpa, 25000.0);
  EXPECT_EQ(stated.ply.thickness_mm, 2.0);
  EXPECT_EQ(stated.axial_n_per_mm, 15.0);
  EXPECT_EQ(stated.shear_n_per_mm, 12.0);
  EXPECT_EQ(stated.pitch_mm, 0.635);
  // 208 leads over four sides of 28 mm: 112 / 208 mm apart; a stated pitch comes first.
  part.joint_count = 208;
  EXPECT_EQ(StiffenerOf(part).pitch_mm, 0.635);
  part.joint_pitch_mm.reset();
  EXPECT_NEAR(StiffenerOf(part).pitch_mm, 112.0 / 208.0, 1e-12);
  // Twice the usual height, 3.6 mm, is twice the body, 3.4 mm.
  part.body_thickness_mm.reset();
  part.height_mm = 7.2;
  EXPECT_NEAR(StiffenerOf(part).ply.thickness_mm, 6.8, 1e-12);
  // Joints by area, by long side and by line.
  Part grid = PartAt("pbga", 150, 100, 30, 20);
  grid.joint_count = 600;
  EXPECT_NEAR(StiffenerOf(grid).pitch_mm, 1.0, 1e-12);
  Part dip = PartAt("dip", 150, 100, 50, 15);
  dip.joint_count = 40;
  EXPECT_NEAR(StiffenerOf(dip).pitch_mm, 2.5, 1e-12);
  Part slot = PartAt("slot", 150, 100, 138, 12);
  slot.joint_count = 138;
  EXPECT_NEAR(StiffenerOf(slot).pitch_mm, 1.0, 1e-12);
  slot.joint_pitch_mm = 3.0;  // in each of two rows
  EXPECT_NEAR(StiffenerOf(slot).pitch_mm, 1.5, 1e-12);
}

// A part of unknown kind stiffens when its owner says how stiff it and its joints are.
TEST(Stiffeners, UnknownKindDescribedInFull) {
  Part part = PartAt("other", 150, 100, 30, 30);
  part.body_modulus_gpa = 70.0;
  part.joint_axial_n_per_mm = 500.0;
  part.joint_shear_n_per_mm = 200.0;
  Board board = DesktopBoard();
  board.parts = {part};
  EXPECT_TRUE(ModelOf(board).stiffeners.empty());
  part.joint_count = 9;
  const Stiffener made = StiffenerOf(part);
  EXPECT_EQ(made.ply.modulus_x_mpa, 70000.0);
  EXPECT_EQ(made.ply.thickness_mm, 4.0);  // the usual height of its class
  EXPECT_EQ(made.layout, JointLayout::kArea);
  EXPECT_NEAR(made.pitch_mm, 10.0, 1e-12);
}

// A quarter turn swaps the sides; at 45 degrees the square of equal area about the same centre; in
// between the proportions of the bounding box.
TEST(AxisFootprint, Rotation) {
  Part part = PartAt("pbga", 100, 80, 40, 10);
  constexpr double kTol = 1e-12;
  for (const double degrees : {0.0, 180.0, -180.0, 360.0}) {
    part.rotation_deg = degrees;
    const auto [low, high] = AxisFootprint(part);
    EXPECT_NEAR((low - Eigen::Vector2d(80, 75)).norm(), 0.0, kTol);
    EXPECT_NEAR((high - Eigen::Vector2d(120, 85)).norm(), 0.0, kTol);
  }
  part.rotation_deg = -90.0;
  EXPECT_NEAR((AxisFootprint(part).first - Eigen::Vector2d(95, 60)).norm(), 0.0, kTol);
  part.rotation_deg = 45.0;
  EXPECT_NEAR((AxisFootprint(part).second - Eigen::Vector2d(110, 90)).norm(), 0.0, kTol);
  part.rotation_deg = 30.0;
  const auto [low, high] = AxisFootprint(part);
  const Eigen::Vector2d size = high - low;
  EXPECT_NEAR(size.prod(), 400.0, 1e-10);
  const double box_x = 40.0 * std::sqrt(0.75) + 5.0;
  const double box_y = 20.0 + 10.0 * std::sqrt(0.75);
  EXPECT_NEAR(size.x() / size.y(), box_x / box_y, kTol);
  EXPECT_NEAR((0.5 * (low + high) - *part.centre_mm).norm(), 0.0, kTol);
}

// A part that reaches 5 mm over the edge has joints on the board alone; its mass hangs where it is.
TEST(Stiffeners, OverTheEdge) {
  Board board = DesktopBoard();
  board.parts = {PartAt("connector", 150, 0, 40, 10)};
  const PlateModel model = ModelOf(board);
  EXPECT_EQ(model.stiffeners.at(0).low_mm, Eigen::Vector2d(130, 0));
  EXPECT_EQ(model.stiffeners.at(0).high_mm, Eigen::Vector2d(170, 5));
  EXPECT_EQ(model.masses.at(1).low_mm, Eigen::Vector2d(130, -5));
}

double TotalG(const PlateModel& model) {
  double total = 0.0;
  for (const MassPatch& patch : model.masses) total += patch.mass_g;
  return total;
}

Eigen::Vector2d CentreOf(const PlateModel& model, const Board& board) {
  Eigen::Vector2d moment = Eigen::Vector2d::Zero();
  for (const MassPatch& patch : model.masses) {
    const bool even = patch.low_mm == patch.high_mm;
    moment += patch.mass_g *
              (even ? AreaCentre(board) : Eigen::Vector2d(0.5 * (patch.low_mm + patch.high_mm)));
  }
  return moment / TotalG(model);
}

Board RandomBoard(Random& random) {
  Board board =
      RectangularBoard(random.Uniform(150, 350), random.Uniform(100, 300), calib()).value();
  const auto [low, high] = board.Box();
  if (random.Uniform() < 0.5) board.cutouts_mm = {{{20, 20}, {60, 25}, {40, 60}}};
  if (random.Uniform() < 0.7) {
    board.mass_g = Uncertain{board.Area() * 1e-3 * random.Uniform(3.2, 12.0), 5.0};
  }
  const std::vector<std::string> classes = calib().Keys("part_classes", "/classes");
  const int count = random.Below(30);
  for (int i = 0; i < count; ++i) {
    const std::string& name =
        classes[static_cast<std::size_t>(random.Below(static_cast<int>(classes.size())))];
    Part part = PartAt(name,
                       random.Uniform(low.x(), high.x()),
                       random.Uniform(low.y(), high.y()),
                       random.Uniform(1.0, 60.0),
                       random.Uniform(1.0, 40.0));
    part.rotation_deg = random.Uniform() < 0.5 ? 90.0 * random.Below(4) : random.Uniform(-360, 360);
    if (random.Uniform() < 0.3) part.mass_g = random.Uniform(0.1, 200.0);
    if (random.Uniform() < 0.3) part.height_mm = random.Uniform(0.2, 50.0);
    if (random.Uniform() < 0.2) part.joint_count = 1 + random.Below(9999);
    board.parts.push_back(part);
  }
  return board;
}

// Mass is neither lost nor moved: the patches sum to the total and have the centre of mass that the
// support checks use; whatever the split, the total stays; every stiffener lies on the board and
// has stiffness.
TEST(MakePlateModel, RandomBoards) {
  constexpr std::uint64_t kSeed = 41;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(300, 10000); ++i) {
    SCOPED_TRACE(i);
    const Board board = RandomBoard(random);
    const MassModel mass = DistributeMass(board, calib()).value();
    const PlateModel model = ModelOf(board);
    constexpr double kTolShare = 1e-9;
    constexpr double kTolMm = 1e-9;
    EXPECT_NEAR(TotalG(model), mass.total_g.value, kTolShare * mass.total_g.value);
    EXPECT_NEAR((CentreOf(model, board) - mass.centre_mm).norm(), 0.0, kTolMm);
    PlateOptions options;
    options.split_factor = random.Uniform(0.0, 3.0);
    options.mass_factor = random.Uniform(0.5, 1.5);
    const PlateModel other = ModelOf(board, options);
    EXPECT_NEAR(
        TotalG(other), options.mass_factor * mass.total_g.value, kTolShare * mass.total_g.value);
    for (const MassPatch& patch : other.masses) EXPECT_GE(patch.mass_g, 0.0);
    EXPECT_EQ(model.stiffeners.size() + PartsNotStiffening(board, calib()).size(),
              board.parts.size());
    const auto [low, high] = board.Box();
    for (const Stiffener& made : model.stiffeners) {
      EXPECT_TRUE((made.low_mm.array() >= low.array()).all()) << made.ref;
      EXPECT_TRUE((made.high_mm.array() <= high.array()).all()) << made.ref;
      EXPECT_TRUE((made.low_mm.array() < made.high_mm.array()).all()) << made.ref;
      for (const double positive : {made.ply.modulus_x_mpa,
                                    made.ply.shear_mpa,
                                    made.ply.thickness_mm,
                                    made.pitch_mm,
                                    made.axial_n_per_mm,
                                    made.shear_n_per_mm}) {
        EXPECT_GT(positive, 0.0) << made.ref;
      }
    }
  }
}

TEST(MakePlateModel, FactorsActOnTheirNumber) {
  Board board = DesktopBoard();
  board.parts = {PartAt("pbga", 150, 100, 27, 27)};
  const PlateModel nominal = ModelOf(board);
  const PlateModel other = ModelOf(board,
                                   {.cell_mm = 7.0,
                                    .fine_mm = 3.0,
                                    .modulus_factor = 1.1,
                                    .shear_factor = 0.8,
                                    .thickness_factor = 1.05,
                                    .joint_factor = 2.0,
                                    .mass_factor = 1.2,
                                    .split_factor = 0.5});
  constexpr double kTol = 1e-12;  // of a ratio
  EXPECT_NEAR(other.board.modulus_x_mpa / nominal.board.modulus_x_mpa, 1.1, kTol);
  EXPECT_NEAR(other.board.modulus_y_mpa / nominal.board.modulus_y_mpa, 1.1, kTol);
  EXPECT_NEAR(other.board.shear_mpa / nominal.board.shear_mpa, 0.8, kTol);
  EXPECT_NEAR(other.board.thickness_mm / nominal.board.thickness_mm, 1.05, kTol);
  const Stiffener& part = other.stiffeners.at(0);
  EXPECT_NEAR(part.axial_n_per_mm / nominal.stiffeners[0].axial_n_per_mm, 2.0, kTol);
  EXPECT_NEAR(part.shear_n_per_mm / nominal.stiffeners[0].shear_n_per_mm, 2.0, kTol);
  EXPECT_EQ(part.ply.modulus_x_mpa, nominal.stiffeners[0].ply.modulus_x_mpa);
  EXPECT_NEAR(TotalG(other), 720.0, 1e-9);
  EXPECT_EQ(other.cell_mm, 7.0);
  EXPECT_EQ(other.fine_mm, 3.0);
  EXPECT_EQ(other.gravity_m_s2, 9.80665);
  EXPECT_ANY_THROW(static_cast<void>(MakePlateModel(board, calib(), {.joint_factor = 0.0})));
}

// calib/part_classes.json: every class says whether it stiffens; those that do have every number a
// stiffener takes, those that do not have the reason.
TEST(PartClasses, SayWhetherTheyStiffen) {
  const std::set<std::string> not_stiffening = {"chip-resistor",
                                                "ferrite",
                                                "crystal",
                                                "glass-diode",
                                                "electrolytic",
                                                "battery",
                                                "heatsink",
                                                "label",
                                                "other"};
  for (const std::string& name : calib().Keys("part_classes", "/classes")) {
    SCOPED_TRACE(name);
    Board board = DesktopBoard();
    board.parts = {PartAt(name, 150, 100, 20, 20)};
    const auto left_out = PartsNotStiffening(board, calib());
    EXPECT_EQ(left_out.size(), not_stiffening.contains(name) ? 1U : 0U);
    EXPECT_EQ(ModelOf(board).stiffeners.size(), 1U - left_out.size());
    if (!left_out.empty()) continue;
    const std::string at = "/classes/" + name;
    EXPECT_GT(calib().Number("part_classes", at + "/joint_strength_n").value, 0.0);
    EXPECT_LE(calib().Number("part_classes", at + "/body_thickness_mm").value,
              calib().Number("part_classes", at + "/usual_height_mm").value);
  }
}

// Behind the ball-grid numbers: the ball's E A / h in series with the sinking of both its pads, 2 a
// E / (1 - nu^2) each (rigid punch on a half-space, Timoshenko & Goodier, Theory of Elasticity);
// solder 30 GPa, ball 0.7 mm across and 0.55 mm high, pad radius 0.3 mm, laminate 9 GPa, nu 0.3;
// strength 40 MPa over the pad.
TEST(PartClasses, BallStiffnessFromItsFormula) {
  const double ball = 30000.0 * std::numbers::pi * 0.7 * 0.7 / 4.0 / 0.55;
  const double pad = 2.0 * 0.3 * 9000.0 / (1.0 - 0.3 * 0.3);
  const double joint = 1.0 / (1.0 / ball + 2.0 / pad);
  constexpr double kTolShare = 0.01;  // the number is given to two figures
  EXPECT_NEAR(calib().Number("part_classes", "/classes/pbga/joint_axial_n_per_mm").value,
              joint,
              kTolShare * joint);
  EXPECT_NEAR(calib().Number("part_classes", "/classes/pbga/joint_strength_n").value,
              40.0 * std::numbers::pi * 0.3 * 0.3,
              0.5);
}

// Every preset with its usual parts makes a model.
TEST(MakePlateModel, Presets) {
  for (const std::string& name : PresetNames(calib())) {
    SCOPED_TRACE(name);
    const Board board = PresetBoard(name, calib()).value();
    const PlateModel model = ModelOf(board);
    EXPECT_EQ(model.stiffeners.size() + PartsNotStiffening(board, calib()).size(),
              board.parts.size());
  }
}

}  // namespace
}  // namespace lieflat
