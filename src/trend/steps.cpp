#include "trend/steps.h"

#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/statistics.h"

namespace lieflat::trend {
namespace {

struct Sitting {
  const FollowedReading* first = nullptr;
  double sum = 0.0;
  int count = 0;
  [[nodiscard]] double mean() const { return sum / count; }
};

/// Rested readings (and the first ones), repeats of a sitting together.
std::vector<Sitting> RestedSittings(const Following& following, const Calib& calib) {
  const double apart = calib.Number("trend", "/reading/sitting_hours").value;
  std::vector<Sitting> sittings;
  for (const FollowedReading& reading : following.readings) {
    if (reading.state != "first" && reading.state != "rested") continue;
    const bool again = !sittings.empty() && sittings.back().first->holds == reading.holds &&
                       static_cast<double>(reading.at.unix_seconds -
                                           sittings.back().first->at.unix_seconds) < apart * 3600.0;
    if (!again) sittings.push_back({&reading, 0.0, 0});
    sittings.back().sum += reading.value_mm;
    ++sittings.back().count;
  }
  return sittings;
}

/// The most that the holds from one state to the next leave, but for a small chance, mm.
double MostKept(const Following& following,
                const Sitting& from,
                const Sitting& to,
                const LaminateState& laminate,
                const Calib& calib) {
  const Bending bending = following.figure.starts_with("twist") ? Bending::kTwist : Bending::kBow;
  const double reference = calib.Number("creep", "/creep/reference_c").value;
  const double rest = calib.Number("trend", "/reading/rested_hours").value;
  constexpr std::uint64_t kSeed = 20260302;
  const auto kept = [&](double hours) {
    return PredictKept(laminate, bending, {hours, reference}, rest, calib, kSeed).rested_draws;
  };
  const Eigen::VectorXd gained = kept(to.first->hours) - kept(from.first->hours);
  const double probability = calib.Number("trend", "/stop/step_probability").value;
  return following.first_mm * Quantile(gained, 1.0 - probability);
}

}  // namespace

std::vector<std::string> StepsIn(const Following& following,
                                 const LaminateState& laminate,
                                 double sd_mm,
                                 const Calib& calib) {
  std::vector<std::string> steps;
  const auto sittings = RestedSittings(following, calib);
  const double dof = calib.Number("trend", "/prior/repeat_dof").value;
  for (std::size_t i = 1; i < sittings.size(); ++i) {
    const Sitting &from = sittings[i - 1], &to = sittings[i];
    const double change = to.mean() - from.mean();
    const double noise = DetectableChange(sd_mm, from.count, to.count, dof);
    const std::string between = fmt::format("between {} and {} it changed by {:.2f} mm",
                                            from.first->id,
                                            to.first->id,
                                            std::abs(change));
    if (to.first->holds == from.first->holds) {
      if (std::abs(change) > noise)
        steps.push_back(between +
                        " without being held: was a heat sink, a card or a stand-off "
                        "taken off or put on, or did it lie otherwise?");
      continue;
    }
    if (-change <= noise) continue;
    const double least = calib.Number("trend", "/stop/step_least_share").value * following.first_mm;
    if (-change - noise > least && -change - noise > MostKept(following, from, to, laminate, calib))
      steps.push_back(between +
                      ", more than creep explains: was a heat sink, a card or a stand-off "
                      "taken off?");
  }
  return steps;
}

}  // namespace lieflat::trend
