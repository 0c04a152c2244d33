#pragma once
// The markers in a photo: which, and where.

#include <vector>

#include "lieflat/sheet/layout.h"

#include "photo/dark_squares.h"
#include "photo/light.h"

namespace lieflat::internal {

struct SeenMarker {
  int id = 0;
  /// Corners of the black square in the marker's own order: top left, top right, bottom right,
  /// bottom left as printed.
  Quad corners;
};

struct SeenMarkers {
  std::vector<SeenMarker> mat, stickers;
  int mirrored = 0;  ///< how many look like the mirror image of a mat marker
};

/// @param mat, sticker  families; words are matched up to a third of their distance.
SeenMarkers FindMarkers(const Picture& grey, const MarkerFamily& mat, const MarkerFamily& sticker);

/// 10..90 % widths of a square's edges.
struct SideWidths {
  double mean_px = 0.0;
  double wider_px = 0.0;  ///< of those two opposite sides that are wider
};

/// The corners of a black square found again on its sides, in linear light: where profiles across
/// the middle of each side rise, a line through them, lines intersected. False where a side shows
/// no clear edge.
bool RefineSides(const Light& light, int cells, Quad& corners, SideWidths* widths = nullptr);

}  // namespace lieflat::internal
