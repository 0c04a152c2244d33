// Mass, and how far a board's own weight can bend it.

#include "lieflat/board/mass.h"

#include <cmath>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

/// Isotropic, E 20 GPa, nu 0.15, t 1.6, so that closed forms apply.
Board ReferenceBoard(double length, double width, double areal_kg_m2) {
  Board board = RectangularBoard(length, width, calib()).value();
  board.thickness_mm = {1.6, 0.064};
  board.laminate_name.clear();
  board.laminate.modulus_x_mpa = board.laminate.modulus_y_mpa = {20000.0, 3000.0};
  board.laminate.poisson = {0.15, 0.0};
  board.laminate.density_kg_m3 = 1850.0;
  board.mass_g = Uncertain{areal_kg_m2 * length * width * 1e-3, 0.0};
  return board;
}

// E t^3 / (12 (1 - nu^2)): 20 000 * 4.096 / (12 * 0.9775) = 6 983.8 N mm.
TEST(PlateStiffness, ClosedForm) { EXPECT_NEAR(PlateStiffness(20000.0, 1.6, 0.15), 6983.8, 0.05); }

// Corner-supported plate under uniform load, Timoshenko & Woinowsky-Krieger, Theory of Plates and
// Shells, 2nd ed., art. 54 (square) and plate elements of the same theory (5:4): w = 0.02634 q a^4
// / D and 0.04537 q b^4 / D with the short side b.
TEST(LargestSag, CornerSupportedPlates) {
  constexpr double kTolShare = 0.01;  // the coefficients' own
  const Board board = ReferenceBoard(300, 240, 8.0);
  const MassModel mass = DistributeMass(board, calib()).value();
  EXPECT_NEAR(mass.areal_kg_m2(board), 8.0, 1e-9);
  const Uncertain sag = LargestSag(board, mass, calib());
  EXPECT_NEAR(sag.value, 1.692, kTolShare * 1.692);
  // Modulus 15 %, three times thickness 4 %.
  EXPECT_NEAR(sag.u / sag.value, std::hypot(0.15, 0.12), 1e-9);
  const Board square = ReferenceBoard(240, 240, 8.0);
  const double q = 8.0 * 9.80665e-6;
  const double expected = 0.02634 * q * std::pow(240.0, 4) / 6983.8;
  EXPECT_NEAR(LargestSag(square, DistributeMass(square, calib()).value(), calib()).value,
              expected,
              kTolShare * expected);
}

// Plate theory: sag goes as load, as 1 / E and as the fourth power of size at the same shape.
TEST(LargestSag, Scaling) {
  const auto sag = [](const Board& board) {
    return LargestSag(board, DistributeMass(board, calib()).value(), calib()).value;
  };
  const double once = sag(ReferenceBoard(200, 150, 8.0));
  EXPECT_NEAR(sag(ReferenceBoard(400, 300, 8.0)) / once, 16.0, 1e-9);
  EXPECT_NEAR(sag(ReferenceBoard(200, 150, 16.0)) / once, 2.0, 1e-9);
  Board stiff = ReferenceBoard(200, 150, 8.0);
  stiff.laminate.modulus_x_mpa.value = stiff.laminate.modulus_y_mpa.value = 40000.0;
  EXPECT_NEAR(sag(stiff) / once, 0.5, 1e-12);
}

// 300 x 240 x 1.6 mm of 1 850 kg/m3: 213.1 g.
TEST(DistributeMass, BareLaminate) {
  Board board = ReferenceBoard(300, 240, 8.0);
  EXPECT_NEAR(DistributeMass(board, calib())->bare_g, 213.12, 0.01);
  // Four layers of 35 um at half cover, 8 900 in place of 1 850 kg/m3: 35.5 g more.
  board.copper_layers = 4;
  EXPECT_NEAR(DistributeMass(board, calib())->bare_g, 213.12 + 35.53, 0.01);
  board.populated = false;
  board.mass_g.reset();
  EXPECT_NEAR(DistributeMass(board, calib())->total_g.value, 248.65, 0.01);
}

TEST(DistributeMass, AMassBelowTheLaminateIsRefused) {
  Board board = ReferenceBoard(300, 240, 8.0);
  board.mass_g->value = 150.0;
  const auto mass = DistributeMass(board, calib());
  ASSERT_FALSE(mass);
  EXPECT_EQ(mass.error().Text(),
            "mass_g: 150 g is less than the bare laminate weighs, 213.1 g (check the mass, the "
            "thickness and the size)");
}

