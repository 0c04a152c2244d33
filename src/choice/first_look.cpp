#include "lieflat/choice/first_look.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/check.h"
#include "lieflat/base/random.h"
#include "lieflat/base/text.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/flatness/formulas.h"
#include "lieflat/readings/gauge.h"

// How the side of the limit is found. Each gap read has a normal error; a gap cannot be negative,
// so a draw of the true gap is a normal one kept at or above 0. The opposite edge, when it was not
// read, is taken as the read one times (1 + a few hundredths) plus a little: calib/choice.json,
// first_look. Each draw gives the largest percent of the four edges; the share of draws over the
// limit names the side (JCGM 101:2008, 7: propagation by Monte Carlo).

namespace lieflat {
namespace {

constexpr int kDraws = 8000;
constexpr double kLargestGapMm = 50.0;
const std::array<std::string, 5> kDelicate = {"pbga", "fcbga", "cbga", "lccc", "csp"};
const std::vector<std::string> kWorks = {"yes", "partly", "no", "untested"};
const std::vector<std::string> kNeeds = {"case", "cards", "cooler", "sale", "none"};
const std::vector<std::string> kMountings = {"smt", "mixed", "through-hole"};

Error BadUse(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kBadUse, std::move(where), std::move(message), std::move(remedy)};
}

Result<void> OneOf(const char* where,
                   const std::string& word,
                   const std::vector<std::string>& known) {
  if (std::find(known.begin(), known.end(), word) != known.end()) {
    return {};
  }
  const auto nearest = Nearest(word, known);
  return BadUse(where,
                fmt::format("\"{}\" is not known", word),
                (nearest ? fmt::format("did you mean {}? ", *nearest) : std::string()) +
                    "one of: " + Join(known, ", "));
}

Result<void> CheckGap(const std::string& where, double gap_mm) {
  if (gap_mm >= 0.0 && gap_mm <= kLargestGapMm) {
    return {};
  }
  return BadUse(where,
                fmt::format("gap {:g} mm is outside 0 to {:g} mm", gap_mm, kLargestGapMm),
                "give the largest gap in mm; which way it bends does not matter yet");
}

Result<void> CheckWords(const FirstLook& look, const Calib& calib) {
  if (auto ok = OneOf("works", look.works, kWorks); !ok) {
    return ok;
  }
  if (auto ok = OneOf("need", look.need, kNeeds); !ok) {
    return ok;
  }
  if (auto ok = OneOf("mounting", look.mounting, kMountings); !ok) {
    return ok;
  }
  const auto classes = calib.Keys("part_classes", "/classes");
  for (const auto& part : look.large_parts) {
    if (auto ok = OneOf("large", part, classes); !ok) {
      return ok;
    }
  }
  return {};
}

Result<void> CheckBows(const FirstLook& look) {
  for (std::size_t i = 0; i < look.bows.size(); ++i) {
    const auto& bow = look.bows[i];
    const std::string where = fmt::format("bow {}", Name(bow.edge));
    for (std::size_t j = 0; j < i; ++j) {
      if (look.bows[j].edge == bow.edge) {
        return BadUse(where, "is given twice", "give each edge once");
      }
    }
    if (auto ok = CheckGap(where, bow.gap_mm); !ok) {
      return ok;
    }
  }
  return {};
}

Result<void> CheckTwist(const FirstLook& look) {
  if (look.corner_gap_mm && look.tip_difference_mm) {
    return BadUse("twist", "both a corner gap and a tip difference are given", "give one of them");
  }
  if (look.corner_gap_mm) {
    return CheckGap("corner gap", *look.corner_gap_mm);
  }
  if (look.tip_difference_mm && !look.strip_length_mm) {
    return BadUse("strip length",
                  "is missing",
                  "give the strips' length in mm, from the levelled end to the sighted tip");
  }
  if (look.strip_length_mm && !look.tip_difference_mm) {
    return BadUse("tip difference", "is missing", "give how far the tips stand apart in mm");
  }
  if (look.tip_difference_mm && std::abs(*look.tip_difference_mm) > 200.0) {
    return BadUse("tip difference",
                  fmt::format("{:g} mm is outside -200 to 200 mm", *look.tip_difference_mm),
                  "give how far the tips stand apart in mm");
  }
  const double shortest = std::min(look.length_mm, look.width_mm);
  if (look.strip_length_mm &&
      !(*look.strip_length_mm >= shortest && *look.strip_length_mm <= 3000.0)) {
    return BadUse(
        "strip length",
        fmt::format("{:g} mm is outside {:g} to 3000 mm", *look.strip_length_mm, shortest),
        "the strips lie along the short edges and reach beyond them");
  }
  return {};
}

Result<void> Check(const FirstLook& look, const Calib& calib) {
  constexpr double kLeastMm = 20.0;
  constexpr double kMostMm = 700.0;
  for (const double side : {look.length_mm, look.width_mm}) {
    if (!(side >= kLeastMm && side <= kMostMm)) {
      return BadUse("size",
                    fmt::format("{:g} x {:g} mm: a side is outside {:g} to {:g} mm",
                                look.length_mm,
                                look.width_mm,
                                kLeastMm,
                                kMostMm),
                    "give the board's length and width in mm, as in 305x244, or a preset");
    }
  }
  if (!(look.gap_u_mm > 0.0 && look.gap_u_mm <= 5.0)) {
    return BadUse("gap u",
                  fmt::format("{:g} mm is not above 0 and at most 5 mm", look.gap_u_mm),
                  "a steel rule read by eye has 0.3 mm");
  }
  if (auto ok = CheckWords(look, calib); !ok) {
    return ok;
  }
  if (auto ok = CheckBows(look); !ok) {
    return ok;
  }
  return CheckTwist(look);
}

/// A true gap behind a reading: normal, and not negative. The reading itself is not, so half the
/// draws or more stay.
double DrawGap(double gap_mm, double u_mm, Random& random) {
  for (;;) {
    const double draw = gap_mm + u_mm * random.Normal();
    if (draw >= 0.0) {
      return draw;
    }
  }
}

/// "0.31 % (0.20 to 0.43)"
std::string Shown(double percent, const Interval& percent95) {
  return fmt::format("{:.2f} % ({:.2f} to {:.2f})", percent, percent95.low, percent95.high);
}

double ShareOver(const Eigen::VectorXd& percents, double limit) {
  return static_cast<double>((percents.array() > limit).count()) /
         static_cast<double>(percents.size());
}

std::string SideOf(const Eigen::VectorXd& percents, double limit, const Calib& calib) {
  const double over = ShareOver(percents, limit);
  const double wrong = calib.Number("choice", "/first_look/wrong_side_probability").value;
  return over < wrong ? "under" : over > 1.0 - wrong ? "over" : "too-close";
}

/// One pair of opposite edges: the gaps read, first and second edge of the pair.
struct Pair {
  double length_mm = 0.0;
  std::vector<double> gaps_mm;
};

std::array<Pair, 2> PairsOf(const FirstLook& look) {
  std::array<Pair, 2> pairs = {Pair{std::max(look.length_mm, look.width_mm), {}},
                               Pair{std::min(look.length_mm, look.width_mm), {}}};
  for (const auto& bow : look.bows) {
    pairs.at(bow.edge == Edge::kAB || bow.edge == Edge::kCD ? 0 : 1).gaps_mm.push_back(bow.gap_mm);
  }
  return pairs;
}

/// The largest percent of the edges whose pair was read, one draw each.
Eigen::VectorXd DrawBows(const std::array<Pair, 2>& pairs, double u_mm, const Calib& calib) {
  const double relative = calib.Number("choice", "/first_look/edge_pair_relative_sd").value;
  const double absolute = calib.Number("choice", "/first_look/edge_pair_sd_mm").value;
  Random random(static_cast<std::uint64_t>(calib.Number("choice", "/seed").value));
  Eigen::VectorXd largest = Eigen::VectorXd::Zero(kDraws);
  for (double& percent : largest) {
    for (const auto& pair : pairs) {
      for (const double gap : pair.gaps_mm) {
        const double read = DrawGap(gap, u_mm, random);
        percent = std::max(percent, BowPercent(read, pair.length_mm));
        if (pair.gaps_mm.size() == 1) {
          const double opposite =
              std::abs(read * (1.0 + relative * random.Normal()) + absolute * random.Normal());
          percent = std::max(percent, BowPercent(opposite, pair.length_mm));
        }
      }
    }
  }
  return largest;
}

void JudgeBow(const FirstLook& look, const Calib& calib, FirstLookAnswer& answer) {
  if (look.bows.empty()) {
    answer.because.emplace_back("No bow was read, so nothing is known of it.");
    return;
  }
  const auto pairs = PairsOf(look);
  double largest = 0.0;
  for (const auto& pair : pairs) {
    for (const double gap : pair.gaps_mm) {
      largest = std::max(largest, BowPercent(gap, pair.length_mm));
    }
  }
  const Eigen::VectorXd draws = DrawBows(pairs, look.gap_u_mm, calib);
  answer.bow_percent = largest;
  answer.bow_percent95 = ShortestInterval(draws);
  answer.limit_side = SideOf(draws, answer.limit_percent, calib);
  const std::string shown = Shown(largest, *answer.bow_percent95);
  const bool both_pairs = !pairs[0].gaps_mm.empty() && !pairs[1].gaps_mm.empty();
  if (answer.limit_side == "over") {
    answer.because.push_back(
        fmt::format("The bow is over the limit of {:g} %: {}.", answer.limit_percent, shown));
  } else if (!both_pairs) {
    answer.limit_side.clear();
    answer.because.push_back(
        fmt::format("The bow of the edges read is {}; one {} edge was not read.",
                    shown,
                    pairs[0].gaps_mm.empty() ? "long" : "short"));
  } else if (answer.limit_side == "under") {
    answer.because.push_back(
        fmt::format("The bow looks within the limit of {:g} %: {}.", answer.limit_percent, shown));
  } else {
    answer.because.push_back(
        fmt::format("The bow is too close to the limit of {:g} % to call by eye: {}.",
                    answer.limit_percent,
                    shown));
  }
}

/// The side of the limit on which the twist lies; empty when it was not read.
std::string JudgeTwist(const FirstLook& look, const Calib& calib, FirstLookAnswer& answer) {
  const double diagonal = std::hypot(look.length_mm, look.width_mm);
  const double short_edge = std::min(look.length_mm, look.width_mm);
  double lift = 0.0;
  double u_mm = look.gap_u_mm;
  if (look.corner_gap_mm) {
    lift = *look.corner_gap_mm;
  } else if (look.tip_difference_mm) {
    const double gain = short_edge / *look.strip_length_mm;  // strips along the short edges
    lift = std::abs(*look.tip_difference_mm) * gain;
    u_mm = StripReading{}.tip_u_mm * gain;
  } else {
    return {};
  }
  Random random(static_cast<std::uint64_t>(calib.Number("choice", "/seed").value) + 1);
  Eigen::VectorXd draws(kDraws);
  for (double& percent : draws) {
    percent = TwistPercent(DrawGap(lift, u_mm, random), diagonal);
  }
  answer.twist_percent = TwistPercent(lift, diagonal);
  answer.twist_percent95 = ShortestInterval(draws);
  std::string side = SideOf(draws, answer.limit_percent, calib);
  answer.because.push_back(fmt::format("The twist {} the limit of {:g} %{}: {}.",
                                       side == "over"    ? "is over"
                                       : side == "under" ? "looks within"
                                                         : "is too close to",
                                       answer.limit_percent,
                                       side == "too-close" ? " to call by eye" : "",
                                       Shown(*answer.twist_percent, *answer.twist_percent95)));
  return side;
}

/// The large parts that bending harms most, in plain words; empty when there are none.
std::string Delicate(const FirstLook& look, const Calib& calib) {
  std::vector<std::string> plain;
  for (const auto& part : look.large_parts) {
    if (std::find(kDelicate.begin(), kDelicate.end(), part) != kDelicate.end()) {
      plain.push_back(calib.Text("part_classes", "/classes/" + part + "/plain"));
    }
  }
  return Join(plain, ", ");
}

void Sort(const FirstLook& look,
          const std::string& twist_side,
          const Calib& calib,
          FirstLookAnswer& answer) {
  const auto first = [&](Sorted sorted, std::string why) {
    answer.sorted = sorted;
    answer.because.insert(answer.because.begin(), std::move(why));
  };
  const bool needed = look.need != "none";
  if (look.works == "yes" && !needed) {
    first(Sorted::kLeave,
          "It works and nothing needs it flat: leave it as it is, whatever the bend.");
    return;
  }
  const bool over = answer.limit_side == "over" || twist_side == "over";
  const bool tempting = needed || look.works == "no" || look.works == "partly";
  const std::string delicate = Delicate(look, calib);
  if (over && tempting && !delicate.empty()) {
    first(Sorted::kDoNotTouch,
          fmt::format(
              "Do not press it or screw it flat: large parts that bending harms are on it ({}). "
              "Measure it properly first.",
              delicate));
  } else if (answer.limit_side.empty()) {
    first(Sorted::kMeasure,
          "Too little was read to sort it: read one long edge and one short edge.");
  } else if (over) {
    first(
        Sorted::kMeasure,
        needed
            ? "It is over the limit and is to be flat: measure it properly before anything is done."
            : "It is over the limit: measure it properly to see which parts the bend has "
              "strained.");
  } else if (answer.limit_side == "too-close" || twist_side == "too-close") {
    first(Sorted::kMeasure,
          "A rule by eye cannot tell the side of the limit: measure it properly.");
  } else {
    first(Sorted::kLeave,
          needed ? "It looks flat enough as it is: use it so, and do not press it."
                 : "It looks flat enough: leave it as it is, and test it.");
  }
}

}  // namespace

