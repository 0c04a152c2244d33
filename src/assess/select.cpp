// Which readings count.

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "lieflat/assess/assessment.h"
#include "lieflat/flatness/known.h"

namespace lieflat {
namespace {

/// Readings this close in time are one sitting: repeats of one place are averaged, not replaced.
constexpr std::int64_t kSittingSeconds = 12 * 3600;

struct Reading {
  const Entry* entry;
  SampleSet samples;
};

/// Readings that may be taken together: those that show the stress-free shape, or those on the same
/// supports. On points both sides up go together: what the weight does to one it undoes in the
/// other.
std::string GroupOf(const Gauge& gauge) {
  if (gauge.rest == Rest::kUpright || gauge.rest == Rest::kFree) return "free of its weight";
  std::string group = Name(gauge.rest);
  if (gauge.rest == Rest::kTable) group += std::string(" ") + Name(gauge.down);
  for (const Support& support : gauge.supports)
    group += fmt::format(" {:.0f}:{:.0f}", support.at_mm.x(), support.at_mm.y());
  return group;
}

std::string HeldInWords(const Gauge& gauge) {
  const std::string down = gauge.down == Side::kSolder ? "solder side down" : "component side down";
  switch (gauge.rest) {
    case Rest::kUpright:
      return "upright";
    case Rest::kFree:
      return "heights without its weight";
    case Rest::kTable:
      return "lying on a table, " + down;
    case Rest::kPoints:
      return fmt::format("on {} points, {}", gauge.supports.size(), down);
  }
  return "";
}

/// Entries since the last hold; all of them, with a warning, when nothing was read since.
std::vector<const Entry*> SinceLastHold(const Log& log, std::vector<std::string>& warnings) {
  // By the time of the hold, not by its place in the log: a hold may be written down afterwards.
  std::optional<std::int64_t> last_hold;
  for (const Entry& entry : log.entries) {
    if (entry.voided || (entry.kind != "hold-start" && entry.kind != "hold-end")) continue;
    last_hold = std::max(last_hold.value_or(entry.at.unix_seconds), entry.at.unix_seconds);
  }
  std::vector<const Entry*> before, since;
  for (const Entry& entry : log.entries) {
    if (entry.voided || entry.held() == nullptr) continue;
    (last_hold && entry.at.unix_seconds < *last_hold ? before : since).push_back(&entry);
  }
  if (!since.empty() || before.empty()) return since;
  warnings.emplace_back(
      "nothing was read since it was last held: the figures are those from before");
  return before;
}

int FiguresShown(const Board& board, const std::vector<const Reading*>& readings) {
  SampleSet all;
  for (const Reading* reading : readings) {
    all.samples.insert(
        all.samples.end(), reading->samples.samples.begin(), reading->samples.samples.end());
  }
  const Known known = WhatIsRead(board, all);
  return static_cast<int>(std::count(known.edges.begin(), known.edges.end(), true)) +
         (known.twist ? 1 : 0);
}

/// The group that counts: free of weight when it shows an edge's bow, else the one that shows most;
/// among equals the newest.
std::string ChooseGroup(const Board& board, const std::vector<Reading>& readings) {
  std::map<std::string, std::vector<const Reading*>> groups;
  for (const Reading& reading : readings)
    groups[GroupOf(*reading.entry->held())].push_back(&reading);
  std::string best;
  std::pair<int, int> best_score{-1, -1};
  for (const auto& [name, members] : groups) {
    const int figures = FiguresShown(board, members);
    const bool free_of_weight = !members.front()->samples.weight_in();
    // More than twist alone, which may come from strips while the bow was read on a table.
    const std::pair<int, int> score{free_of_weight && figures > 1 ? 100 : figures,
                                    members.back()->entry->line};
    if (score > best_score) {
      best_score = score;
      best = name;
    }
  }
  return best;
}

/// Of one place read on several days, the newest day.
void KeepNewestDay(const std::vector<Reading>& readings, Selection& selection) {
  const auto key = [](const Sample& sample) {
    return fmt::format("{} {} {} {}",
                       static_cast<int>(sample.figure),
                       sample.procedure,
                       sample.name,
                       sample.held.weight_in() ? Name(sample.held.down) : "");
  };
  std::map<std::string, std::int64_t> newest;
  for (const Reading& reading : readings) {
    for (const Sample& sample : reading.samples.samples) {
      std::int64_t& at =
          newest.try_emplace(key(sample), reading.entry->at.unix_seconds).first->second;
      at = std::max(at, reading.entry->at.unix_seconds);
    }
  }
  for (const Reading& reading : readings) {
    std::size_t kept = 0;
    for (const Sample& sample : reading.samples.samples) {
      if (newest.at(key(sample)) - reading.entry->at.unix_seconds > kSittingSeconds) continue;
      selection.samples.samples.push_back(sample);
      ++kept;
    }
    const std::string& id = reading.entry->id;
    if (kept == 0) {
      selection.passed_over.push_back(id + ": its places were read again on a later day");
      continue;
    }
    selection.ids.push_back(id);
    if (!selection.newest || reading.entry->at.unix_seconds > selection.newest->unix_seconds) {
      selection.newest = reading.entry->at;
    }
    for (const std::string& note : reading.samples.notes) {
      const std::string line = id + ": " + note;
      if (std::find(selection.warnings.begin(), selection.warnings.end(), line) ==
          selection.warnings.end()) {
        selection.warnings.push_back(line);
      }
    }
  }
}

/// An entry's samples; a gauge's with the reader's own repeatability where a trial showed it.
Result<SampleSet> SamplesOf(const Entry& entry,
                            const Board& board,
                            const Bench& bench,
                            const Calib& calib) {
  if (entry.photo) return ToSamples(*entry.photo, board, calib, entry.id);
  const Gauge& gauge = *entry.gauge;
  std::optional<double> repeatability;
  const std::string instrument =
      gauge.instrument.empty()
          ? calib.Text("gauges", std::string("/defaults/") + Name(gauge.rest) + "/instrument")
          : gauge.instrument;
  if (const auto own = bench.repeatability.find(instrument); own != bench.repeatability.end()) {
    repeatability = own->second.sd_mm;
  }
  return ToSamples(gauge, board, calib, repeatability, entry.id);
}

}  // namespace

Result<Selection> SelectSamples(const BoardFolder::State& state,
                                const Bench& bench,
                                const Calib& calib) {
  Selection selection;
  std::vector<Reading> readings;
  for (const Entry* entry : SinceLastHold(state.log, selection.warnings)) {
    auto samples = SamplesOf(*entry, state.board, bench, calib);
    if (!samples) return samples.error();
    readings.push_back({entry, std::move(*samples)});
  }
  if (readings.empty()) return selection;

  const std::string group = ChooseGroup(state.board, readings);
  const Entry* newest = nullptr;
  for (const Reading& reading : readings) {
    if (GroupOf(*reading.entry->held()) == group) newest = reading.entry;
  }
  selection.fitted = newest->fitted;
  selection.held = HeldInWords(*newest->held());
  selection.samples.rest = newest->held()->rest;
  std::vector<Reading> counted;
  for (Reading& reading : readings) {
    const Entry& entry = *reading.entry;
    if (GroupOf(*entry.held()) != group) {
      selection.passed_over.push_back(fmt::format(
          "{}: {}; the readings {} count", entry.id, HeldInWords(*entry.held()), selection.held));
    } else if (entry.fitted != newest->fitted) {
      selection.passed_over.push_back(
          fmt::format("{}: taken with other things fitted ({}) than the newest ({})",
                      entry.id,
                      entry.fitted.empty() ? "nothing" : Join(entry.fitted, ", "),
                      newest->fitted.empty() ? "nothing" : Join(newest->fitted, ", ")));
    } else {
      counted.push_back(std::move(reading));
    }
  }
  KeepNewestDay(counted, selection);
  return selection;
}

}  // namespace lieflat