// 6 to 10 kg/m2, rectangular: mean 8, standard deviation 4 / sqrt(12) kg/m2.
TEST(DistributeMass, NotWeighed) {
  Board board = ReferenceBoard(300, 240, 8.0);
  board.mass_g.reset();
  const MassModel mass = DistributeMass(board, calib()).value();
  EXPECT_TRUE(mass.assumed);
  EXPECT_NEAR(mass.areal_kg_m2(board), 8.0, 1e-9);
  EXPECT_NEAR(mass.total_g.u / mass.total_g.value, 4.0 / std::sqrt(12.0) / 8.0, 1e-9);
}

TEST(DistributeMass, CentreOfMass) {
  Board board = ReferenceBoard(300, 240, 8.0);
  EXPECT_NEAR(
      (DistributeMass(board, calib())->centre_mm - Eigen::Vector2d(150, 120)).norm(), 0.0, 1e-9);
  Part sink;
  sink.ref = "HS1";
  sink.part_class = "heatsink";
  sink.centre_mm = Eigen::Vector2d(250, 120);
  sink.size_mm = Eigen::Vector2d(60, 60);
  sink.mass_g = 200.0;
  board.parts = {sink};
  // 576 g in all, 200 g of it at x = 250, the rest spread about x = 150.
  EXPECT_NEAR(
      DistributeMass(board, calib())->centre_mm.x(), (200.0 * 250.0 + 376.0 * 150.0) / 576.0, 1e-9);
  // Without a mass of its own: 60 x 60 x 20 mm at no more than 2 500 kg/m3, 180 g.
  board.parts[0].mass_g.reset();
  EXPECT_NEAR(
      DistributeMass(board, calib())->centre_mm.x(), (180.0 * 250.0 + 396.0 * 150.0) / 576.0, 1e-9);
}

// 576 g, 213.12 g of it laminate: a sink of stated 100 g, a slot given 2 500 kg/m3 of 138 x 12 x 11
// mm, 45.54 g, the rest with the laminate. A factor on the parts' share moves mass to or from that.
TEST(LayOutMass, PartsFirstTheRestEvenly) {
  Board board = ReferenceBoard(300, 240, 8.0);
  Part sink;
  sink.part_class = "heatsink";
  sink.centre_mm = Eigen::Vector2d(250, 120);
  sink.size_mm = Eigen::Vector2d(60, 60);
  sink.mass_g = 100.0;
  Part slot;
  slot.part_class = "slot";
  slot.centre_mm = Eigen::Vector2d(100, 60);
  slot.size_mm = Eigen::Vector2d(138, 12);
  Part nowhere;
  nowhere.part_class = "pbga";
  board.parts = {nowhere, sink, slot};
  const MassModel mass = DistributeMass(board, calib()).value();
  const MassLayout layout = LayOutMass(board, mass, calib());
  constexpr double kTolG = 1e-9;  // sums of a few hundred grams
  ASSERT_EQ(layout.parts.size(), 2U);
  EXPECT_EQ(layout.parts[0].part, 1U);
  EXPECT_NEAR(layout.parts[0].mass_g, 100.0, kTolG);
  EXPECT_EQ(layout.parts[1].part, 2U);
  EXPECT_NEAR(layout.parts[1].mass_g, 45.54, kTolG);
  EXPECT_NEAR(layout.even_g, 576.0 - 145.54, kTolG);
  EXPECT_NEAR(layout.bare_g, 213.12, kTolG);
  const MassLayout half = LayOutMass(board, mass, calib(), 0.5);
  EXPECT_NEAR(half.parts[0].mass_g, 50.0, kTolG);
  EXPECT_NEAR(half.even_g, 576.0 - 0.5 * 145.54, kTolG);
  // Never more than all that is not laminate, never less than nothing.
  const MassLayout most = LayOutMass(board, mass, calib(), 10.0);
  EXPECT_NEAR(most.even_g, 213.12, kTolG);
  EXPECT_NEAR(most.parts[0].mass_g + most.parts[1].mass_g, 576.0 - 213.12, kTolG);
  EXPECT_NEAR(LayOutMass(board, mass, calib(), -1.0).even_g, 576.0, kTolG);
}

}  // namespace
}  // namespace lieflat
