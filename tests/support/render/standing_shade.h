#pragma once
// The shadow that a standing board throws on the paper: behind it, soft; and the dim strip before
// it.

#include "support/render/scene.h"

namespace lieflat::testing {

float StandingShade(const StandingBoard& board, const Eigen::Vector2d& world);

}  // namespace lieflat::testing
