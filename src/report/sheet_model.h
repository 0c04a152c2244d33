#pragma once
// What the topographic sheet shows, in mm: heights over the best plane, how well they are known,
// contour lines, places.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"

#include "report/contours.h"

namespace lieflat::report {

struct Station {
  std::string name;  ///< a letter name, or empty for any other place
  Eigen::Vector2d at_mm;
  bool read = false;  ///< a reading stands there
  double height_mm = 0.0, u95_mm = 0.0;
  bool shown = true;  ///< false: the readings do not show its height
};

struct SheetModel {
  HeightGrid heights;  ///< fine, over the least-squares plane of the board's area
  HeightGrid u95;      ///< coarse
  double lowest_mm = 0.0, highest_mm = 0.0;  ///< on the board
  double interval_mm = 0.1;
  std::vector<ContourLine> lines;
  std::vector<Station> stations;  ///< corners, edge middles, then other places read
  bool all_shown = true;  ///< the readings show the height everywhere to one contour interval
};

/// Heights over the least-squares plane, `along` steps on the longer side. Needs
/// assessment.surface.
HeightGrid MeanHeights(const Assessment& assessment, int along);
/// Half the 95 % interval of the height, on a coarse grid; zero without draws. Likewise.
HeightGrid HeightU95(const Assessment& assessment);

/// Needs assessment.surface.
SheetModel ModelSheet(const Assessment& assessment);

}  // namespace lieflat::report
