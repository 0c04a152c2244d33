#include "plate/stiffness.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace lieflat {
namespace {

constexpr double kNewtonPerGram = 1e-3;  // times m/s2

int Unknown(int node, int which) { return kUnknownsOfNode * node + which; }

}  // namespace

Stiffness::Stiffness(const Mesh& mesh, const PlateModel& model) : mesh_(mesh), model_(model) {
  std::map<std::tuple<int, double, double>, int> sizes;
  for (int l = 0; l < static_cast<int>(mesh.layers.size()); ++l) {
    const Layer& layer = mesh.layers[static_cast<std::size_t>(l)];
    membrane_.push_back(layer.ply.Membrane());
    for (const int cell : layer.cells) {
      const double a = mesh.Width(cell), b = mesh.Depth(cell);
      const auto [found, is_new] = sizes.try_emplace({l, a, b}, static_cast<int>(bending_.size()));
      if (is_new) bending_.push_back(BendingStiffness(a, b, layer.ply.Bending()));
      CellItem item{l, cell, found->second, mesh.NodesOf(layer, cell)};
      Item touched;
      for (const int node : item.nodes) {
        for (int k = 0; k < kUnknownsOfNode; ++k) touched.unknowns.push_back(Unknown(node, k));
      }
      cells_.push_back(item);
      items_.push_back(std::move(touched));
    }
  }
  for (const Spring& spring : mesh.springs) {
    Item touched;
    for (const int node : {spring.board_node, spring.part_node}) {
      for (int k = 0; k < kUnknownsOfNode; ++k) touched.unknowns.push_back(Unknown(node, k));
    }
    items_.push_back(std::move(touched));
  }
  weight_ = Eigen::VectorXd::Zero(mesh.unknowns());
  for (const MassPatch& patch : model.masses) {
    const double force = -patch.mass_g * kNewtonPerGram * model.gravity_m_s2;
    const bool everywhere = (patch.high_mm - patch.low_mm).isZero(0.0);
    const Eigen::Vector2d low =
        everywhere ? Eigen::Vector2d(mesh.x.front(), mesh.y.front()) : patch.low_mm;
    const Eigen::Vector2d high =
        everywhere ? Eigen::Vector2d(mesh.x.back(), mesh.y.back()) : patch.high_mm;
    weight_ += EvenForce(low, high, force);
  }
  for (int node = 0; node < mesh.nodes; ++node) weight_n_ -= weight_(Unknown(node, kW));
}

std::vector<GridPoint> Stiffness::GridPoints() const {
  std::vector<GridPoint> by_point(static_cast<std::size_t>(mesh_.grid_points()));
  for (int node = 0; node < mesh_.nodes; ++node) {
    GridPoint& point =
        by_point[static_cast<std::size_t>(mesh_.point_of[static_cast<std::size_t>(node)])];
    for (int k = 0; k < kUnknownsOfNode; ++k) point.unknowns.push_back(Unknown(node, k));
  }
  std::vector<GridPoint> out;
  for (int p = 0; p < mesh_.grid_points(); ++p) {
    GridPoint& point = by_point[static_cast<std::size_t>(p)];
    if (point.unknowns.empty()) continue;
    point.i = p % (mesh_.columns() + 1);
    point.j = p / (mesh_.columns() + 1);
    out.push_back(std::move(point));
  }
  return out;
}

Eigen::VectorXd Stiffness::NodalShape(const Eigen::VectorXd& by_grid_point) const {
  Eigen::VectorXd shape(mesh_.nodes);
  for (int node = 0; node < mesh_.nodes; ++node)
    shape(node) = by_grid_point(mesh_.point_of[static_cast<std::size_t>(node)]);
  return shape;
}

CellVector Stiffness::Gather(const CellItem& item, const Eigen::VectorXd& x) const {
  CellVector own;
  for (int n = 0; n < kNodesOfCell; ++n)
    own.segment<kUnknownsOfNode>(kUnknownsOfNode * n) =
        x.segment<kUnknownsOfNode>(Unknown(item.nodes[static_cast<std::size_t>(n)], 0));
  return own;
}

