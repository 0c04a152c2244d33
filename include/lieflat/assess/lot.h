#pragma once
// Every board of a lot, most urgent first; from kept assessments where they still hold.

#include "lieflat/assess/assessment.h"

namespace lieflat {

struct LotRow {
  std::string folder, label, works, need, bow_verdict, twist_verdict, recommended, next_action;
  std::string due;  ///< when the next action is, ISO 8601; empty: any time
  std::optional<double> bow_percent, bow_limit_percent, twist_percent;
  std::optional<Interval> bow_percent95, twist_percent95;
  /// What the crate's small drawing shows.
  struct WorstEdge {
    std::string edge, towards;
    double length_mm = 0.0, gap_mm = 0.0;
  };
  std::optional<WorstEdge> worst_edge;
  std::string worst_part;        ///< the part that pressing flat would bend nearest to its limit
  bool pending = false;          ///< nothing kept holds for it, and nothing was worked out
  int urgency = 0;               ///< higher first
  std::optional<Error> problem;  ///< a folder that cannot be read is a row too
};

struct Lot {
  std::string name;
  std::vector<LotRow> rows;
};

/// The assessment document of one folder: kept when its key still holds, else worked out and kept.
Result<Json> AssessmentDocument(Disk& disk,
                                const Clock& clock,
                                const Calib& calib,
                                const Disk::Path& folder,
                                const Disk::Path& settings_folder);
/// kKeptOnly: boards whose kept assessment no longer holds are pending rows, and come last.
enum class LotWork { kAll, kKeptOnly };
/// @error kRefused when the folder holds no board.
Result<Lot> AssessLot(Disk& disk,
                      const Clock& clock,
                      const Calib& calib,
                      const Disk::Path& lot,
                      const Disk::Path& settings_folder,
                      LotWork work = LotWork::kAll);
/// The "lieflat-lot" document.
Json ToJson(const Lot& lot);

}  // namespace lieflat
