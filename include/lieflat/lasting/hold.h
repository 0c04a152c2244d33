#pragma once
// One time that a board was held flat: how, for how long, how warm. Saved in the log as two entries
// that share the name of the hold:
//   hold-start  {"hold": "h1", "way": "weights", "load_kg": 5, "temperature_c": 21, "about": true}
//   hold-end    {"hold": "h1"}
// What is not known has no key.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/base/json.h"
#include "lieflat/base/result.h"
#include "lieflat/lasting/creep.h"

namespace lieflat {

struct LoggedHold {
  std::string id;   ///< "h1"
  std::string way;  ///< plates weights clamps mount other unknown
  std::optional<double> load_kg, temperature_c;
  std::optional<Instant> from, to;  ///< `to` absent: it is held still
  bool about = false;               ///< figures are round, told from memory
  bool anyway = false;              ///< begun although the budget or the cap spoke against it
  std::string note;

  /// Absent while it is held, or when no time is known.
  [[nodiscard]] std::optional<double> Hours() const;
};

extern const std::vector<std::string> kHoldWays;

/// The own fields of a hold-start entry, and back. @error kRefused.
Json ToJson(const LoggedHold& hold);
Result<LoggedHold> ParseHold(const Json& json, const std::string& where);

/// What the holds amount to: hours at the reference temperature (room temperature where none was
/// written down), by the median law.
double EquivalentHoursOf(const LoggedHold& hold, const Calib& calib);

/// Presses that a board has left.
struct PressBudget {
  double most = 0.0;        ///< share of the median life that a campaign may use
  double used = 0.0;        ///< by the holds so far
  std::optional<int> left;  ///< holds; absent: no part's joints are known to count them
  std::string part;         ///< the one that is used up first
};
/// Wear of one part: presses that it stands, median.
struct PressLife {
  std::string ref;
  double cycles = 0.0;
};
PressBudget BudgetOf(const std::vector<PressLife>& lives, int holds, const Calib& calib);

}  // namespace lieflat