MembraneCell::Heights Stiffness::GatherShape(const CellItem& item,
                                             const Eigen::VectorXd& shape) const {
  MembraneCell::Heights own;
  for (int n = 0; n < kNodesOfCell; ++n) own(n) = shape(item.nodes[static_cast<std::size_t>(n)]);
  return own;
}

MembraneCell Stiffness::Membrane(const CellItem& item) const {
  return {mesh_.Width(item.cell),
          mesh_.Depth(item.cell),
          membrane_[static_cast<std::size_t>(item.layer)]};
}

/// Stretch along z, x and y over the unknowns of the board's node, then the part's.
Stiffness::SpringRows Stiffness::RowsOf(const Spring& spring) const {
  const Layer& layer = mesh_.layers[static_cast<std::size_t>(spring.layer)];
  const double board_arm = layer.side * 0.5 * mesh_.layers.front().ply.thickness_mm;
  const double part_arm = layer.side * 0.5 * layer.ply.thickness_mm;
  SpringRows rows = SpringRows::Zero();
  rows(0, kW) = -layer.side;
  rows(0, kUnknownsOfNode + kW) = layer.side;
  rows(1, kU) = -1.0;
  rows(1, kSlopeX) = board_arm;
  rows(1, kUnknownsOfNode + kU) = 1.0;
  rows(1, kUnknownsOfNode + kSlopeX) = part_arm;
  rows(2, kV) = -1.0;
  rows(2, kSlopeY) = board_arm;
  rows(2, kUnknownsOfNode + kV) = 1.0;
  rows(2, kUnknownsOfNode + kSlopeY) = part_arm;
  return rows;
}

Eigen::Vector3d Stiffness::SpringStiffness(const Spring& spring) const {
  const int number = mesh_.layers[static_cast<std::size_t>(spring.layer)].stiffener;
  const Stiffener& part = model_.stiffeners[static_cast<std::size_t>(number)];
  return spring.joints *
         Eigen::Vector3d(part.axial_n_per_mm, part.shear_n_per_mm, part.shear_n_per_mm);
}

Stiffness::SpringStretch Stiffness::Stretch(const Spring& spring, const Eigen::VectorXd& x) const {
  Eigen::Matrix<double, 2 * kUnknownsOfNode, 1> own;
  own << x.segment<kUnknownsOfNode>(Unknown(spring.board_node, 0)),
      x.segment<kUnknownsOfNode>(Unknown(spring.part_node, 0));
  const Eigen::Vector3d stretch = RowsOf(spring) * own;
  return {stretch(0), stretch(1), stretch(2)};
}

Eigen::VectorXd Stiffness::Forces(const Eigen::VectorXd& x,
                                  const Eigen::VectorXd& shape,
                                  bool large) const {
  Eigen::VectorXd forces = Eigen::VectorXd::Zero(x.size());
  for (const CellItem& item : cells_) {
    const CellVector own = Gather(item, x);
    CellVector f = CellVector::Zero();
    BendingVector bent;
    for (int k = 0; k < kBendingOfCell; ++k) bent(k) = own(BendingUnknown(k));
    const BendingVector moments = bending_[static_cast<std::size_t>(item.bending)] * bent;
    for (int k = 0; k < kBendingOfCell; ++k) f(BendingUnknown(k)) = moments(k);
    Membrane(item).Add(own, GatherShape(item, shape), large, f, nullptr);
    for (int n = 0; n < kNodesOfCell; ++n)
      forces.segment<kUnknownsOfNode>(Unknown(item.nodes[static_cast<std::size_t>(n)], 0)) +=
          f.segment<kUnknownsOfNode>(kUnknownsOfNode * n);
  }
  for (const Spring& spring : mesh_.springs) {
    const SpringStretch stretch = Stretch(spring, x);
    const Eigen::Vector3d load = SpringStiffness(spring).cwiseProduct(
        Eigen::Vector3d(stretch.axial, stretch.shear_x, stretch.shear_y));
    const Eigen::Matrix<double, 2 * kUnknownsOfNode, 1> f = RowsOf(spring).transpose() * load;
    forces.segment<kUnknownsOfNode>(Unknown(spring.board_node, 0)) += f.head<kUnknownsOfNode>();
    forces.segment<kUnknownsOfNode>(Unknown(spring.part_node, 0)) += f.tail<kUnknownsOfNode>();
  }
  return forces;
}

