#pragma once
// Where one board's picture lies on another's of its kind.

#include <optional>

#include "photo/picture_grid.h"

namespace lieflat::internal {

struct Registration {
  Eigen::Matrix<double, 2, 3> mine_of_sound;  ///< grid units: x' = M (x, y, 1)
  double rms_mm = 0.0;
};

/// Tiles matched by correlation, an affine map through them by robust least squares. Nothing when
/// fewer than 8 tiles match.
std::optional<Registration> Register(const Grid& mine, const Grid& sound);

/// Mine on the sound one's grid.
Layers Warped(const Layers& mine, const Registration& by);

}  // namespace lieflat::internal
