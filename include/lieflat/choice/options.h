#pragma once
// What can be done with a bent board, side by side: what it gains, what stays of it, what it risks,
// what stands in the way.
//
// Bow and twist after pressing are those of a board that was held flat and has rested:
// (1 - S_r) of what they are now, S_r by lieflat/lasting/outlook.h. How long and how warm each
// option holds, and where lines are drawn, stands in calib/choice.json ("options", "recommend").

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/damage/effect.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/rating.h"
#include "lieflat/lasting/outlook.h"

namespace lieflat {

struct Option {
  std::string name;  ///< leave use-as-is mount press-cold press-warm strip-and-bake set-aside sell
                     ///< spares
  std::string how;   ///< "held flat for 7 days at 23 C, then rested for a week"
  std::optional<Triple> bow_after_percent, twist_after_percent;
  Triple lasting_fraction;    ///< of the change that pressing makes; 0 where nothing is pressed
  Triple just_freed;          ///< the same at release, before the rest
  Triple gain_mm;             ///< of the largest departure, what stays of it
  double cycles_share = 0.0;  ///< of the presses that the first part to wear stands
  bool rated = true;          ///< false: what it does to the parts is not known
  double worst_share = 0.0;   ///< of the allowed bend
  double damage_probability = 0.0;      ///< that at least one part is damaged
  double days = 0.0;                    ///< until it can be read
  std::vector<std::string> blocked_by;  ///< in plain words; empty: nothing stands in the way
  std::string against;  ///< the first thing that speaks against it, in plain words; empty: nothing

  [[nodiscard]] bool presses() const;  ///< the board is bent flat
};

struct OptionInputs {
  const Board& board;
  const Flatness& flatness;
  const std::vector<PartRating>& parts;
  double any_damage_probability = 0.0;  ///< pressed flat
  const std::vector<JudgedMark>& marks;
  LaminateState laminate;
  const std::vector<std::string>&
      skills;  ///< of the bench; "rework": takes parts off and puts them on
  /// Of the bench; "warm-box": keeps 70 C for a day, "oven": keeps 125 C. Absent: never asked.
  const std::optional<std::vector<std::string>>& tools;
  std::uint64_t seed = 20260302;
};

/// Every option that makes sense for the board, the gentlest first: none that presses when bow or
/// twist is not measured far enough. Same seed, same bytes.
std::vector<Option> ListOptions(const OptionInputs& inputs, const Calib& calib);

/// Of the largest departure, what a night held flat at room temperature keeps after a rest, mm;
/// nothing when bow and twist are not both measured.
std::optional<Triple> NightGain(const OptionInputs& inputs, const Calib& calib);

/// Whether a press may be recommended, as the first rule that speaks against it, in plain words;
/// nothing when none does: it is not blocked; the chance that at least one part is damaged is at
/// most that of the board's worth; what stays of the gain can be read.
std::optional<std::string> AgainstPressing(const Option& option,
                                           const std::string& worth,
                                           const Calib& calib);

/// Bow or twist, rested afterwards, would still be over the limit, at the median.
bool WouldStayOver(const Option& option, const Limit& limit);

}  // namespace lieflat
