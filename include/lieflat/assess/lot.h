#pragma once
// Every board of a lot, most urgent first; from kept assessments where they still hold.

#include "lieflat/assess/assessment.h"

namespace lieflat {

struct LotRow {
  std::string folder, label, works, need, bow_verdict, twist_verdict, recommended, next_action;
  std::string due;  ///< when the next action is, ISO 8601; empty: any time
  std::optional<double> bow_percent, bow_limit_percent, twist_percent;
  std::optional<Interval> bow_percent95, twist_percent95;
  int urgency = 0;                 ///< higher first
  std::optional<Error> problem;    ///< a folder that cannot be read is a row too
};

struct Lot {
  std::string name;
  std::vector<LotRow> rows;
};

/// The assessment document of one folder: kept when its key still holds, else worked out and kept.
Result<Json> AssessmentDocument(Disk& disk, const Clock& clock, const Calib& calib, const Disk::Path& folder,
                                const Disk::Path& settings_folder);
/// @error kRefused when the folder holds no board.
Result<Lot> AssessLot(Disk& disk, const Clock& clock, const Calib& calib, const Disk::Path& lot, const Disk::Path& settings_folder);
/// The "lieflat-lot" document.
Json ToJson(const Lot& lot);

}  // namespace lieflat
