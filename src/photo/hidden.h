#pragma once
// Names for what hides stretches of a standing edge.

#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/photo/standing.h"

#include "photo/edge_bodies.h"
#include "photo/edge_curves.h"

namespace lieflat::internal {

/// Without the wide ones along which the edge was found all the same: a shadow on the paper darkens
/// it as a body does, and hides nothing.
std::vector<EdgeBody> WithoutShadows(std::vector<EdgeBody> bodies, const EdgeCurves& curves);

/// The stretches left out, in order along the chord (mm along it, not yet along the board's edge):
/// bodies by their width and reach, and stretches of 4 mm and more where no edge was found and no
/// body either.
std::vector<Hidden> NameHidden(const std::vector<EdgeBody>& bodies,
                               const EdgeCurves& curves,
                               const Calib& calib);

}  // namespace lieflat::internal
