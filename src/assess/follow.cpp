// A board over days: its readings as figures, its holds, what its laminate and parts allow.

#include <cmath>

#include <fmt/format.h>

#include "lieflat/assess/assessment.h"
#include "lieflat/base/text.h"

#include "assess/numbers.h"

namespace lieflat {
namespace {

constexpr double kSecondsPerDay = 86400.0;
constexpr double kDaysPerYear = 365.2425;

/// Everything that must be equal for two readings to be compared.
std::string LikeOf(const Entry& entry, const std::string& instrument) {
  const Gauge& gauge = *entry.gauge;
  std::string like = Name(gauge.rest);
  if (gauge.rest == Rest::kTable || gauge.rest == Rest::kPoints)
    like += std::string(", ") + Name(gauge.down) + " side down";
  for (const Support& support : gauge.supports)
    like += fmt::format(" {:.0f}:{:.0f}", support.at_mm.x(), support.at_mm.y());
  like += ", " + instrument;
  if (!entry.fitted.empty()) like += ", with " + Join(entry.fitted, ", ");
  return like;
}

Result<std::vector<DatedReading>> DatedReadings(const BoardFolder::State& state,
                                                const Bench& bench,
                                                const Calib& calib) {
  std::vector<DatedReading> readings;
  for (const Entry& entry : state.log.entries) {
    if (entry.voided || !entry.gauge) continue;
    const Gauge& gauge = *entry.gauge;
    const std::string instrument =
        !gauge.instrument.empty()
            ? gauge.instrument
            : calib.Text("gauges", std::string("/defaults/") + Name(gauge.rest) + "/instrument");
    std::optional<double> repeatability;
    if (const auto own = bench.repeatability.find(instrument); own != bench.repeatability.end())
      repeatability = own->second.sd_mm;
    const auto samples = ToSamples(gauge, state.board, calib, repeatability, entry.id);
    if (!samples) return samples.error();
    readings.push_back({entry.id,
                        entry.at,
                        LikeOf(entry, instrument),
                        entry.fitted,
                        FiguresRead(state.board, *samples)});
  }
  return readings;
}

/// The gap or the q that the limit allows.
std::optional<double> TargetOf(const std::string& figure, const Board& board, double percent) {
  if (figure.starts_with("twist")) return 2.0 * percent / 100.0 * board.Diagonal();
  for (const Edge edge : kEdges) {
    if (figure.starts_with(std::string("bow ") + Name(edge)))
      return percent / 100.0 * board.EdgeLength(edge);
  }
  return std::nullopt;
}

Json ReadingsJson(const Following& following) {
  Json readings = Json::array();
  for (const FollowedReading& reading : following.readings) {
    readings.push_back({{"id", reading.id},
                        {"at", reading.at.Iso()},
                        {"state", reading.state},
                        {"holds", reading.holds},
                        {"held_hours_at_23c", Round(reading.hours)},
                        {"value_mm", Round(reading.value_mm)},
                        {"u_mm", Round(reading.u_mm)}});
  }
  return readings;
}

Json HoldsJson(const Following& following) {
  Json holds = Json::array();
  for (const LoggedHold& hold : following.holds) {
    Json one = lieflat::ToJson(hold);
    if (hold.from) one["from"] = hold.from->Iso();
    if (hold.to) one["to"] = hold.to->Iso();
    holds.push_back(one);
  }
  return holds;
}

Json ChangeJson(const Following::Change& change) {
  Json json = {{"detectable", change.detectable}, {"why", change.why}};
  if (change.mm) json["mm"] = Round(*change.mm);
  if (change.noise_mm) json["noise_mm"] = Round(*change.noise_mm);
  if (change.freed_mm) json["just_freed_mm"] = Round(*change.freed_mm);
  json["first_readings"] = change.first;
  json["rested_readings"] = change.rested;
  return json;
}

}  // namespace

LaminateState LaminateOf(const Board& board, const Calib& calib, const Instant& now) {
  LaminateState laminate;
  laminate.tg_c = board.laminate.tg_c;
  laminate.paper = IsPaper(board);
  const double years_now =
      1970.0 + static_cast<double>(now.unix_seconds) / kSecondsPerDay / kDaysPerYear;
  const double years = board.year ? std::max(0.0, years_now - *board.year)
                                  : calib.Number("creep", "/creep/unknown_age_years").value;
  laminate.age_days = years * kDaysPerYear;
  return laminate;
}

std::vector<PressLife> PressLives(const std::vector<PartRating>& parts) {
  std::vector<PressLife> lives;
  for (const PartRating& part : parts) {
    if (part.cycles_to_failure) lives.push_back({part.ref, *part.cycles_to_failure});
  }
  return lives;
}

Result<FollowedBoard> FollowBoard(const BoardFolder::State& state,
                                  const Bench& bench,
                                  const Calib& calib,
                                  const Instant& now) {
  auto readings = DatedReadings(state, bench, calib);
  if (!readings) return readings.error();
  AssessOptions quick;
  quick.press_flat = false;
  const auto assessment = Assess(state, bench, calib, now, quick);
  if (!assessment) return assessment.error();
  FollowedBoard out;
  out.label = state.board.label;
  const auto holds = HoldsOf(state.log);
  out.budget = BudgetOf(PressLives(assessment->parts), static_cast<int>(holds.size()), calib);
  out.cap = CapOf(state.board, calib);
  FollowOptions options;
  const double limit = assessment->flatness.limit.percent;
  options.target_mm = [&](const std::string& figure) {
    return TargetOf(figure, state.board, limit);
  };
  options.laminate = LaminateOf(state.board, calib, now);
  options.fatigue_used = out.budget.used;
  for (const PartRating& part : assessment->parts)
    options.worst_share = std::max(options.worst_share, part.measured ? part.share : 0.0);
  auto following = Follow(std::move(*readings), holds, options, calib);
  if (!following) return following.error();
  out.following = std::move(*following);
  return out;
}

Json ToJson(const FollowedBoard& board) {
  const Following& following = board.following;
  Json json = {{"format", "lieflat-trend"}, {"version", 1}, {"label", board.label}};
  json["figure"] = following.figure;
  json["read"] = following.like;
  json["first_mm"] = Round(following.first_mm);
  if (following.target_mm) json["target_mm"] = Round(*following.target_mm);
  json["readings"] = ReadingsJson(following);
  json["holds"] = HoldsJson(following);
  json["change"] = ChangeJson(following.change);
  json["hours_per_hold_at_23c"] = Round(following.hours_per_hold);
  json["forecast"] = Json::array();
  for (const Following::Ahead& ahead : following.forecast) {
    json["forecast"].push_back({{"holds", ahead.holds},
                                {"p5", Round(ahead.p5)},
                                {"p25", Round(ahead.p25)},
                                {"p50", Round(ahead.p50)},
                                {"p75", Round(ahead.p75)},
                                {"p95", Round(ahead.p95)}});
  }
  if (following.holds_to_target) json["holds_to_target"] = *following.holds_to_target;
  if (following.kept) {
    json["kept"] = {{"foreseen", ToJson(following.kept->foreseen)},
                    {"with_readings", ToJson(following.kept->with_readings)},
                    {"next_hold", ToJson(following.kept->next_hold)}};
  }
  json["steps"] = following.steps;
  json["stop"] = {
      {"rule", following.stop.rule}, {"stop", following.stop.stop()}, {"why", following.stop.why}};
  Json budget = {{"most", Round(board.budget.most)}, {"used", Round(board.budget.used)}};
  if (board.budget.left) budget["presses_left"] = *board.budget.left;
  if (!board.budget.part.empty()) budget["part"] = board.budget.part;
  json["budget"] = budget;
  json["temperature_cap"] = {
      {"cap_c", board.cap.cap_c}, {"set_by", board.cap.set_by}, {"why", board.cap.why}};
  json["passed_over"] = following.passed_over;
  return json;
}

}  // namespace lieflat