const char* Name(Sorted sorted) {
  constexpr std::array<const char*, 3> kNames = {"leave", "measure", "do-not-touch"};
  return kNames.at(static_cast<std::size_t>(sorted));
}

Result<FirstLookAnswer> SortAtFirstLook(const FirstLook& look, const Calib& calib) {
  if (auto ok = Check(look, calib); !ok) {
    return ok.error();
  }
  Board board;
  board.mounting = look.mounting;
  FirstLookAnswer answer;
  answer.limit_percent = LimitOf(board, calib).percent;
  JudgeBow(look, calib, answer);
  const std::string twist_side = JudgeTwist(look, calib, answer);
  Sort(look, twist_side, calib, answer);
  return answer;
}

Json ToJson(const FirstLook& look) {
  Json json = {{"length_mm", look.length_mm}, {"width_mm", look.width_mm}};
  json["large_parts"] = Json(look.large_parts);
  json["works"] = look.works;
  json["need"] = look.need;
  json["mounting"] = look.mounting;
  json["bows"] = Json::array();
  for (const auto& bow : look.bows) {
    json["bows"].push_back({{"edge", Name(bow.edge)}, {"gap_mm", bow.gap_mm}});
  }
  const auto put = [&](const char* key, const std::optional<double>& value) {
    if (value) {
      json[key] = *value;
    }
  };
  put("corner_gap_mm", look.corner_gap_mm);
  put("tip_difference_mm", look.tip_difference_mm);
  put("strip_length_mm", look.strip_length_mm);
  json["gap_u_mm"] = look.gap_u_mm;
  return json;
}

