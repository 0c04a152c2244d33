#pragma once
// The upper edge of a standing board in one photo: how far its one end stands off the other, away
// from the phone, against the contact edge below it.
//
// The rays of the photo are met with the plane of the upper edge's height. There the board hides
// what lies behind it: seen from the phone, the last steady change from the dark of its cut edge to
// light. An unknown lean of the board moves the whole edge and not its slope; an error of the
// camera's place does so too.

#include <functional>
#include <optional>
#include <string>

#include <Eigen/Core>

#include "lieflat/sheet/layout.h"

#include "photo/edge_curves.h"
#include "photo/sheet_light.h"
#include "photo/sheet_pattern.h"

namespace lieflat::internal {

struct UpperView {
  LightInSpace light;
  Eigen::Vector3d eye = Eigen::Vector3d::Zero();  ///< of the camera, sheet's frame
  Chord chord;                                    ///< of the contact edge
  std::function<double(double along)> height_mm;  ///< of the upper edge over the sheet's frame
  double print_y = 1.0;                           ///< y as printed over x as printed
};

struct UpperSeen {
  bool in_frame = true;        ///< the whole edge
  bool found = false;          ///< over its whole length, and sharply
  double difference_mm = 0.0;  ///< of its right end over its left one, away from the phone
  double scatter_mm = 0.0;     ///< robust, of the places about the fitted cubic
  double gap_share = 1.0;      ///< the longest part of the edge without a place
};

UpperSeen FindUpperEdge(const UpperView& view, const MatLayout& mat, const SheetPattern& pattern);

}  // namespace lieflat::internal
