#pragma once
// The grid of a plate model: lines that follow outline, parts and slots; cells that lie on the
// board; the nodes of each layer; and the joint springs between layers.

#include <array>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"
#include "lieflat/plate/model.h"

#include "plate/element.h"

namespace lieflat {

struct Layer {
  int stiffener = -1;  ///< its number in the model; -1: the board
  Ply ply;
  double side = 1.0;         ///< +1 on the component face, -1 on the solder face
  std::vector<int> cells;    ///< numbers of the cells it covers, rising
  std::vector<int> node_at;  ///< grid point -> node, or -1
};

/// The joints that one grid point stands for.
struct Spring {
  int board_node = 0, part_node = 0, layer = 0, point = 0;
  double joints = 0.0;
};

/// A place inside a cell, in cell widths.
struct Spot {
  int cell = 0;
  double s = 0.0, t = 0.0;
};

class Mesh {
 public:
  /// @error kRefused when the outline is narrower than its cells, or nothing is left of it.
  static Result<Mesh> Make(const PlateModel& model);

  [[nodiscard]] int columns() const { return static_cast<int>(x.size()) - 1; }
  [[nodiscard]] int rows() const { return static_cast<int>(y.size()) - 1; }
  [[nodiscard]] int Cell(int i, int j) const { return j * columns() + i; }
  [[nodiscard]] int Point(int i, int j) const { return j * (columns() + 1) + i; }
  [[nodiscard]] int grid_points() const { return (columns() + 1) * (rows() + 1); }
  [[nodiscard]] Eigen::Vector2d At(int point) const {
    return {x[static_cast<std::size_t>(point % (columns() + 1))],
            y[static_cast<std::size_t>(point / (columns() + 1))]};
  }
  [[nodiscard]] double Width(int cell) const {
    const auto i = static_cast<std::size_t>(cell % columns());
    return x[i + 1] - x[i];
  }
  [[nodiscard]] double Depth(int cell) const {
    const auto j = static_cast<std::size_t>(cell / columns());
    return y[j + 1] - y[j];
  }
  [[nodiscard]] std::array<int, 4> PointsOf(int cell) const;
  /// The nodes of a cell in a layer, in the order of the element.
  [[nodiscard]] std::array<int, 4> NodesOf(const Layer& layer, int cell) const;
  [[nodiscard]] int unknowns() const { return kUnknownsOfNode * nodes; }
  /// The nearest spot of the layer.
  [[nodiscard]] Spot Find(const Layer& layer, const Eigen::Vector2d& at_mm) const;

  std::vector<double> x, y;   ///< grid lines, rising
  std::vector<Layer> layers;  ///< the board first
  std::vector<Spring> springs;
  std::vector<int> point_of;  ///< by node: its grid point
  std::vector<int> layer_of;  ///< by node
  int nodes = 0;
};

}  // namespace lieflat
