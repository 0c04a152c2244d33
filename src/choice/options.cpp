#include "lieflat/choice/options.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "lieflat/base/statistics.h"
#include "lieflat/joints/share_words.h"
#include "lieflat/lasting/temperature_cap.h"

namespace lieflat {
namespace {

/// What speaks against an option, as Option::against says it.
std::string WhatSpeaksAgainst(const Option& option,
                              const std::string& worth,
                              const Limit& limit,
                              const Calib& calib) {
  if (!option.presses()) return option.blocked_by.empty() ? "" : option.blocked_by.front();
  if (const auto against = AgainstPressing(option, worth.empty() ? "common" : worth, calib))
    return *against;
  return WouldStayOver(option, limit)
             ? fmt::format("it would still be over the limit of {:.2f} %", limit.percent)
             : "";
}

double Number(const Calib& calib, const std::string& key) {
  return calib.Number("choice", key).value;
}

/// How an option holds the board flat.
struct Press {
  const char* name;
  HoldTime hold;
  double days = 0.0;
};

class Lister {
 public:
  Lister(const OptionInputs& inputs, const Calib& calib) : in_(inputs), calib_(calib) {}

  std::vector<Option> List() {
    AddAsItIs();
    AddMount();
    if (Known()) {
      AddPress({"press-cold",
                {Of("press_cold/hours"), Of("press_cold/temperature_c")},
                Of("press_cold/hours") / 24.0});
      AddWarm();
      AddBake();
    }
    AddPlain("set-aside", "kept whole, unpressed, until someone needs it");
    AddPlain("sell", "sold as it is, with its bend and marks described");
    if (in_.board.worth != "rare") AddPlain("spares", "taken apart for parts, each labelled");
    return std::move(options_);
  }

  [[nodiscard]] std::optional<Triple> Night() const {
    if (!Known()) return std::nullopt;
    return Gain(OutlookOf(in_.laminate,
                          {Of("night/hours"), Of("press_cold/temperature_c")},
                          calib_.Number("creep", "/plan/rest_hours").value,
                          std::nullopt,
                          calib_,
                          in_.seed));
  }

 private:
  [[nodiscard]] bool Has(const char* tool) const {
    return !in_.tools || std::find(in_.tools->begin(), in_.tools->end(), tool) != in_.tools->end();
  }

  [[nodiscard]] double Of(const char* key) const {
    return Number(calib_, std::string("/options/") + key);
  }

  /// Bow and twist are both there: pressing can be judged.
  [[nodiscard]] bool Known() const {
    return in_.flatness.bow_measured && in_.flatness.twist_measured;
  }

  /// 5, 50 and 95 % of a figure of which 95 % lies within `interval`, about normal.
  static Eigen::VectorXd Draws(double value,
                               const Interval& interval,
                               Eigen::Index count,
                               Random& random) {
    constexpr double kSdsOf95 = 2 * kNormal95;
    const double sd = (interval.high - interval.low) / kSdsOf95;
    Eigen::VectorXd draws(count);
    for (double& draw : draws) draw = std::abs(value + sd * random.Normal());
    return draws;
  }

  [[nodiscard]] Triple After(double value,
                             const Interval& interval,
                             const Eigen::VectorXd& kept) const {
    Random random(in_.seed);
    const Eigen::VectorXd now = Draws(value, interval, kept.size(), random);
    return TripleOf((now.array() * (1.0 - kept.array())).matrix());
  }

  void SetAfter(Option& option,
                const Eigen::VectorXd& bow_kept,
                const Eigen::VectorXd& twist_kept) {
    const Flatness& f = in_.flatness;
    if (f.bow_measured) option.bow_after_percent = After(f.bow_percent, f.bow_percent95, bow_kept);
    if (f.twist_measured)
      option.twist_after_percent = After(f.twist_percent, f.twist_percent95, twist_kept);
  }

  void SetUnchanged(Option& option) {
    constexpr Eigen::Index kDraws = 2000;
    const Eigen::VectorXd nothing = Eigen::VectorXd::Zero(kDraws);
    SetAfter(option, nothing, nothing);
  }

  void AddPlain(const char* name, std::string how) {
    Option option;
    option.name = name;
    option.how = std::move(how);
    SetUnchanged(option);
    options_.push_back(std::move(option));
  }

