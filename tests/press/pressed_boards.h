#pragma once
// Boards and ways that several tests of the press share.

#include <gtest/gtest.h>

#include "lieflat/press/press.h"

#include "joints/known_surface.h"

namespace lieflat::testing {

inline const Calib& Numbers() { return Calib::Embedded(); }

// A strip of 300 x 240 x 1.6 mm, E 20 GPa, nu = 0 and G = E / 2, so that it bends as a beam.
inline constexpr double kStripLong = 300.0, kStripWide = 240.0, kStripThick = 1.6;
inline constexpr double kStripModulus = 20000.0;
inline constexpr double kStripStiffness =
    kStripModulus * kStripWide * kStripThick * kStripThick * kStripThick / 12.0;

inline Board StripBoard() {
  Board board = ReferenceBoard();
  board.laminate.modulus_x_mpa = board.laminate.modulus_y_mpa = {kStripModulus, 0.0};
  board.laminate.shear_mpa = {0.5 * kStripModulus, 0.0};
  board.laminate.poisson = {0.0, 0.0};
  board.thickness_mm = {kStripThick, 0.0};
  return board;
}

/// A cylinder along x of this rise, its middle towards the component side; negative: the other way.
inline Height Bowed(double rise_mm) {
  return [rise_mm](double x, double /*y*/) {
    const double from_middle = 2.0 * x / kStripLong - 1.0;
    return -rise_mm * from_middle * from_middle;
  };
}

/// Four parts and two slots on 305 x 244 mm, six screws.
inline Board BoardWithParts() {
  Board board = RectangularBoard(305, 244, Numbers()).value();
  board.mass_g = Uncertain{640.0, 5.0};
  board.parts = {PartAt("U1", "pbga", {120, 140}, {35, 35}),
                 PartAt("U2", "pbga", {205, 95}, {27, 27}),
                 PartAt("U3", "qfp", {60, 190}, {28, 28}),
                 PartAt("U4", "qfp", {70, 70}, {28, 28}),
                 PartAt("J1", "slot", {240, 130}, {12, 138}),
                 PartAt("J2", "slot", {265, 130}, {12, 138})};
  for (const Eigen::Vector2d& at :
       {Eigen::Vector2d(6, 6), {150, 6}, {298, 6}, {298, 238}, {150, 238}, {6, 238}})
    board.holes.push_back({at, 4.0, "mount"});
  return board;
}

/// 4 mm of bow, 2 mm of twist, some dome and a cubic term.
inline Height Warped(const Board& board) {
  const Eigen::Vector2d size = board.Box().second;
  return [size](double x, double y) {
    const double u = 2.0 * x / size.x() - 1.0, v = 2.0 * y / size.y() - 1.0;
    return -4.0 * u * u - 1.0 * v * v + 0.5 * u * v + 0.3 * (u * u * u - u);
  };
}

/// Coarse cells for what must hold on any mesh.
inline PressOptions Coarse(PressOptions options = {}) {
  options.cell_mm = 16.0;
  options.fine_mm = 12.0;
  return options;
}

inline Pressing Press(const Board& board,
                      const Height& shape,
                      const PressWay& way,
                      const PressOptions& options = Coarse()) {
  auto pressing = PressBoard(board, SurfaceOf(board, shape), way, Numbers(), options);
  EXPECT_TRUE(pressing) << pressing.error().Text();
  return pressing ? std::move(*pressing) : Pressing{};
}

inline PressOptions Weightless(PressOptions options = {}) {
  options.own_weight = false;
  return options;
}

/// A soft weight across the whole width, as narrow as a line.
inline UnderWeights::Weight LineWeight(double at_x, double force_n) {
  constexpr double kGravity = 9.80665;
  return {force_n / kGravity, {at_x, 0.5 * kStripWide}, {4.0, kStripWide}, false};
}

}  // namespace lieflat::testing
