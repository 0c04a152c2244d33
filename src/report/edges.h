#pragma once
// How the edges are drawn; shared by the drawing and by the words beside it.

#include "lieflat/report/html.h"

namespace lieflat::report {

struct EdgeScale {
  double px_per_mm = 1.0;  ///< along the edge
  double factor = 1.0;     ///< heights are drawn this many times larger
  [[nodiscard]] double Up(double gap_mm) const { return gap_mm * px_per_mm * factor; }
};

/// One scale for the four edges: the longest edge fills the width, the largest gap or limit about
/// 46 px.
EdgeScale ScaleOfEdges(const Assessment& assessment);
/// The gap that the limit allows on an edge.
double LimitGap(const Assessment& assessment, const EdgeBow& edge);
/// Nice steps for a ruler or a grid: 1, 2, 5, 10, ... mm, the smallest that is at least `least_px`
/// wide.
double NiceStep(double px_per_mm, double least_px);

}  // namespace lieflat::report
