#pragma once
// The bend all over a board that is held or pressed, and where it is touched: what a picture of a
// press shows.

#include <vector>

#include <Eigen/Core>

#include "lieflat/plate/solve.h"

namespace lieflat {

/// Change from the stress-free board on an even grid over its bounding box; places off the board
/// have the value of the nearest cell. Right under a contact the strain grows with refinement: read
/// it a cell away.
struct BendField {
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero(), step_mm = Eigen::Vector2d::Zero();
  Eigen::MatrixXd strain;  ///< largest principal magnitude of either face; row along y, column x
  std::vector<ContactForce> contacts;
};

/// @param along  steps on the longer side, at least 1.
BendField BendFieldOf(const Plate& plate, const PlateSolution& solution, int along = 60);

}  // namespace lieflat
