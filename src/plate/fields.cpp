// What a solution says at a place: heights by the cell's own polynomial; curvature and membrane
// strain averaged at the nodes over the cells round them (within a layer), then bilinear.

#include <algorithm>
#include <array>
#include <cmath>

#include "lieflat/board/polygon.h"

#include "plate/parts.h"

namespace lieflat {
namespace {

using Average = Eigen::Matrix<double, 6, 1>;  ///< w,xx  w,yy  w,xy  exx  eyy  gxy

class Fields {
 public:
  Fields(const Plate::Parts& parts, const PlateSolution& solution)
      : mesh_(parts.mesh), board_(parts.mesh.layers.front()), solution_(solution) {}

  [[nodiscard]] Average AtPoint(int point) const {
    const int columns = mesh_.columns();
    const int i = point % (columns + 1), j = point / (columns + 1);
    Average sum = Average::Zero();
    double cells = 0.0;
    for (int dj = -1; dj <= 0; ++dj) {
      for (int di = -1; di <= 0; ++di) {
        if (i + di < 0 || i + di >= columns || j + dj < 0 || j + dj >= mesh_.rows()) continue;
        const int cell = mesh_.Cell(i + di, j + dj);
        if (!std::binary_search(board_.cells.begin(), board_.cells.end(), cell)) continue;
        sum += InCell(cell, di < 0 ? 1.0 : 0.0, dj < 0 ? 1.0 : 0.0);
        cells += 1.0;
      }
    }
    return cells > 0.0 ? Average(sum / cells) : sum;
  }

  [[nodiscard]] Average At(const Eigen::Vector2d& at_mm) const {
    const Spot spot = mesh_.Find(board_, at_mm);
    const auto points = mesh_.PointsOf(spot.cell);
    const double s = spot.s, t = spot.t;
    return (1 - s) * (1 - t) * AtPoint(points[0]) + s * (1 - t) * AtPoint(points[1]) +
           s * t * AtPoint(points[2]) + (1 - s) * t * AtPoint(points[3]);
  }

 private:
  [[nodiscard]] Average InCell(int cell, double s, double t) const {
    const double a = mesh_.Width(cell), b = mesh_.Depth(cell);
    CellVector own;
    MembraneCell::Heights shape;
    const auto nodes = mesh_.NodesOf(board_, cell);
    for (int n = 0; n < kNodesOfCell; ++n) {
      const auto node = static_cast<Eigen::Index>(nodes[static_cast<std::size_t>(n)]);
      own.segment<kUnknownsOfNode>(kUnknownsOfNode * n) =
          solution_.displacement.segment<kUnknownsOfNode>(kUnknownsOfNode * node);
      shape(n) = solution_.shape(node);
    }
    BendingVector bent;
    for (int k = 0; k < kBendingOfCell; ++k) bent(k) = own(BendingUnknown(k));
    Average average;
    average.head<3>() = CurvatureRows(a, b, s, t) * bent;
    average.tail<3>() = MembraneCell(a, b, Eigen::Matrix3d::Identity())
                            .StrainAt(own, shape, solution_.large_deflection, s, t);
    return average;
  }

  const Mesh& mesh_;
  const Layer& board_;
  const PlateSolution& solution_;
};

Eigen::Vector3d FaceStrain(const Average& average, double thickness_mm, Side face) {
  const double arm = face == Side::kComponent ? 0.5 * thickness_mm : -0.5 * thickness_mm;
  return {average(3) - arm * average(0),
          average(4) - arm * average(1),
          0.5 * average(5) - arm * average(2)};
}

double LargestOf(const Eigen::Vector3d& strain) {
  const double middle = 0.5 * (strain(0) + strain(1));
  return std::abs(middle) + std::hypot(0.5 * (strain(0) - strain(1)), strain(2));
}

}  // namespace

double Plate::Displacement(const PlateSolution& solution, const Eigen::Vector2d& at_mm) const {
  const SparseRow row = parts_->stiffness.DeflectionRow(at_mm);
  double sum = 0.0;
  for (std::size_t k = 0; k < row.unknowns.size(); ++k)
    sum += row.values[k] * solution.displacement(row.unknowns[k]);
  return sum;
}

double Plate::Height(const PlateSolution& solution, const Eigen::Vector2d& at_mm) const {
  const Mesh& mesh = parts_->mesh;
  const Spot spot = mesh.Find(mesh.layers.front(), at_mm);
  const auto nodes = mesh.NodesOf(mesh.layers.front(), spot.cell);
  const double s = spot.s, t = spot.t;
  const std::array<double, 4> weight = {(1 - s) * (1 - t), s * (1 - t), s * t, (1 - s) * t};
  double shape = 0.0;
  for (std::size_t n = 0; n < 4; ++n) shape += weight[n] * solution.shape(nodes[n]);
  return shape + Displacement(solution, at_mm);
}

Eigen::Vector3d Plate::Curvature(const PlateSolution& solution,
                                 const Eigen::Vector2d& at_mm) const {
  return Fields(*parts_, solution).At(at_mm).head<3>();
}

Eigen::Vector3d Plate::MembraneStrain(const PlateSolution& solution,
                                      const Eigen::Vector2d& at_mm) const {
  const Average average = Fields(*parts_, solution).At(at_mm);
  return {average(3), average(4), 0.5 * average(5)};
}

Eigen::Vector3d Plate::Strain(const PlateSolution& solution,
                              const Eigen::Vector2d& at_mm,
                              Side face) const {
  return FaceStrain(Fields(*parts_, solution).At(at_mm), parts_->model.board.thickness_mm, face);
}

double Plate::LargestStrain(const PlateSolution& solution, double away_mm) const {
  const Fields fields(*parts_, solution);
  const Mesh& mesh = parts_->mesh;
  double largest = 0.0;
  for (int point = 0; point < mesh.grid_points(); ++point) {
    if (mesh.layers.front().node_at[static_cast<std::size_t>(point)] < 0) continue;
    const Eigen::Vector2d at = mesh.At(point);
    if (away_mm > 0.0 && DistanceToBoundary(parts_->model.outline_mm, at) < away_mm) continue;
    const Average average = fields.AtPoint(point);
    for (const Side face : {Side::kComponent, Side::kSolder})
      largest =
          std::max(largest, LargestOf(FaceStrain(average, parts_->model.board.thickness_mm, face)));
  }
  return largest;
}

std::vector<JointLoad> Plate::Joints(const PlateSolution& solution, int stiffener) const {
  std::vector<JointLoad> loads;
  for (const Spring& spring : parts_->mesh.springs) {
    const Layer& layer = parts_->mesh.layers[static_cast<std::size_t>(spring.layer)];
    if (layer.stiffener != stiffener) continue;
    const Stiffener& part = parts_->model.stiffeners[static_cast<std::size_t>(stiffener)];
    const Stiffness::SpringStretch stretch =
        parts_->stiffness.Stretch(spring, solution.displacement);
    loads.push_back({parts_->mesh.At(spring.point),
                     part.axial_n_per_mm * stretch.axial,
                     part.shear_n_per_mm * stretch.shear_x,
                     part.shear_n_per_mm * stretch.shear_y,
                     spring.joints});
  }
  return loads;
}

}  // namespace lieflat
