#pragma once
// A way of holding as contact rows, rigid bodies and loads.

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"
#include "lieflat/plate/solve.h"

#include "plate/contact.h"
#include "plate/mesh.h"
#include "plate/stiffness.h"

namespace lieflat {

struct HoldRows {
  std::vector<ContactRow> rows;
  std::vector<Touch> touch;       ///< by row
  std::vector<int> number;        ///< by row
  std::vector<double> up_sign;    ///< by row: +1 when its force pushes the board up
  Eigen::VectorXd balance;        ///< by body unknown
  Eigen::VectorXd load;           ///< on the unknowns of the mesh
  double load_n = 0.0;            ///< what presses down, rigid bodies included
  Eigen::VectorXd start_q;        ///< where the bodies touch the stress-free board first
  std::vector<int> first_active;  ///< rows that hold board and bodies at the start
};

/// How much of the loads acts (own weight always in full), and how far a plate at a given height or
/// screws have come.
struct Progress {
  double loads = 1.0;
  double travel = 1.0;
};

/// @param shape  stress-free heights by node.
/// @error kRefused: something of the hold lies off the board; kNoFigure: the board would tip or
/// fall.
Result<HoldRows> MakeHoldRows(const Mesh& mesh,
                              const Stiffness& stiffness,
                              const HeightField& field,
                              const Eigen::VectorXd& shape,
                              const Hold& hold,
                              const Progress& progress);

}  // namespace lieflat
