#pragma once
// The point where four squares of a chessboard meet, to a few hundredths of a pixel.

#include <optional>

#include "photo/light.h"

namespace lieflat::internal {

/// @param half  half-width of the window, px.
/// @return the saddle, or nothing where the search leaves its start by over 0.6 half-widths or the
/// window shows no four alternating squares. Method: the point to which the slopes of the light are
/// square (Foerstner and Guelch 1987), Gauss weights, in linear light.
std::optional<Eigen::Vector2d> RefineSaddle(const Light& light,
                                            const Eigen::Vector2d& start,
                                            double half);

}  // namespace lieflat::internal