  void AddAsItIs() {
    const bool over =
        in_.flatness.bow_verdict == Verdict::kOver || in_.flatness.twist_verdict == Verdict::kOver;
    if (over && in_.board.need == "none") {
      AddPlain("use-as-is", "used as it is, unpressed");
    } else {
      AddPlain("leave", "left as it is, unpressed");
    }
  }

  /// Screwed to its stand-offs with washers that fill the gaps: the screws bend nothing.
  void AddMount() {
    if (in_.board.need != "case") return;
    AddPlain(
        "mount",
        "screwed down on washers that fill the gap at each stand-off, so that it keeps its bend");
    const auto holes = std::count_if(in_.board.holes.begin(),
                                     in_.board.holes.end(),
                                     [](const Hole& hole) { return hole.use == "mount"; });
    constexpr int kFewest = 3;
    if (holes < kFewest) {
      options_.back().blocked_by.push_back(fmt::format(
          "{} mounting holes are on record and it takes {}: add them to the description",
          holes,
          kFewest));
    }
  }

  void AddBlocks(Option& option) const {
    for (const JudgedMark& mark : in_.marks) {
      for (const Block& block : mark.blocks) {
        if (std::find(block.options.begin(), block.options.end(), option.name) !=
            block.options.end())
          option.blocked_by.push_back(
              fmt::format("mark {}, {}: {}", mark.number, MarkWords(mark, calib_), block.why));
      }
    }
  }

  void AddPress(const Press& press) {
    const double rest_hours = calib_.Number("creep", "/plan/rest_hours").value;
    constexpr double kHoursOfADay = 24.0;
    const Outlook outlook =
        OutlookOf(in_.laminate, press.hold, rest_hours, std::nullopt, calib_, in_.seed);
    Option option;
    option.name = press.name;
    option.how = fmt::format("held flat for {} at {:.0f} C, then rested for {:.0f} days",
                             press.hold.hours < 2 * kHoursOfADay
                                 ? fmt::format("{:.0f} hours", press.hold.hours)
                                 : fmt::format("{:.0f} days", press.hold.hours / kHoursOfADay),
                             press.hold.temperature_c,
                             rest_hours / kHoursOfADay);
    const Eigen::VectorXd &bow = outlook.bow.kept.rested_draws,
                          &twist = outlook.twist.kept.rested_draws;
    SetAfter(option, bow, twist);
    const bool by_bow = ByBow(outlook);
    option.lasting_fraction = by_bow ? outlook.bow.kept.rested : outlook.twist.kept.rested;
    option.just_freed = by_bow ? outlook.bow.kept.at_release : outlook.twist.kept.at_release;
    option.gain_mm = Gain(outlook);
    option.days = press.days + rest_hours / kHoursOfADay;
    option.damage_probability = in_.any_damage_probability;
    for (const PartRating& part : in_.parts) {
      option.worst_share = std::max(option.worst_share, part.measured ? part.share : 0.0);
      option.cycles_share = std::max(option.cycles_share, part.fatigue);
      if (!part.measured)
        option.blocked_by.push_back(fmt::format("the bend at {} is not known", part.ref));
    }
    if (in_.board.populated && in_.parts.empty())
      option.blocked_by.emplace_back("no part is on record, so that no risk can be rated");
    AddBlocks(option);
    options_.push_back(std::move(option));
  }

  void AddWarm() {
    const TemperatureCap cap = CapOf(in_.board, calib_);
    const double hours = Of("press_warm/hours");
    const double warm_c = std::min(cap.cap_c, Of("press_warm/temperature_c"));
    AddPress(
        {"press-warm", {hours, std::max(warm_c, Of("press_cold/temperature_c"))}, hours / 24.0});
    Option& warm = options_.back();
    for (const Part& part : in_.board.parts) {
      if (part.part_class == "battery")
        warm.blocked_by.push_back(part.ref + ", a battery, must come off before any heat");
    }
    if (!Has("warm-box") && !Has("oven"))
      warm.blocked_by.emplace_back("the bench profile names nothing that keeps it warm for a day");
    if (warm_c < Of("press_warm/least_c")) {
      warm.blocked_by.push_back(
          fmt::format("{} allows {:.0f} C at most: {}", cap.set_by, cap.cap_c, cap.why));
    } else if (warm_c < Of("press_warm/temperature_c") && warm.blocked_by.empty()) {
      warm.how += fmt::format(" ({:.0f} C: {})", warm_c, cap.why);
    }
  }

