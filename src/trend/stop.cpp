#include "lieflat/trend/stop.h"

#include <fmt/format.h>

namespace lieflat {
namespace {

double Number(const Calib& calib, const char* key) {
  return calib.Number("trend", std::string("/stop/") + key).value;
}

std::string Percent(double probability) {
  const double percent = 100.0 * probability;
  if (percent < 1.0) return "under 1 %";
  return percent > 99.0 ? "over 99 %" : fmt::format("{:.0f} %", percent);
}

Stop ByModel(const StopQuestion& question, const Calib& calib) {
  const TrendModel& model = *question.model;
  const double now = model.last_hours();
  const double worse = model.Amplitude().Cdf(0.0);
  if (worse > Number(calib, "worse_probability")) {
    return {
        "worse",
        fmt::format("it bends further with each hold (chance {}): stop, and look for what pulls "
                    "on it",
                    Percent(worse))};
  }
  if (question.target_mm) {
    const double reached = model.State(now).Cdf(*question.target_mm);
    if (reached >= Number(calib, "target_probability")) {
      return {"target",
              fmt::format("rested it is at or under {:.1f} mm (chance {})",
                          *question.target_mm,
                          Percent(reached))};
    }
  }
  if (!question.change_told && question.holds >= Number(calib, "nothing_from_holds")) {
    return {"nothing",
            fmt::format("after {} holds no lasting change can be told from reading error",
                        question.holds)};
  }
  const double holds = Number(calib, "plateau_holds");
  const double least_mm = Number(calib, "plateau_gain_share") * question.height_mm;
  const double still = 1.0 - model.Gain(now, now + holds * question.hours_per_hold).Cdf(least_mm);
  if (question.holds >= Number(calib, "plateau_from_holds") &&
      still < Number(calib, "plateau_probability")) {
    return {"plateau",
            fmt::format("the next {:.0f} holds will hardly bring {:.2f} mm (chance {})",
                        holds,
                        least_mm,
                        Percent(still))};
  }
  return {"go-on",
          fmt::format("the next {:.0f} holds may bring more than {:.2f} mm (chance {})",
                      holds,
                      least_mm,
                      Percent(still))};
}

}  // namespace

Stop DecideStop(const StopQuestion& question, const Calib& calib) {
  const double most_fatigue = calib.Number("creep", "/budget/most_fatigue").value;
  if (question.fatigue_used > most_fatigue) {
    return {"risk",
            fmt::format("the holds have used {:.0f} % of the presses that the worst joints stand; "
                        "{:.0f} % is the most",
                        100.0 * question.fatigue_used,
                        100.0 * most_fatigue)};
  }
  if (question.worst_share > 1.0) {
    return {"risk",
            fmt::format("pressed flat a part takes {:.0f} % of the bend it is taken to stand",
                        100.0 * question.worst_share)};
  }
  if (!question.step.empty()) return {"step", question.step};
  if (question.holds == 0) return {"go-on", "no hold is over yet: there is nothing to judge"};
  if (question.model == nullptr)
    return {"go-on", "too little was read for a forecast: read it rested, three times"};
  return ByModel(question, calib);
}

}  // namespace lieflat
