#pragma once
// Nodes and 20-node bricks of a solid model, numbered from 1 as CalculiX wants them.

#include <array>
#include <vector>

#include <Eigen/Core>

#include "calculix/solid_model.h"

namespace lieflat::testing {

/// Bricks between two faces of one layer, over a range of the model's grid vertices.
struct SolidLayer {
  int first_column = 0, last_column = 0, first_row = 0, last_row = 0;  ///< of vertices
  std::vector<int> nodes;                                              ///< by half grid step
  std::vector<std::array<int, 20>> bricks;                             ///< row by row

  /// Node of a vertex; face 0 bottom, 1 middle, 2 top.
  [[nodiscard]] int NodeAt(int column, int row, int face) const;
  /// Node at half steps of the grid, counted from the layer's own corner; 0 where there is none.
  [[nodiscard]] int& Half(int column, int row, int face);
  [[nodiscard]] int columns() const { return last_column - first_column; }
  [[nodiscard]] int rows() const { return last_row - first_row; }
};

struct SolidMesh {
  std::vector<Eigen::Vector3d> places;  ///< of node 1 onwards
  std::vector<SolidLayer> layers;       ///< the board, then the parts

  explicit SolidMesh(const SolidModel& model);
  /// Node of a vertex of the board.
  [[nodiscard]] int BoardNode(const SolidModel& model, int vertex, int face) const;

 private:
  void AddLayer(const SolidModel& model, SolidLayer layer, double low_mm, double high_mm);
};

/// Slopes of the stress-free mid-surface along x and y.
Eigen::Vector2d SlopeAt(const SolidModel& model, const Eigen::Vector2d& at_mm);

/// Shares of a load spread evenly over a brick, by node: they sum to 1 and do the work that the
/// spread load does (corner nodes pull back).
double ShareOfBrick(int node_of_brick);

}  // namespace lieflat::testing
