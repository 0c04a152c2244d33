#pragma once
// From the upper edge in single photos to whether a standing board is seen to be twisted.

#include <optional>
#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/photo/standing.h"

#include "photo/upper_edge.h"

namespace lieflat::internal {

/// Height of the edge opposite to one that stands, when both are sides of a rectangle.
std::optional<double> OppositeHeight(const Board& board, Edge edge);

struct UpperPhoto {
  UpperSeen seen;
  double azimuth_deg = 0.0;          ///< of the camera, off straight on
  double slope = 0.0;                ///< shift away from the phone a millimetre of height makes
  double lower_difference_mm = 0.0;  ///< of the contact edge's right end over its left one, away
};

/// @param photos  printed mm; @param scale  true over printed.
UpperEdge JudgeUpperEdge(const std::vector<UpperPhoto>& photos,
                         Edge edge,
                         double scale,
                         const Calib& calib);

/// A photo that shows the contact edge.
struct UpperShot {
  const Picture* weakest = nullptr;
  const Shot* shot = nullptr;
};
/// What is known of the lower edge and of the sheet by then.
struct LowerEdge {
  const Bundle& bundle;
  const MatLayout& mat;
  const MarkerFamily& markers;
  const PaperHeight& paper;
  Chord chord;
  const EdgeCurves& curves;  ///< in the order of the photos
  double scale = 1.0;        ///< true over printed
};
UpperEdge SeeUpperEdge(const std::vector<UpperShot>& shots,
                       const LowerEdge& lower,
                       const Board& board,
                       Edge edge,
                       const Calib& calib);

}  // namespace lieflat::internal