void Stiffness::Tangent(int item,
                        const Eigen::VectorXd& x,
                        const Eigen::VectorXd& shape,
                        bool large,
                        bool geometric,
                        Eigen::Ref<Eigen::MatrixXd> matrix) const {
  const auto cells = static_cast<int>(cells_.size());
  if (item >= cells) {
    const Spring& spring = mesh_.springs[static_cast<std::size_t>(item - cells)];
    const SpringRows rows = RowsOf(spring);
    matrix = rows.transpose() * SpringStiffness(spring).asDiagonal() * rows;
    return;
  }
  const CellItem& cell = cells_[static_cast<std::size_t>(item)];
  CellMatrix tangent = CellMatrix::Zero();
  CellVector forces = CellVector::Zero();
  Membrane(cell).Add(Gather(cell, x), GatherShape(cell, shape), large, forces, &tangent, geometric);
  const BendingMatrix& bending = bending_[static_cast<std::size_t>(cell.bending)];
  for (int j = 0; j < kBendingOfCell; ++j) {
    for (int i = 0; i < kBendingOfCell; ++i)
      tangent(BendingUnknown(i), BendingUnknown(j)) += bending(i, j);
  }
  matrix = tangent;
}

std::pair<double, double> Stiffness::BoardEnergy(const Eigen::VectorXd& x,
                                                 const Eigen::VectorXd& shape,
                                                 bool large) const {
  double bending = 0.0, membrane = 0.0;
  for (const CellItem& item : cells_) {
    if (item.layer != 0) break;  // the board comes first
    const CellVector own = Gather(item, x);
    BendingVector bent;
    for (int k = 0; k < kBendingOfCell; ++k) bent(k) = own(BendingUnknown(k));
    bending += 0.5 * bent.dot(bending_[static_cast<std::size_t>(item.bending)] * bent);
    membrane += Membrane(item).Energy(own, GatherShape(item, shape), large);
  }
  return {bending, membrane};
}

Eigen::VectorXd Stiffness::EvenForce(const Eigen::Vector2d& low_mm,
                                     const Eigen::Vector2d& high_mm,
                                     double force_n) const {
  Eigen::VectorXd load = Eigen::VectorXd::Zero(mesh_.unknowns());
  const Layer& board = mesh_.layers.front();
  double covered = 0.0;
  for (const int cell : board.cells) {
    const Eigen::Vector2d corner = mesh_.At(mesh_.PointsOf(cell)[0]);
    const double a = mesh_.Width(cell), b = mesh_.Depth(cell);
    const Eigen::Vector2d low = corner.cwiseMax(low_mm),
                          high = (corner + Eigen::Vector2d(a, b)).cwiseMin(high_mm);
    if ((high - low).minCoeff() <= 0.0) continue;
    const double area = (high - low).prod();
    covered += area;
    // A cell that is covered whole takes the exact loads; a part of one acts at the middle of that
    // part.
    const bool whole = area >= a * b * (1.0 - 1e-12);
    const Eigen::Vector2d middle = 0.5 * (low + high) - corner;
    const BendingVector share =
        whole ? EvenLoad(a, b)
              : BendingVector(area * ShapeRow(a, b, middle.x() / a, middle.y() / b));
    const auto nodes = mesh_.NodesOf(board, cell);
    for (int k = 0; k < kBendingOfCell; ++k)
      load(Unknown(nodes[static_cast<std::size_t>(k / 3)], kW + k % 3)) += share(k);
  }
  if (covered > 0.0) load *= force_n / covered;
  return load;
}

SparseRow Stiffness::DeflectionRow(const Eigen::Vector2d& at_mm) const {
  const Layer& board = mesh_.layers.front();
  const Spot spot = mesh_.Find(board, at_mm);
  const BendingVector values =
      ShapeRow(mesh_.Width(spot.cell), mesh_.Depth(spot.cell), spot.s, spot.t);
  const auto nodes = mesh_.NodesOf(board, spot.cell);
  SparseRow row;
  for (int k = 0; k < kBendingOfCell; ++k) {
    if (values(k) == 0.0) continue;
    row.unknowns.push_back(Unknown(nodes[static_cast<std::size_t>(k / 3)], kW + k % 3));
    row.values.push_back(values(k));
  }
  return row;
}

}  // namespace lieflat
