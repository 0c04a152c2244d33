#pragma once
// Where a profile of colours across a board's rim passes from what lies behind it to the board.

#include <optional>
#include <vector>

#include "photo/paint.h"

namespace lieflat::internal {

/// Colours at even steps from outside to inside.
struct RimProfile {
  std::vector<Rgb> colours;
  double first_mm = 0.0;  ///< distance of the first one outside the described rim
  double step_mm = 0.05;
};

struct RimCrossing {
  double outside_mm = 0.0;  ///< of the rim found, over the described one; negative: inside it
  double contrast = 0.0;    ///< of the two colours, linear light
};

/// The first place from outside where a run of the board's colour begins, half-way between the two
/// colours, to a fraction of a step; nothing where the two look alike.
std::optional<RimCrossing> FindRim(const RimProfile& profile, const Rgb& board, double blur_mm);

/// The middle colour of the profiles' inner ends around each: the board's own, gloss and light
/// included.
std::vector<Rgb> BoardColours(const std::vector<RimProfile>& profiles, double inside_from_mm);

}  // namespace lieflat::internal
