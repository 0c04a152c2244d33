#pragma once
// The same board as solid elements, for CalculiX: one 20-node brick of reduced integration through
// the board's thickness and one through each part's, on grid lines that are given. Units mm, N,
// MPa.
//
// The mid-surface follows the given height field; thickness is laid off along its normal, as a
// board that was once flat has it. A vertex of the grid carries three nodes: bottom, middle, top.
// Supports, contacts and forces act at the middle one, so heights are those of the mid-surface.

#include <filesystem>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"
#include "lieflat/plate/solve.h"

namespace lieflat::testing {

/// Three linear springs between a vertex on the board's face and the part's vertex right over it.
struct SolidJoint {
  Eigen::Vector2d at_mm;
  double axial_n_per_mm = 0.0, shear_n_per_mm = 0.0;
};

/// A second layer laid on the board, its edges on grid lines, held by its joints alone.
struct SolidPart {
  Eigen::Vector2d low_mm, high_mm;
  Side side = Side::kComponent;
  Ply ply;
  std::vector<SolidJoint> joints;
};

/// Force spread evenly over a rectangle, down; it does not turn with the board.
struct SolidLoad {
  Eigen::Vector2d low_mm, high_mm;
  double down_n = 0.0;
};

struct SolidModel {
  std::vector<double> x_mm, y_mm;  ///< grid lines, ascending
  HeightField shape;               ///< stress-free mid-surface
  Ply board;
  std::vector<SolidPart> parts;
  std::vector<SolidLoad> loads;
  std::vector<Hold::Force> forces;  ///< at vertices
  bool large_deflection = true;
  double first_increment = 0.25;  ///< share of the load

  [[nodiscard]] int vertices() const;
  [[nodiscard]] Eigen::Vector2d At(int vertex) const;
  /// The vertex at a place, or -1 where there is none.
  [[nodiscard]] int VertexAt(const Eigen::Vector2d& at_mm) const;
};

/// A vertex whose height is prescribed.
struct HeldVertex {
  int vertex = 0;
  double height_mm = 0.0;  ///< of the mid-surface
};

struct SolidAnswer {
  std::vector<double> height_mm;  ///< of the mid-surface, by vertex
  std::vector<double> up_n;       ///< reaction on the board, by vertex; 0 where not held
  /// Strain along the surface's own tangents over x and y: exx, eyy, exy; by vertex.
  std::vector<Eigen::Vector3d> top_strain, bottom_strain;
  /// By part, by joint: axial (tension positive), x, y.
  std::vector<std::vector<Eigen::Vector3d>> joint_n;
  double residual = 0.0;  ///< CalculiX's own: largest residual force over average force, at most
  int iterations = 0;
  double cpu_s = 0.0, peak_mb = 0.0;
  int nodes = 0;
};

/// Writes the model into an empty folder, runs CalculiX there on one processor and reads its
/// answer.
/// @error kInternal when it did not run or did not finish (with its last words).
Result<SolidAnswer> SolveSolid(const SolidModel& model,
                               const std::vector<HeldVertex>& held,
                               const std::filesystem::path& folder);

}  // namespace lieflat::testing
