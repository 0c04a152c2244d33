#pragma once
// The topographic sheet as a drawing, and what must be said beside it.

#include <string>
#include <vector>

#include "lieflat/report/html.h"

namespace lieflat::report {

struct SheetDrawing {
  std::string svg;
  double interval_mm = 0.0, grid_mm = 0.0;
  bool all_shown = true;  ///< false: some lines are dotted, some heights a question mark
  bool has_above = false, has_below = false;
  std::vector<int> hatchings;           ///< those in use, see HatchOf
  std::vector<std::string> unlabelled;  ///< parts drawn without their name, for want of room
  std::vector<std::string> unplaced;    ///< parts without a known place, with what is known of it
  bool other_side = false;              ///< a part sits on the solder side
  bool has_holes = false;
  bool has_damage = false;
};

/// 0 not measured, 1 under 25 %, 2 to 50 %, 3 to 100 %, 4 over.
int HatchOf(const PartRating* rating);
const char* HatchWords(int hatch);
/// The <pattern> elements of the hatchings.
std::string HatchPatterns();

/// A mounting hole: a circle under a cross that reaches beyond it, so that it is not taken for the
/// mark of a height.
std::string HolePath(const Eigen::Vector2d& at_px, double radius_px);

/// Needs assessment.surface.
/// @param under  the component side's picture, faintly below everything; null: none.
SheetDrawing DrawSheet(const Assessment& assessment, const FacePicture* under = nullptr);

/// A face's picture with its marks; what is said of it beside it is in the result.
SheetDrawing DrawFace(const Assessment& assessment, const FacePicture& picture);

}  // namespace lieflat::report
