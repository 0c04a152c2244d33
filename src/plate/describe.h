#pragma once
// From a state of equilibrium to a PlateSolution.

#include "plate/newton.h"

namespace lieflat {

/// @param shape  stress-free heights by node.
PlateSolution Describe(const Plate::Parts& parts,
                       const HoldRows& hold,
                       const Hold& how,
                       const Eigen::VectorXd& shape,
                       const SolveOptions& options,
                       NewtonState state);

/// Stress-free heights by node.
Eigen::VectorXd NodalShapeOf(const Plate::Parts& parts, const HeightField& shape);

}  // namespace lieflat
