#pragma once
// Plates, shapes and ways of holding that several tests of the plate share. mm, N, MPa.

#include <cmath>
#include <utility>
#include <vector>

#include "lieflat/plate/solve.h"

namespace lieflat::testing {

inline Ring Rectangle(double length_mm, double width_mm) {
  return {{0, 0}, {length_mm, 0}, {length_mm, width_mm}, {0, width_mm}};
}

/// A board without parts on an even grid.
inline PlateModel BareBoard(double length_mm, double width_mm, const Ply& ply, double cell_mm) {
  PlateModel model;
  model.outline_mm = Rectangle(length_mm, width_mm);
  model.board = ply;
  model.cell_mm = cell_mm;
  model.fine_mm = cell_mm;
  return model;
}

/// 300 x 240 x 1.6 mm of 20 GPa, nu 0.15: what the figures of a usual board are quoted for.
inline constexpr double kBoardLong = 300.0, kBoardWide = 240.0, kBoardThick = 1.6;
inline constexpr double kBoardModulus = 20000.0, kBoardPoisson = 0.15;
inline Ply BoardPly() { return Ply::Isotropic(kBoardModulus, kBoardPoisson, kBoardThick); }

inline double Flat(const Eigen::Vector2d& /*at_mm*/) { return 0.0; }

/// Nothing but what is put in: no table, no weight of its own.
inline Hold Bare() {
  Hold hold;
  hold.table = false;
  hold.own_weight = false;
  return hold;
}

inline const SolveOptions kLinear = {.large_deflection = false};

/// Points with x or y on one of the sides given.
inline std::vector<Eigen::Vector2d> PointsOn(const Plate& plate,
                                             const std::vector<double>& at_x,
                                             const std::vector<double>& at_y) {
  constexpr double kSame = 1e-9;
  std::vector<Eigen::Vector2d> found;
  for (const Eigen::Vector2d& p : plate.points()) {
    bool on = false;
    for (const double x : at_x) on = on || std::abs(p.x() - x) < kSame;
    for (const double y : at_y) on = on || std::abs(p.y() - y) < kSame;
    if (on) found.push_back(p);
  }
  return found;
}

/// Rests that hold up and down, at height 0.
inline void HoldDownAt(Hold& hold, const std::vector<Eigen::Vector2d>& points) {
  for (const Eigen::Vector2d& p : points) hold.rests.push_back({p, 0.0, true});
}

/// The sum of what pushes the board up at contacts of one kind.
inline double UpForce(const PlateSolution& solution, Touch what) {
  double sum = 0.0;
  for (const ContactForce& contact : solution.contacts) {
    if (contact.what == what) sum += contact.up_n;
  }
  return sum;
}

}  // namespace lieflat::testing
