#include "lieflat/trend/follow.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "lieflat/base/statistics.h"

#include "trend/steps.h"

namespace lieflat {
namespace {

constexpr double kSecondsPerHour = 3600.0;

double ReadingNumber(const Calib& calib, const char* key) {
  return calib.Number("trend", std::string("/reading/") + key).value;
}

double HoursBetween(const Instant& from, const Instant& to) {
  return static_cast<double>(to.unix_seconds - from.unix_seconds) / kSecondsPerHour;
}

/// Holds that were over by then, the hours that they amount to, and since when.
struct HeldBefore {
  int holds = 0;
  double hours = 0.0;
  std::optional<double> since_hours;
  bool held_then = false;
};

HeldBefore HeldBy(const std::vector<LoggedHold>& holds, const Instant& at, const Calib& calib) {
  HeldBefore before;
  for (const LoggedHold& hold : holds) {
    if (hold.from && hold.from->unix_seconds <= at.unix_seconds &&
        (!hold.to || hold.to->unix_seconds > at.unix_seconds)) {
      before.held_then = true;
    }
    if (!hold.to || hold.to->unix_seconds > at.unix_seconds) continue;
    ++before.holds;
    before.hours += EquivalentHoursOf(hold, calib);
    const double since = HoursBetween(*hold.to, at);
    before.since_hours = std::min(before.since_hours.value_or(since), since);
  }
  return before;
}

std::string StateOf(const HeldBefore& before, const Calib& calib) {
  if (before.held_then) return "held";
  if (before.holds == 0) return "first";
  if (*before.since_hours < ReadingNumber(calib, "just_freed_hours")) return "just-freed";
  return *before.since_hours < ReadingNumber(calib, "rested_hours") ? "between" : "rested";
}

/// The kind of reading that counts: that of the first readings, of them the one most often taken.
std::string ChooseLike(const std::vector<DatedReading>& readings,
                       const std::vector<LoggedHold>& holds,
                       const Calib& calib) {
  std::map<std::string, std::pair<int, int>> counts;  // before the first hold, all
  for (const DatedReading& reading : readings) {
    auto& [first, all] = counts[reading.like];
    first += HeldBy(holds, reading.at, calib).holds == 0 ? 1 : 0;
    ++all;
  }
  std::string best;
  std::pair<int, int> most{-1, -1};
  for (const auto& [like, count] : counts) {
    const std::pair<int, int> score{count.first > 0 ? 1 : 0, count.second};
    if (score > most) {
      most = score;
      best = like;
    }
  }
  return best;
}

/// The largest figure of the first readings that comes back in the others as well.
std::string ChooseFigure(const std::vector<DatedReading>& readings) {
  std::map<std::string, std::pair<int, double>> seen;
  for (const DatedReading& reading : readings) {
    for (const FigureRead& figure : reading.figures) {
      auto& [times, size] = seen[figure.name];
      if (times == 0) size = std::abs(figure.value_mm);
      ++times;
    }
  }
  std::string best;
  std::pair<int, double> most{0, -1.0};
  for (const auto& [name, score] : seen) {
    if (score > most) {
      most = score;
      best = name;
    }
  }
  return best;
}

void TakeReadings(const std::vector<DatedReading>& readings, const Calib& calib, Following& out) {
  for (const DatedReading& reading : readings) {
    const auto figure = std::find_if(reading.figures.begin(),
                                     reading.figures.end(),
                                     [&](const FigureRead& one) { return one.name == out.figure; });
    if (reading.like != out.like || figure == reading.figures.end()) {
      out.passed_over.push_back(fmt::format("{}: {}",
                                            reading.id,
                                            reading.like != out.like
                                                ? "read otherwise: " + reading.like
                                                : "does not show " + out.figure));
      continue;
    }
    const HeldBefore before = HeldBy(out.holds, reading.at, calib);
    const std::string state = StateOf(before, calib);
    if (state == "held") {
      out.passed_over.push_back(reading.id + ": read while it was held");
      continue;
    }
    out.readings.push_back({reading.id,
                            reading.at,
                            before.hours,
                            before.holds,
                            state,
                            figure->value_mm,
                            figure->sd_mm});
  }
}

struct MeanOf {
  double mm = 0.0;
  int count = 0;
};

MeanOf Mean(const std::vector<FollowedReading>& readings, const std::string& state, int holds) {
  MeanOf mean;
  for (const FollowedReading& reading : readings) {
    if (reading.state != state || reading.holds != holds) continue;
    mean.mm += reading.value_mm;
    ++mean.count;
  }
  if (mean.count > 0) mean.mm /= mean.count;
  return mean;
}

/// What is read is + as it was first, so that flatter is less whichever way it bends.
void TurnPositive(Following& out) {
  const MeanOf first = Mean(out.readings, "first", 0);
  const double reference = first.count > 0         ? first.mm
                           : !out.readings.empty() ? out.readings.front().value_mm
                                                   : 0.0;
  if (reference < 0.0) {
    for (FollowedReading& reading : out.readings) reading.value_mm = -reading.value_mm;
  }
  out.first_mm = std::abs(reference);
}

double RepeatSd(const Following& out, const Calib& calib) {
  std::vector<double> sds;
  for (const FollowedReading& reading : out.readings) {
    if (reading.u_mm > 0.0) sds.push_back(reading.u_mm);
  }
  if (sds.empty()) return calib.Number("trend", "/prior/repeat_sd_mm").value;
  std::nth_element(
      sds.begin(), sds.begin() + static_cast<std::ptrdiff_t>(sds.size() / 2), sds.end());
  return sds[sds.size() / 2];
}

void TellChange(double sd_mm, const Calib& calib, Following& out) {
  Following::Change& change = out.change;
  const MeanOf first = Mean(out.readings, "first", 0);
  change.first = first.count;
  int last = 0;
  for (const FollowedReading& reading : out.readings) {
    if (reading.state == "rested") last = std::max(last, reading.holds);
  }
  const MeanOf rested = Mean(out.readings, "rested", last);
  change.rested = rested.count;
  if (out.holds.empty()) {
    change.why = "it was not held yet";
    return;
  }
  if (first.count == 0) {
    change.why = "nothing was read before the first hold: nobody can tell what it did";
    return;
  }
  int newest = 0;
  for (const FollowedReading& reading : out.readings) newest = std::max(newest, reading.holds);
  if (const MeanOf freed = Mean(out.readings, "just-freed", newest); freed.count > 0)
    change.freed_mm = freed.mm - first.mm;
  if (rested.count == 0) {
    change.why =
        fmt::format("it was not read rested yet: wait {:.0f} h after the release, most comes back",
                    ReadingNumber(calib, "rested_hours"));
    return;
  }
  change.mm = rested.mm - first.mm;
  change.noise_mm = DetectableChange(
      sd_mm, first.count, rested.count, calib.Number("trend", "/prior/repeat_dof").value);
  change.detectable = std::abs(*change.mm) > *change.noise_mm;
  change.why =
      change.detectable
          ? fmt::format("rested it stands {:.2f} mm {} than at first; {:.2f} mm can be told",
                        std::abs(*change.mm),
                        *change.mm < 0.0 ? "flatter" : "more bent",
                        *change.noise_mm)
          : fmt::format(
                "rested it differs by {:.2f} mm from what it was; less than {:.2f} mm "
                "cannot be told from reading error",
                std::abs(*change.mm),
                *change.noise_mm);
}

void Forecast(double sd_mm, const Calib& calib, Following& out) {
  std::vector<TrendPoint> points;
  for (const FollowedReading& reading : out.readings) {
    if (reading.state != "between")
      points.push_back({reading.hours, reading.state == "just-freed", reading.value_mm});
  }
  if (out.change.first == 0 || points.empty() || out.first_mm <= 0.0) return;
  out.model.emplace(points,
                    TrendPrior{.first_mm = out.first_mm,
                               .height_mm = out.first_mm,
                               .repeat_sd_mm = sd_mm,
                               .repeat_dof = calib.Number("trend", "/prior/repeat_dof").value},
                    ReadTrendSettings(calib));
  const double now = out.model->last_hours();
  for (const double holds :
       calib.Document("trend").at("forecast_holds").at("value").get<std::vector<double>>()) {
    const StudentMixture state = out.model->State(now + holds * out.hours_per_hold);
    out.forecast.push_back({static_cast<int>(holds),
                            state.Quantile(0.05),
                            state.Quantile(0.25),
                            state.Quantile(0.50),
                            state.Quantile(0.75),
                            state.Quantile(0.95)});
  }
  if (!out.target_mm) return;
  constexpr int kFarthest = 100;
  for (int holds = 0; holds <= kFarthest; ++holds) {
    if (out.model->State(now + holds * out.hours_per_hold).Cdf(*out.target_mm) < 0.5) continue;
    out.holds_to_target = holds;
    break;
  }
}

double WeightedQuantile(const std::vector<std::pair<double, double>>& sorted, double probability) {
  double below = 0.0;
  for (const auto& [value, weight] : sorted) {
    below += weight;
    if (below >= probability) return value;
  }
  return sorted.back().first;
}

Triple Weighted(const Eigen::VectorXd& draws, const Eigen::VectorXd& weights) {
  std::vector<std::pair<double, double>> sorted;
  for (Eigen::Index i = 0; i < draws.size(); ++i) sorted.emplace_back(draws(i), weights(i));
  std::sort(sorted.begin(), sorted.end());
  return {WeightedQuantile(sorted, 0.05),
          WeightedQuantile(sorted, 0.50),
          WeightedQuantile(sorted, 0.95)};
}

/// The law of creep weighed by what this board really kept.
void LearnFromReadings(double sd_mm,
                       const FollowOptions& options,
                       const Calib& calib,
                       Following& out) {
  if (!out.change.mm || !out.model || out.first_mm <= 0.0) return;
  const double now = out.model->last_hours();
  if (now <= 0.0) return;
  const Bending bending = out.figure.starts_with("twist") ? Bending::kTwist : Bending::kBow;
  const double rest = calib.Number("trend", "/reading/rested_hours").value;
  const double reference = calib.Number("creep", "/creep/reference_c").value;
  const auto kept = [&](double hours) {
    return PredictKept(options.laminate, bending, {hours, reference}, rest, calib, options.seed);
  };
  const KeptTriple so_far = kept(now), further = kept(now + out.hours_per_hold);
  const double gain = -*out.change.mm / out.first_mm;
  const double sd =
      sd_mm * std::sqrt(1.0 / out.change.first + 1.0 / out.change.rested) / out.first_mm;
  Eigen::VectorXd weights = (-0.5 * ((so_far.rested_draws.array() - gain) / sd).square()).matrix();
  weights = (weights.array() - weights.maxCoeff()).exp().matrix();
  weights /= weights.sum();
  out.kept = Following::Kept{so_far.rested,
                             Weighted(so_far.rested_draws, weights),
                             Weighted(further.rested_draws - so_far.rested_draws, weights)};
}

}  // namespace

Result<Following> Follow(std::vector<DatedReading> readings,
                         std::vector<LoggedHold> holds,
                         const FollowOptions& options,
                         const Calib& calib) {
  if (readings.empty()) {
    return Error{ErrorCode::kNoFigure,
                 "readings",
                 "no reading on record can be followed",
                 "read its edges, heights or twist: lieflat gauge DIR"};
  }
  const auto by_time = [](const auto& a, const auto& b) {
    return a.at.unix_seconds < b.at.unix_seconds;
  };
  std::stable_sort(readings.begin(), readings.end(), by_time);
  Following out;
  out.holds = std::move(holds);
  out.like = ChooseLike(readings, out.holds, calib);
  std::vector<DatedReading> alike;
  for (const DatedReading& reading : readings) {
    if (reading.like == out.like) alike.push_back(reading);
  }
  out.figure = ChooseFigure(alike);
  TakeReadings(readings, calib, out);
  TurnPositive(out);
  if (options.target_mm) out.target_mm = options.target_mm(out.figure);
  double hours = 0.0;
  int over = 0;
  for (const LoggedHold& hold : out.holds) {
    if (!hold.Hours()) continue;
    hours += EquivalentHoursOf(hold, calib);
    ++over;
  }
  constexpr double kOvernight = 12.0;
  out.hours_per_hold = over > 0 && hours > 0.0 ? hours / over : kOvernight;
  const double sd_mm = RepeatSd(out, calib);
  TellChange(sd_mm, calib, out);
  out.steps = trend::StepsIn(out, options.laminate, sd_mm, calib);
  // Before a hold is over there is no pace of its own: what one may bring, `assess` says.
  if (over > 0) Forecast(sd_mm, calib, out);
  LearnFromReadings(sd_mm, options, calib, out);
  StopQuestion question;
  question.model = out.model && over > 0 ? &*out.model : nullptr;
  question.height_mm = out.first_mm;
  question.target_mm = out.target_mm;
  question.hours_per_hold = out.hours_per_hold;
  question.holds = over;
  question.change_told = out.change.detectable;
  question.step = out.steps.empty() ? "" : out.steps.front();
  question.fatigue_used = options.fatigue_used;
  question.worst_share = options.worst_share;
  out.stop = DecideStop(question, calib);
  return out;
}

}  // namespace lieflat