  /// Near the transition; for bare boards only, so that a board with parts must lose them first.
  void AddBake() {
    const double hours = Of("bake/hours");
    AddPress({"strip-and-bake", {hours, Of("bake/temperature_c")}, hours / 24.0});
    Option& bake = options_.back();
    if (IsPaper(in_.board))
      bake.blocked_by.emplace_back("brown paper laminate burns and blisters at that heat");
    if (!Has("oven")) bake.blocked_by.emplace_back("the bench profile names no oven");
    const bool bare = !in_.board.populated && in_.parts.empty();
    if (bare) return;
    // Its parts are off while it is pressed; what remains is the risk of taking them off.
    bake.rated = false;
    bake.worst_share = bake.damage_probability = bake.cycles_share = 0.0;
    bake.blocked_by.emplace_back(
        std::find(in_.skills.begin(), in_.skills.end(), "rework") == in_.skills.end()
            ? "every part must come off first, and the bench profile names no rework"
            : "every part must come off first; what that does to them and to the pads is not "
              "rated");
  }

  struct Departure {
    double mm = 0.0, u95_mm = 0.0;
  };

  /// Of the edges, the largest gap to a straight line between its ends.
  [[nodiscard]] Departure Largest() const {
    Departure most;
    for (const EdgeBow& edge : in_.flatness.edges) {
      if (edge.known && edge.gap_mm > most.mm) most = {edge.gap_mm, edge.gap_u95_mm};
    }
    return most;
  }
  [[nodiscard]] Departure Twist() const {
    return {std::abs(in_.flatness.twist_q_mm), in_.flatness.twist_q_u95_mm};
  }

  /// More of the bow stays than of the twist, in mm.
  [[nodiscard]] bool ByBow(const Outlook& outlook) const {
    return Largest().mm * outlook.bow.kept.rested.p50 >= Twist().mm * outlook.twist.kept.rested.p50;
  }

  [[nodiscard]] Triple Gain(const Outlook& outlook) const {
    const bool by_bow = ByBow(outlook);
    const Departure now = by_bow ? Largest() : Twist();
    const Eigen::VectorXd& kept = (by_bow ? outlook.bow : outlook.twist).kept.rested_draws;
    Random random(in_.seed);
    const Interval interval{now.mm - now.u95_mm, now.mm + now.u95_mm};
    const Eigen::VectorXd draws = Draws(now.mm, interval, kept.size(), random);
    return TripleOf((draws.array() * kept.array()).matrix());
  }

  const OptionInputs& in_;
  const Calib& calib_;
  std::vector<Option> options_;
};

}  // namespace

bool Option::presses() const {
  return name == "press-cold" || name == "press-warm" || name == "strip-and-bake";
}

std::vector<Option> ListOptions(const OptionInputs& inputs, const Calib& calib) {
  std::vector<Option> options = Lister(inputs, calib).List();
  for (Option& option : options) {
    option.against = WhatSpeaksAgainst(option, inputs.board.worth, inputs.flatness.limit, calib);
  }
  return options;
}

std::optional<Triple> NightGain(const OptionInputs& inputs, const Calib& calib) {
  return Lister(inputs, calib).Night();
}

std::optional<std::string> AgainstPressing(const Option& option,
                                           const std::string& worth,
                                           const Calib& calib) {
  if (!option.blocked_by.empty()) return option.blocked_by.front();
  const double most = Number(calib, "/recommend/press_probability/" + worth);
  if (option.damage_probability > most) {
    return fmt::format(
        "the chance of damage to a part is {}, more than {:.0f} in 100 for a {} board",
        ProbabilityInWords(option.damage_probability),
        100.0 * most,
        worth);
  }
  if (option.worst_share > 1.0)
    return fmt::format("a part would take {} of its allowed bend",
                       ShareInWords(option.worst_share));
  const double readable = Number(calib, "/recommend/readable_gain_mm");
  if (option.gain_mm.p50 < readable) {
    return fmt::format(
        "{:.2f} mm ({:.2f} to {:.2f}) would stay, and less than {:.2f} mm cannot be read",
        option.gain_mm.p50,
        option.gain_mm.p5,
        option.gain_mm.p95,
        readable);
  }
  return std::nullopt;
}

bool WouldStayOver(const Option& option, const Limit& limit) {
  const auto over = [&limit](const std::optional<Triple>& after) {
    return after && after->p50 > limit.percent;
  };
  return over(option.bow_after_percent) || over(option.twist_after_percent);
}

}  // namespace lieflat
