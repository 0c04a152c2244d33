#pragma once
// How warm a board may be held: the most delicate thing on it decides, and is named.

#include <string>
#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/board/board.h"

namespace lieflat {

struct TemperatureCap {
  double cap_c = 0.0;
  std::string set_by;  ///< "BT1", "the laminate", "every part fitted"
  std::string why;     ///< in plain words, with source and confidence
  /// What to take off, most delicate first, to be allowed more; with the cap of each.
  std::vector<std::pair<std::string, double>> delicate;
  bool may_bake = false;  ///< bare: near the laminate's transition
};

/// Batteries and leaking capacitors block heat altogether until they are off: the cap is then that
/// of the part, and heat above room temperature is none of it.
/// @param laminate_name  "fr2" and its like soften earlier.
TemperatureCap CapOf(const Board& board, const Calib& calib);

/// Brown paper laminate creeps and softens otherwise than glass-epoxy.
bool IsPaper(const Board& board);

}  // namespace lieflat
