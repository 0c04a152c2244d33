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
  std::unique_ptr<Factor> factor;  ///< analysed; holds the numbers of the last solve
  std::vector<Eigen::Vector2d> points;
};

}  // namespace lieflat