Result<FirstLook> ParseFirstLook(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  FirstLook look;
  look.length_mm = read.Number("length_mm", {20.0, 700.0});
  look.width_mm = read.Number("width_mm", {20.0, 700.0});
  look.works = read.Word("works", kWorks);
  look.need = read.Word("need", kNeeds);
  look.mounting = read.OptionalWord("mounting", kMountings).value_or(look.mounting);
  look.corner_gap_mm = read.OptionalNumber("corner_gap_mm", {0.0, kLargestGapMm});
  look.tip_difference_mm = read.OptionalNumber("tip_difference_mm", {-200.0, 200.0});
  look.strip_length_mm = read.OptionalNumber("strip_length_mm", {20.0, 3000.0});
  look.gap_u_mm = read.OptionalNumber("gap_u_mm", {0.0, 5.0, true}).value_or(look.gap_u_mm);
  const Json* parts = read.Array("large_parts", false);
  for (std::size_t i = 0; parts != nullptr && i < parts->size(); ++i) {
    const Json& part = (*parts)[i];
    if (!part.is_string()) {
      read.Refuse(fmt::format("large_parts[{}]", i),
                  "expected a text",
                  "write a part class, as in \"pbga\"");
      break;
    }
    look.large_parts.push_back(part.get<std::string>());
  }
  const Json* bows = read.Array("bows", false);
  for (std::size_t i = 0; bows != nullptr && i < bows->size(); ++i) {
    FieldReader bow((*bows)[i], read.Where(fmt::format("bows[{}]", i)));
    const auto edge = EdgeNamed(bow.Word("edge", {"AB", "BC", "CD", "DA"}));
    const double gap = bow.Number("gap_mm", {0.0, kLargestGapMm});
    bow.NoOthers();
    if (bow.error()) {
      return *bow.error();
    }
    look.bows.push_back({edge.value_or(Edge::kAB), gap});
  }
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return look;
}

Json ToJson(const FirstLookAnswer& answer) {
  Json json = {{"format", "lieflat-glance"}, {"version", 1}, {"sorted", Name(answer.sorted)}};
  if (!answer.limit_side.empty()) {
    json["limit_side"] = answer.limit_side;
  }
  json["limit_percent"] = answer.limit_percent;
  const auto put = [&](const std::string& figure,
                       const std::optional<double>& percent,
                       const std::optional<Interval>& percent95) {
    if (percent) {
      LIEFLAT_CHECK(percent95.has_value(), "a figure has its interval");
      json[figure + "_percent"] = *percent;
      json[figure + "_interval95_percent"] = {percent95->low, percent95->high};
    }
  };
  put("bow", answer.bow_percent, answer.bow_percent95);
  put("twist", answer.twist_percent, answer.twist_percent95);
  json["because"] = answer.because;
  return json;
}

}  // namespace lieflat
