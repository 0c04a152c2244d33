#include "calculix/solid_mesh.h"

#include <algorithm>
#include <cmath>

#include "lieflat/base/check.h"

namespace lieflat::testing {
namespace {

constexpr double kSamePlaceMm = 1e-6;  // grid lines stand far further apart

int LineAt(const std::vector<double>& lines, double at) {
  const auto found = std::find_if(
      lines.begin(), lines.end(), [at](double x) { return std::abs(x - at) < kSamePlaceMm; });
  return found == lines.end() ? -1 : static_cast<int>(found - lines.begin());
}

// Places of a brick's nodes in half steps from its low corner: bottom and top corners, bottom and
// top mid-sides, then the upright ones: the order of CalculiX's C3D20R.
constexpr std::array<std::array<int, 3>, 20> kBrick = {{
    {0, 0, 0}, {2, 0, 0}, {2, 2, 0}, {0, 2, 0}, {0, 0, 2}, {2, 0, 2}, {2, 2, 2},
    {0, 2, 2}, {1, 0, 0}, {2, 1, 0}, {1, 2, 0}, {0, 1, 0}, {1, 0, 2}, {2, 1, 2},
    {1, 2, 2}, {0, 1, 2}, {0, 0, 1}, {2, 0, 1}, {2, 2, 1}, {0, 2, 1},
}};

double AtHalf(const std::vector<double>& lines, int half) {
  const auto line = static_cast<std::size_t>(half / 2);
  return half % 2 == 0 ? lines[line] : (lines[line] + lines[line + 1]) / 2;
}

}  // namespace

int SolidModel::vertices() const { return static_cast<int>(x_mm.size() * y_mm.size()); }

Eigen::Vector2d SolidModel::At(int vertex) const {
  const auto columns = static_cast<int>(x_mm.size());
  return {x_mm[static_cast<std::size_t>(vertex % columns)],
          y_mm[static_cast<std::size_t>(vertex / columns)]};
}

int SolidModel::VertexAt(const Eigen::Vector2d& at_mm) const {
  const int column = LineAt(x_mm, at_mm.x());
  const int row = LineAt(y_mm, at_mm.y());
  return column < 0 || row < 0 ? -1 : row * static_cast<int>(x_mm.size()) + column;
}

int& SolidLayer::Half(int column, int row, int face) {
  const int wide = 2 * columns() + 1;
  const int deep = 2 * rows() + 1;
  const int at = (face * deep + row) * wide + column;
  return nodes[static_cast<std::size_t>(at)];
}

int SolidLayer::NodeAt(int column, int row, int face) const {
  return const_cast<SolidLayer*>(this)->Half(
      2 * (column - first_column), 2 * (row - first_row), face);
}

Eigen::Vector2d SlopeAt(const SolidModel& model, const Eigen::Vector2d& at_mm) {
  constexpr double kStepMm = 1e-3;  // heights are smooth over centimetres
  const Eigen::Vector2d dx(kStepMm, 0), dy(0, kStepMm);
  return {(model.shape(at_mm + dx) - model.shape(at_mm - dx)) / (2 * kStepMm),
          (model.shape(at_mm + dy) - model.shape(at_mm - dy)) / (2 * kStepMm)};
}

SolidMesh::SolidMesh(const SolidModel& model) {
  const auto lines = [](const std::vector<double>& of) { return static_cast<int>(of.size()) - 1; };
  SolidLayer board;
  board.last_column = lines(model.x_mm);
  board.last_row = lines(model.y_mm);
  const double half = model.board.thickness_mm / 2;
  AddLayer(model, board, -half, half);
  for (const SolidPart& part : model.parts) {
    SolidLayer layer;
    layer.first_column = LineAt(model.x_mm, part.low_mm.x());
    layer.last_column = LineAt(model.x_mm, part.high_mm.x());
    layer.first_row = LineAt(model.y_mm, part.low_mm.y());
    layer.last_row = LineAt(model.y_mm, part.high_mm.y());
    LIEFLAT_CHECK(
        layer.first_column >= 0 && layer.columns() > 0 && layer.first_row >= 0 && layer.rows() > 0,
        "a part's edges must lie on grid lines");
    const double away = half + part.ply.thickness_mm;
    if (part.side == Side::kComponent) {
      AddLayer(model, layer, half, away);
    } else {
      AddLayer(model, layer, -away, -half);
    }
  }
}

void SolidMesh::AddLayer(const SolidModel& model, SolidLayer layer, double low_mm, double high_mm) {
  const int halves = 3 * (2 * layer.columns() + 1) * (2 * layer.rows() + 1);
  layer.nodes.assign(static_cast<std::size_t>(halves), 0);
  for (int face = 0; face < 3; ++face) {
    const double offset_mm = low_mm + (high_mm - low_mm) * face / 2;
    for (int row = 0; row <= 2 * layer.rows(); ++row) {
      for (int column = 0; column <= 2 * layer.columns(); ++column) {
        if (column % 2 + row % 2 + face % 2 > 1) {
          continue;  // mid-face and mid-volume: this kind of brick has no node there
        }
        const Eigen::Vector2d at(AtHalf(model.x_mm, 2 * layer.first_column + column),
                                 AtHalf(model.y_mm, 2 * layer.first_row + row));
        const Eigen::Vector2d slope = SlopeAt(model, at);
        const Eigen::Vector3d normal = Eigen::Vector3d(-slope.x(), -slope.y(), 1).normalized();
        places.push_back(Eigen::Vector3d(at.x(), at.y(), model.shape(at)) + offset_mm * normal);
        layer.Half(column, row, face) = static_cast<int>(places.size());
      }
    }
  }
  for (int row = 0; row < layer.rows(); ++row) {
    for (int column = 0; column < layer.columns(); ++column) {
      auto& brick = layer.bricks.emplace_back();
      std::transform(kBrick.begin(), kBrick.end(), brick.begin(), [&](const auto& half) {
        return layer.Half(2 * column + half[0], 2 * row + half[1], half[2]);
      });
    }
  }
  layers.push_back(std::move(layer));
}

int SolidMesh::BoardNode(const SolidModel& model, int vertex, int face) const {
  const auto columns = static_cast<int>(model.x_mm.size());
  return layers.front().NodeAt(vertex % columns, vertex / columns, face);
}

// Integrals of the brick's shape functions over its volume: -1/8 at its 8 corners, 1/6 at the 12
// others.
double ShareOfBrick(int node_of_brick) { return node_of_brick < 8 ? -1.0 / 8 : 1.0 / 6; }

}  // namespace lieflat::testing
