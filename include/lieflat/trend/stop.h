#pragma once
// When to stop holding a board: by rules that a person can read, in this order.
//
//   risk     the joints' share of presses is used up, or a part would be bent past what it stands
//   step     it changed in a way that is not creep: ask before anything else
//   worse    it grows: P(A < 0) is large
//   target   it is flat enough: P(rested value at or under the target) is large
//   nothing  after several holds no change can be told from reading error
//   plateau  the next holds will hardly bring anything
//   go-on    none of these

#include <optional>
#include <string>

#include "lieflat/base/calib.h"
#include "lieflat/trend/forecast.h"

namespace lieflat {

struct StopQuestion {
  const TrendModel* model = nullptr;  ///< null: too little was read for a forecast
  double height_mm = 0.0;             ///< of the bend at first
  std::optional<double> target_mm;    ///< magnitude that is flat enough
  double hours_per_hold = 24.0;       ///< equivalent, of the holds that would follow
  int holds = 0;                      ///< so far
  bool change_told = false;           ///< from reading error
  std::string step;                   ///< what changed without creep; empty: nothing did
  double fatigue_used = 0.0;          ///< of the median life of the worst part
  double worst_share = 0.0;           ///< of the allowed bend, pressed flat
};

struct Stop {
  std::string rule;
  std::string why;
  [[nodiscard]] bool stop() const { return rule != "go-on"; }
};

Stop DecideStop(const StopQuestion& question, const Calib& calib);

}  // namespace lieflat
