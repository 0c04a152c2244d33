#include "report/words.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "lieflat/report/shares.h"

namespace lieflat {

std::string PercentWords(const Triple& share) {
  return fmt::format(
      "{:.1f} % ({:.1f} to {:.1f})", 100.0 * share.p50, 100.0 * share.p5, 100.0 * share.p95);
}

namespace report {

// JCGM 100:2008, 7.2.6: an uncertainty carries at most two significant digits. One is enough once
// its first digit is 3 or more: the last printed place is then at most a third of the uncertainty.
int DecimalsFor(double u95, int least, int most) {
  if (!std::isfinite(u95) || u95 <= 0.0) return most;
  const double exponent = std::floor(std::log10(u95));
  const double leading = u95 / std::pow(10.0, exponent);
  const int digits = leading < 2.95 ? 2 : 1;
  return std::clamp(digits - 1 - static_cast<int>(exponent), least, most);
}

std::string Rounded(double value, int decimals) {
  const double unit = std::pow(10.0, -decimals);
  double rounded = decimals < 0 ? std::round(value / unit) * unit : value;
  std::string text = fmt::format("{:.{}f}", rounded, std::max(decimals, 0));
  if (text.find_first_not_of("-0.") == std::string::npos && text.front() == '-') text.erase(0, 1);
  return text;
}

std::string Plainly(double value) { return fmt::format("{:.4g}", value); }

std::string Printed::WithUnit(const std::string& unit) const {
  return fmt::format("{} {} ({} to {})", value, unit, low, high);
}

std::string Printed::WithoutUnit() const { return fmt::format("{} ({} to {})", value, low, high); }

Printed Print(double value, const Interval& interval, std::optional<double> limit) {
  constexpr int kMostDecimals = 4;    // a percent of a percent: beyond any gauge
  constexpr double kRounding = 1e-9;  // an end that close to the limit is on it
  const int usual = DecimalsFor(interval.half_width());
  const auto keeps_side = [&](double end, int decimals) {
    const double unit = std::pow(10.0, -decimals);
    return (std::round(end / unit) * unit > *limit + kRounding) == (end > *limit + kRounding);
  };
  int decimals = usual;
  while (limit && !(keeps_side(interval.low, decimals) && keeps_side(interval.high, decimals))) {
    // So near to the limit that no sensible number of digits shows the side: the usual ones do.
    if (++decimals > kMostDecimals) {
      decimals = usual;
      break;
    }
  }
  return {
      Rounded(value, decimals), Rounded(interval.low, decimals), Rounded(interval.high, decimals)};
}

namespace {

Printed PrintWhole(double value, const Interval& interval) {
  const int decimals = DecimalsFor(interval.half_width(), -2, 0);
  return {
      Rounded(value, decimals), Rounded(interval.low, decimals), Rounded(interval.high, decimals)};
}

}  // namespace

Printed PrintShare(double share, const Interval& share95) {
  return PrintWhole(100.0 * share, {100.0 * share95.low, 100.0 * share95.high});
}

Printed PrintStrain(double strain, const Interval& strain95) {
  return PrintWhole(1e6 * strain, {1e6 * strain95.low, 1e6 * strain95.high});
}

std::string PlusMinus(double value, double u95, const std::string& sign) {
  const int decimals = DecimalsFor(u95);
  return fmt::format("{} {} {}", Rounded(value, decimals), sign, Rounded(u95, decimals));
}

std::string SizeWords(const Board& board) {
  const auto [low, high] = board.Box();
  return fmt::format("{} x {} mm", Plainly(high.x() - low.x()), Plainly(high.y() - low.y()));
}

std::string MountingWords(const Board& board) {
  if (board.mounting == "smt") return "surface-mount";
  if (board.mounting == "through-hole") return "through-hole";
  return "surface-mount and through-hole";
}

std::string WorksWords(const std::string& works) {
  if (works == "yes") return "works";
  if (works == "partly") return "works in part";
  if (works == "no") return "does not work";
  return "not tested yet";
}

std::string TestedWords(const Assessment& assessment) {
  const std::string words = WorksWords(assessment.works_now);
  if (!assessment.works_tested_at) return words;
  return fmt::format("{}, tested {}", words, assessment.works_tested_at->Short().substr(0, 10));
}

std::string TowardsWords(Side side) {
  return side == Side::kComponent ? "towards the components" : "towards the solder side";
}

std::string HighCorners(const Flatness& flatness) {
  if (flatness.high_diagonal.size() != 2) return "";
  return fmt::format("{} and {} high", flatness.high_diagonal[0], flatness.high_diagonal[1]);
}

std::string ProcedureWords(const std::string& procedure) {
  if (procedure == "corners") return "from the heights of the four corners";
  if (procedure == "production") return "three corners down, the fourth gapped (production form)";
  if (procedure == "referee") return "two corners raised level, the others read (referee form)";
  if (procedure == "strips") return "from two straight strips sighted along opposite edges";
  return procedure;
}

std::string WeightWords(const Flatness& flatness) {
  if (flatness.weight_removed) return "without its own weight";
  if (flatness.sag_bound_mm <= 0.0) return "with its own weight in";
  return fmt::format("with its own weight in: up to {} mm of sag may be in the figures",
                     Rounded(flatness.sag_bound_mm, 1));
}

std::string HowWords(const Assessment& assessment) {
  if (assessment.held.empty()) return "";
  const std::string when = assessment.read_at ? ", read " + assessment.read_at->Short() : "";
  const bool said =
      assessment.flatness.weight_removed && assessment.held.find("weight") != std::string::npos;
  return assessment.held + when + (said ? "" : "; " + WeightWords(assessment.flatness));
}

std::string AsItLayWords(const Assessment& assessment) {
  if (!assessment.weight || !assessment.weight->lay) return "";
  const WeightShare& weight = *assessment.weight;
  std::string seen;
  if (weight.bow_percent) seen += fmt::format("bow {:.2f} %", *weight.bow_percent);
  if (weight.twist_percent) {
    seen += fmt::format("{}twist {:.2f} %", seen.empty() ? "" : ", ", *weight.twist_percent);
  }
  return fmt::format("As it lay: {}. Its own weight bent it by {:.1f} +- {:.1f} mm (95 %).",
                     seen.empty() ? "not enough heights for bow or twist" : seen,
                     weight.sag_mm,
                     2.0 * weight.sag_u_mm);
}

Interval GapInterval(const EdgeBow& edge) {
  const double sign = edge.percent < 0.0 ? -1.0 : 1.0;
  const double a = sign * edge.percent95.low * edge.length_mm / 100.0;
  const double b = sign * edge.percent95.high * edge.length_mm / 100.0;
  return {std::min(a, b), std::max(a, b)};
}

Printed PrintGap(const EdgeBow& edge, const Limit& limit) {
  const Interval gap = GapInterval(edge);
  return Print(
      edge.gap_mm, {std::max(gap.low, 0.0), gap.high}, limit.percent * edge.length_mm / 100.0);
}

std::string EdgeSentence(const EdgeBow& edge, const Limit& limit) {
  if (!edge.known) return "not read";
  const double limit_mm = limit.percent * edge.length_mm / 100.0;
  switch (edge.verdict) {
    case Verdict::kOver:
      // "Room to spare": a quarter of the stack more.
      return edge.gap_mm > 1.25 * limit_mm ? "over: the stack goes in with room to spare"
                                           : "over: the stack goes in";
    case Verdict::kWithin:
      return "within: the stack does not go in";
    case Verdict::kUndecided:
      return "too close to call: the stack may or may not go in";
    case Verdict::kNotMeasured:
      break;
  }
  return "not measured yet";
}

std::string OutlierSentence(const Outlier& outlier) {
  const std::string chance =
      outlier.chance > 0.01
          ? fmt::format("about once in {:.0f} sets of readings", 1.0 / outlier.chance)
          : "less than once in 100 sets of readings";
  return fmt::format(
      "{} ({}) stands out: read {} mm, the others suggest {} mm. A good reading lies so far off "
      "{}; "
      "read that place again.",
      outlier.name,
      outlier.where,
      Rounded(outlier.value_mm, 2),
      PlusMinus(outlier.others_suggest_mm, 2.0 * outlier.others_sd_mm, "+-"),
      chance);
}

std::string WithoutFlags(std::string text) {
  for (const char* opens : {" (--", " (lieflat "}) {
    for (auto from = text.find(opens); from != std::string::npos; from = text.find(opens, from)) {
      const auto to = text.find(')', from);
      if (to == std::string::npos) break;
      text.erase(from, to + 1 - from);
    }
  }
  return text;
}

std::string Upper(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

std::string Sentence(std::string text) {
  text = Upper(std::move(text));
  const bool ends =
      text.empty() || std::string_view(".!?").find(text.back()) != std::string_view::npos;
  return ends ? text : text + ".";
}

std::string SetByWords(const std::string& set_by) {
  std::string words = set_by;
  const auto say = [&](const std::string& name, const std::string& plain) {
    if (const auto at = words.find(name); at != std::string::npos)
      words.replace(at, name.size(), plain);
  };
  say("probability", "chance");
  say("fatigue", "wear of the joints");
  return words;
}

std::string PartWords(const Assessment& assessment, const PartRating& rating, const Calib& calib) {
  const Part* part = assessment.board.FindPart(rating.ref);
  if (part == nullptr) return rating.part_class;
  const PartClass part_class = ClassOf(*part, calib);
  if (part_class.plain.empty()) return rating.part_class;
  if (part_class.trade.empty()) return part_class.plain;
  return fmt::format("{} ({})", part_class.plain, part_class.trade);
}

std::vector<const PartRating*> WorstFirst(const std::vector<PartRating>& parts) {
  std::vector<const PartRating*> order;
  order.reserve(parts.size());
  for (const auto& part : parts) order.push_back(&part);
  const auto worse = [](const PartRating* a, const PartRating* b) {
    if (a->measured != b->measured) return a->measured;
    if (!a->measured) return false;
    if (a->rating != b->rating) return a->rating > b->rating;
    return a->share > b->share;
  };
  std::stable_sort(order.begin(), order.end(), worse);
  return order;
}

namespace {

/// Length of the sequence that starts at `at`, 0 when it is no well-formed UTF-8.
std::size_t SequenceLength(const std::string& text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  std::size_t length = 0;
  if (lead < 0x80)
    length = 1;
  else if (lead >= 0xC2 && lead < 0xE0)
    length = 2;
  else if (lead >= 0xE0 && lead < 0xF0)
    length = 3;
  else if (lead >= 0xF0 && lead < 0xF5)
    length = 4;
  if (length == 0 || at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((static_cast<unsigned char>(text[at + i]) & 0xC0) != 0x80) return 0;
  }
  return length;
}

}  // namespace

std::string Printable(const std::string& text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = SequenceLength(text, at);
    const auto lead = static_cast<unsigned char>(text[at]);
    const auto second = length == 2 ? static_cast<unsigned char>(text[at + 1]) : 0U;
    if (length == 0) {
      out += '?';
      ++at;
      continue;
    }
    if (lead == '\n' || lead == '\t' || lead == '\r')
      out += ' ';
    else if (lead < 0x20 || lead == 0x7F || (lead == 0xC2 && second < 0xA0))
      out += '?';
    else
      out += text.substr(at, length);
    at += length;
  }
  return out;
}

int Columns(const std::string& text) {
  return static_cast<int>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

std::string KeptWords(const Triple& share) {
  constexpr double kPercent = 100.0;
  const int decimals = kPercent * share.p95 < 10.0 ? 1 : 0;
  return fmt::format("{} % ({} to {})",
                     Rounded(kPercent * share.p50, decimals),
                     Rounded(kPercent * share.p5, decimals),
                     Rounded(kPercent * share.p95, decimals));
}

std::string TripleWords(const std::optional<Triple>& triple) {
  if (!triple) return "";
  return fmt::format(
      "{} ({} to {})", Rounded(triple->p50, 2), Rounded(triple->p5, 2), Rounded(triple->p95, 2));
}

std::string OptionWords(const std::string& name) {
  std::string words = name;
  std::replace(words.begin(), words.end(), '-', ' ');
  return words == "mount" ? "mount on washers" : words;
}

}  // namespace report
}  // namespace lieflat
