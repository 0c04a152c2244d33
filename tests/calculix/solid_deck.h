#pragma once
// The input file of CalculiX for a solid model.

#include <string>
#include <vector>

#include "calculix/solid_mesh.h"

namespace lieflat::testing {

/// Applied force by board vertex's middle node: CalculiX counts it into the reaction there.
std::vector<double> AppliedUpAtVertices(const SolidModel& model, const SolidMesh& mesh);

/// Joints' own nodes, which carry their stretch, are numbered on from the mesh's.
int FirstJointNode(const SolidMesh& mesh);

std::string DeckOf(const SolidModel& model,
                   const SolidMesh& mesh,
                   const std::vector<HeldVertex>& held);

}  // namespace lieflat::testing
