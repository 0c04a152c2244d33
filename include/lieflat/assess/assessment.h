#pragma once
// Runs the stages once over a board folder's state and hands on one Assessment, which every front
// end shows.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/choice/recommend.h"
#include "lieflat/damage/effect.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/flatten.h"
#include "lieflat/joints/rating.h"
#include "lieflat/lasting/temperature_cap.h"
#include "lieflat/record/bench.h"
#include "lieflat/record/folder.h"
#include "lieflat/shape/weight.h"
#include "lieflat/trend/follow.h"

namespace lieflat {

struct UsedReading {
  std::string id, name;  ///< entry, station
  double value_mm = 0.0, u_mm = 0.0;
  double fitted_mm = 0.0;  ///< what the surface says there
};

/// What the board's own weight, or its lean, does to the readings that count.
struct WeightShare {
  std::optional<double> bow_percent, twist_percent;  ///< as seen, before anything was taken off
  double sag_mm = 0.0,
         sag_u_mm =
             0.0;  ///< how far the weight bent it while it was read, highest less lowest of the rim
  bool lay = false;  ///< on points or a table: its weight was in the readings
};

/// In a few words; `due` where it has its time: a hold that goes on, a rest that is not over.
struct NextStep {
  std::string what;
  std::optional<Instant> due;
};

struct Assessment {
  Board board;
  std::string works_now;
  std::optional<Instant> works_tested_at;  ///< absent: only the intake says so
  bool read = false;                       ///< at least one reading counts
  std::optional<Instant> read_at;          ///< newest reading used
  std::string held;                        ///< "upright, straightedge"
  std::vector<UsedReading> used;
  std::vector<std::string> passed_over;  ///< "e2: lying on a table; the upright readings count"
  std::optional<Surface> surface;
  bool curvature_known = false;  ///< both ways: an edge of each pair is known
  Flatness flatness;
  std::optional<WeightShare> weight;     ///< when something was read
  std::optional<Flattening> flattening;  ///< by the plate model
  double any_damage_probability = 0.0;   ///< that pressing flat damages at least one part
  std::vector<PartRating> parts;         ///< in the board's order
  std::vector<JudgedMark> marks;         ///< damage on record, as it stands
  std::vector<Option> options;           ///< side by side, when something was read
  std::optional<Triple> night_gain_mm;   ///< of the largest departure, what a night held flat keeps
  Recommendation recommended;
  NextStep next;
  std::vector<std::string> notes;  ///< assumptions, thermal note, as-built warnings
  std::string calib_origin;
  std::optional<FirstLookAnswer> first_look;  ///< the newest glance, when nothing was read
};

struct AssessOptions {
  std::string worth;  ///< empty: the board's own
  SurfaceOptions surface;
  WeightOptions weight;
  FlattenOptions flatten;
  bool press_flat = true;  ///< false: parts are rated by the curvature beside them, at once
};

/// Which readings count: those since the last hold that share support, side and fittings; upright
/// and free before points before table; of a place read on several days the newest day.
/// @error kRefused when a saved reading no longer fits the board (as ToSamples).
Result<Assessment> Assess(const BoardFolder::State& state,
                          const Bench& bench,
                          const Calib& calib,
                          const Instant& now,
                          const AssessOptions& options = {});

/// The "lieflat-assessment" document, version 1; absent figures have no key. Strains in
/// microstrain.
Json ToJson(const Assessment& assessment);

/// The board over its holds and readings. @error kNoFigure when nothing was read.
struct FollowedBoard {
  std::string label;
  Following following;
  PressBudget budget;
  TemperatureCap cap;
  std::vector<std::string> notes;
};
Result<FollowedBoard> FollowBoard(const BoardFolder::State& state,
                                  const Bench& bench,
                                  const Calib& calib,
                                  const Instant& now);
/// The "lieflat-trend" document.
Json ToJson(const FollowedBoard& board);

/// A hold that goes on, then a rest that is not over, then what is recommended.
NextStep NextStepOf(const Log& log,
                    const Flatness& flatness,
                    const Recommendation& recommended,
                    const Calib& calib);

/// What is known of a board's laminate: transition, paper, age; of unknown year it counts as old.
LaminateState LaminateOf(const Board& board, const Calib& calib, const Instant& now);
/// How often each part's joints stand a press.
std::vector<PressLife> PressLives(const std::vector<PartRating>& parts);

/// Chooses the samples that count (see Assess).
struct Selection {
  SampleSet samples;
  std::vector<std::string> ids, passed_over, warnings;
  std::optional<Instant> newest;
  std::vector<std::string> fitted;
  std::string held;
};
Result<Selection> SelectSamples(const BoardFolder::State& state,
                                const Bench& bench,
                                const Calib& calib);

}  // namespace lieflat
