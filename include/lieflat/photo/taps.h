#pragma once
// The quick form without any printed sheet: a steel rule held against an edge of the upright board,
// touching at both ends; in a photo of it, three places are pointed at: the edge's two ends and its
// deepest point. All lengths follow from the edge's own, so no scale is needed.

#include "lieflat/readings/photo.h"

namespace lieflat {

struct Taps {
  Edge edge = Edge::kAB;
  Side touched = Side::kComponent;                ///< the face that the rule touches
  Eigen::Vector2d first_px, last_px, deepest_px;  ///< ends at the edge's first and second letter
};

/// @param width, height  of the photo, px.
/// @param held  upright.
/// @error kRefused: a tap off the picture, ends too close together, a deepest point that is not
/// between them; kNoFigure: the edge too small in the photo.
Result<PhotoReading> MeasureTaps(const Taps& taps,
                                 int width,
                                 int height,
                                 const Board& board,
                                 const Gauge& held,
                                 const Calib& calib);

}  // namespace lieflat
