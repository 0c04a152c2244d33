#pragma once
// The energy of a meshed plate model: internal forces, tangent contributions, loads.

#include <map>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "lieflat/plate/model.h"

#include "plate/element.h"
#include "plate/factor.h"
#include "plate/mesh.h"

namespace lieflat {

class Stiffness {
 public:
  Stiffness(const Mesh& mesh, const PlateModel& model);

  [[nodiscard]] const std::vector<Item>& items() const { return items_; }
  [[nodiscard]] std::vector<GridPoint> GridPoints() const;
  /// By node, from the height at its grid point.
  [[nodiscard]] Eigen::VectorXd NodalShape(const Eigen::VectorXd& by_grid_point) const;

  /// Internal forces of displacement x.
  [[nodiscard]] Eigen::VectorXd Forces(const Eigen::VectorXd& x,
                                       const Eigen::VectorXd& shape,
                                       bool large) const;
  /// Tangent of one item at x; `geometric` as in MembraneCell::Add.
  void Tangent(int item,
               const Eigen::VectorXd& x,
               const Eigen::VectorXd& shape,
               bool large,
               bool geometric,
               Eigen::Ref<Eigen::MatrixXd> matrix) const;
  /// Strain energy of the board layer: bending, membrane.
  [[nodiscard]] std::pair<double, double> BoardEnergy(const Eigen::VectorXd& x,
                                                      const Eigen::VectorXd& shape,
                                                      bool large) const;

  /// Nodal forces along z of all mass, for an acceleration along -z. N.
  [[nodiscard]] const Eigen::VectorXd& weight() const { return weight_; }
  [[nodiscard]] double weight_n() const { return weight_n_; }
  /// An even pressure over a rectangle, of `force_n` in all, along +z; what hangs over the board's
  /// edge is not lost but shared over the rest. Zero when the rectangle misses the board.
  [[nodiscard]] Eigen::VectorXd EvenForce(const Eigen::Vector2d& low_mm,
                                          const Eigen::Vector2d& high_mm,
                                          double force_n) const;
  /// Displacement along z of the board at a place.
  [[nodiscard]] SparseRow DeflectionRow(const Eigen::Vector2d& at_mm) const;

  struct SpringStretch {
    double axial = 0.0, shear_x = 0.0,
           shear_y = 0.0;  ///< mm; axial positive when the part moves away from the board
  };
  [[nodiscard]] SpringStretch Stretch(const Spring& spring, const Eigen::VectorXd& x) const;

 private:
  struct CellItem {
    int layer = 0, cell = 0, bending = 0;
    std::array<int, 4> nodes{};
  };
  [[nodiscard]] CellVector Gather(const CellItem& item, const Eigen::VectorXd& x) const;
  [[nodiscard]] MembraneCell::Heights GatherShape(const CellItem& item,
                                                  const Eigen::VectorXd& shape) const;
  using SpringRows = Eigen::Matrix<double, 3, 2 * kUnknownsOfNode>;
  [[nodiscard]] SpringRows RowsOf(const Spring& spring) const;
  [[nodiscard]] Eigen::Vector3d SpringStiffness(const Spring& spring) const;
  [[nodiscard]] MembraneCell Membrane(const CellItem& item) const;

  const Mesh& mesh_;
  const PlateModel& model_;
  std::vector<CellItem> cells_;
  std::vector<BendingMatrix> bending_;     ///< one for each size of cell and layer
  std::vector<Eigen::Matrix3d> membrane_;  ///< by layer
  std::vector<Item> items_;                ///< cells, then springs
  Eigen::VectorXd weight_;
  double weight_n_ = 0.0;
};

}  // namespace lieflat
