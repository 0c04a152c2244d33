#pragma once
// Private to readings: what the rows taken under a straightedge say.

#include <string>
#include <vector>

#include "readings/rows.h"

namespace lieflat::internal {

/// One departure of an edge: a gap where the straightedge touches both ends; or two gaps at the
/// ends where it rocks.
struct UprightFigure {
  Edge edge = Edge::kAB;
  Side side = Side::kSolder;
  double share = 0.5;  ///< place along the edge, from its first letter
  bool rocking = false;
  GaugeRow first;         ///< the gap; rocking: at the first letter
  GaugeRow second;        ///< rocking: at the second letter
  std::size_t index = 0;  ///< of `first` in the entry, for errors
};

/// @param rows  joined, each with edge and face. @error kRefused: one end alone; a straightedge
/// that both rocks and touches.
Result<std::vector<UprightFigure>> ReadUpright(const std::vector<GaugeRow>& rows,
                                               const Board& board,
                                               const std::string& name);

}  // namespace lieflat::internal
