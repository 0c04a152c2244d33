#pragma once
// What one way of holding would do to a board as it was last read: the board's shape without its
// weight, pressed that way.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"
#include "lieflat/lasting/outlook.h"
#include "lieflat/press/optimise.h"
#include "lieflat/press/press.h"

namespace lieflat {

struct PreviewOptions {
  PressOptions press;     ///< its limits are filled in here
  bool optimise = false;  ///< look for gentler places or washers first
};

/// What a hold of so long and so warm keeps of the change that it makes, from priors.
struct LastingRow {
  std::string hold;  ///< "a night at 23 C"
  HoldTime time;
  Triple keeps, just_freed;  ///< rested; at release
};

struct Preview {
  Assessment basis;  ///< the readings, shape and limits that it rests on; parts rated by curvature
  PressWay way;      ///< as solved
  std::optional<Optimised> optimised;  ///< how it was found, when it was looked for
  bool own_weight = true;
  Side up = Side::kComponent;
  Pressing pressing;
  std::vector<LastingRow> lasting;  ///< none for a board that is screwed down: the screws hold it
  std::vector<std::string> cautions;
};

/// @error kNoFigure: the board's bow is not known both ways (says what to read next); as Assess and
/// PressBoard.
Result<Preview> MakePreview(const BoardFolder::State& state,
                            const Bench& bench,
                            const Calib& calib,
                            const Instant& now,
                            const PressWay& way,
                            const PreviewOptions& options = {});

/// The "lieflat-preview" document, version 1. Strains in microstrain; lengths in mm, forces in N.
Json ToJson(const Preview& preview);

}  // namespace lieflat
