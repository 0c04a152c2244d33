#pragma once
// Holds a mark against the published criteria of its kind, for the board's acceptance class.
//
//   Mark + what it stands on -> acceptable | process-indicator | defect | cannot-tell
//
// Criteria are numbers in calib/damage_criteria.json, each with standard, clause and confidence. A
// measure is asked for only where it can change the outcome: a nick deeper than the longest that is
// allowed is a defect wherever the next conductor lies. A measure whose 95 % interval holds the
// limit is too close to call; at the limit itself a mark is still within.

#include <string>
#include <vector>

#include "lieflat/damage/mark.h"

namespace lieflat {

enum class Outcome { kAcceptable, kProcessIndicator, kCannotTell, kDefect };
const char* Name(Outcome outcome);   ///< "acceptable", "process-indicator", "cannot-tell", "defect"
const char* Plain(Outcome outcome);  ///< "process indicator", "cannot tell yet"

struct Judgement {
  Outcome outcome = Outcome::kAcceptable;
  std::vector<std::string> missing;  ///< what to measure or answer, with its flag
  std::vector<std::string> reasons;  ///< per criterion that decided: what, against what
  std::string source;                ///< of the criteria that decided, with confidence
};

/// The limit of one measure under one criterion.
struct CriterionLimit {
  double value = 0.0;  ///< in the measure's unit; its u95 in `u95`
  double u95 = 0.0;
  bool known = false;   ///< false: the measure it is a share of is not known
  bool upper = true;    ///< a measure above is beyond; else below
  bool strict = false;  ///< at the limit is beyond already
  /// When not known: no value of the other measure can move the limit past this (upper limits).
  std::optional<double> most;
};

/// The measure that a criterion holds, and its limit, on this mark and board; nothing when the
/// criterion has none or does not apply to the board's class.
std::optional<CriterionLimit> LimitOfCriterion(const std::string& criterion,
                                               const Mark& mark,
                                               const Board& board,
                                               const Calib& calib);

/// A measure of a mark: as given, else from its drawn length, the part beside it, the board, or
/// another measure (the least width of a conductor is 80 % of what is drawn).
std::optional<Measured> MeasureOf(const std::string& measure,
                                  const Mark& mark,
                                  const Board& board,
                                  const Calib& calib);

/// @param works_now  yes partly no untested
Judgement Judge(const Mark& mark,
                const Board& board,
                const std::string& works_now,
                const Calib& calib);

}  // namespace lieflat
