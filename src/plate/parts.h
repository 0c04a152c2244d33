#pragma once
// What a Plate is made of.

#include <memory>
#include <vector>

#include "lieflat/plate/solve.h"

#include "plate/factor.h"
#include "plate/mesh.h"
#include "plate/stiffness.h"

namespace lieflat {

struct Plate::Parts {
  Parts(PlateModel its_model, Mesh its_mesh);
  Parts(const Parts&) = delete;
  Parts& operator=(const Parts&) = delete;

  PlateModel model;
  Mesh mesh;
  Stiffness stiffness;
  std::vector<int> anchors;  ///< unknowns that springs hold while a matrix is decomposed
  double anchor_n_per_mm = 0.0;
  std::vector<Eigen::Vector2d> points;
  /// Analysed; holds the numbers of the last solve. Made when it is first asked for: a plate that
  /// only lends its stiffness to a neighbourhood needs none.
  [[nodiscard]] Factor& factor() const;
  /// To be used by plates of one mesh in turn: the analysis is the same.
  void ShareFactorOf(const Parts& other) const;

 private:
  std::vector<int> fixed_;  ///< unknowns in the plane that carry nothing
  mutable std::shared_ptr<Factor> factor_;
};

}  // namespace lieflat
