#pragma once
// A board over days: its holds and its readings, like compared with like.
//
//   readings + holds -> what changed against noise, forecast, when to stop
//
// Readings just after release (under 1 h) and rested ones (12 h or more) are kept apart; what lies
// between is shown and not fitted. Like with like: the same support, side, fittings and tool. The
// figure that is followed is the largest that was read before the first hold.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/lasting/hold.h"
#include "lieflat/trend/change.h"
#include "lieflat/trend/stop.h"

namespace lieflat {

struct DatedReading {
  std::string id;
  Instant at;
  std::string like;  ///< how it was read; only equal ones are compared
  std::vector<std::string> fitted;
  std::vector<FigureRead> figures;
};

struct FollowedReading {
  std::string id;
  Instant at;
  double hours = 0.0;                 ///< held before it, equivalent at the reference temperature
  int holds = 0;                      ///< before it
  std::string state;                  ///< first, just-freed, between, rested
  double value_mm = 0.0, u_mm = 0.0;  ///< + as it was first
};

struct Following {
  std::string figure;  ///< "bow AB"; empty when nothing can be followed
  std::string like;
  std::vector<FollowedReading> readings;
  std::vector<LoggedHold> holds;
  std::vector<std::string> passed_over;  ///< readings that are not alike
  double first_mm = 0.0;
  std::optional<double> target_mm;

  struct Change {
    std::optional<double> mm, noise_mm;  ///< rested against first; + grows
    std::optional<double> freed_mm;      ///< just freed against first
    int first = 0, rested = 0;           ///< readings in each mean
    bool detectable = false;
    std::string why;  ///< in plain words
  } change;

  std::optional<TrendModel> model;
  double hours_per_hold = 0.0;
  struct Ahead {
    int holds = 0;
    double p5 = 0.0, p25 = 0.0, p50 = 0.0, p75 = 0.0, p95 = 0.0;  ///< mm, rested
  };
  std::vector<Ahead> forecast;
  std::optional<int> holds_to_target;  ///< until the middle of the forecast is there, within 100
  struct Kept {
    Triple foreseen;       ///< share of the bend that these holds keep, before any reading
    Triple with_readings;  ///< the same, once the board's own readings count
    Triple next_hold;      ///< further share that the next hold adds, with them
  };
  std::optional<Kept> kept;
  std::vector<std::string> steps;  ///< changes that are not creep
  Stop stop;
};

struct FollowOptions {
  /// The magnitude that is flat enough, by figure, mm; absent: no limit applies.
  std::function<std::optional<double>(const std::string& figure)> target_mm;
  LaminateState laminate;
  double fatigue_used = 0.0, worst_share = 0.0;
  std::uint64_t seed = 20260302;
};

/// @param readings  in any order. @error kNoFigure without a reading.
Result<Following> Follow(std::vector<DatedReading> readings,
                         std::vector<LoggedHold> holds,
                         const FollowOptions& options,
                         const Calib& calib);

}  // namespace lieflat
