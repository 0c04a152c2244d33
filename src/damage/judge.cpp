#include "lieflat/damage/judge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "lieflat/base/check.h"

#include "damage/criterion.h"

namespace lieflat {
namespace {

/// How a kind lists a criterion: "conductor-defect-length@copper?".
struct Listed {
  std::string name, depth;
  bool only_when_measured = false;
};

Listed ParseListed(std::string text) {
  Listed listed;
  if (text.ends_with('?')) {
    listed.only_when_measured = true;
    text.pop_back();
  }
  if (const auto at = text.find('@'); at != std::string::npos) {
    listed.depth = text.substr(at + 1);
    text.resize(at);
  }
  listed.name = text;
  return listed;
}

std::string Plain(const std::string& measure, const Calib& calib) {
  return calib.Text(damage::kFile, "/measures/" + measure + "/plain");
}

std::string Unit(const std::string& measure, const Calib& calib) {
  return calib.Text(damage::kFile, "/measures/" + measure + "/unit");
}

std::string HowToGive(const std::string& measure, const Calib& calib) {
  if (measure == "length" || measure == "width")
    return fmt::format("{} (--{})", Plain(measure, calib), measure);
  return fmt::format("{} (--measure {}=...)", Plain(measure, calib), measure);
}

/// A source with its confidence, for the document.
std::string SourceOf(const Json& entry) {
  return fmt::format(
      "{} [{}]", entry.at("source").get<std::string>(), entry.at("confidence").get<std::string>());
}

/// What one criterion makes of a mark.
struct Finding {
  Outcome outcome = Outcome::kAcceptable;
  std::vector<std::string> missing;
  std::string reason, source;
};

Outcome OutcomeNamed(const std::string& word) {
  constexpr std::array<Outcome, 3> kNamed = {
      Outcome::kAcceptable, Outcome::kProcessIndicator, Outcome::kDefect};
  const auto found = std::find_if(
      kNamed.begin(), kNamed.end(), [&](Outcome outcome) { return word == Name(outcome); });
  LIEFLAT_CHECK(found != kNamed.end(), "no outcome is named " + word);
  return *found;
}

class Judging {
 public:
  Judging(const Mark& mark, const Board& board, const std::string& works, const Calib& calib)
      : mark_(mark), board_(board), works_(works), calib_(calib) {}

  /// Nothing when the criterion has no say here.
  [[nodiscard]] std::optional<Finding> Under(const std::string& name, bool only_when_measured) {
    const Json& criterion = damage::Criterion(name, calib_);
    if (!Applies(criterion)) return std::nullopt;
    if (const auto asked = Ask(criterion)) return asked;
    if (criterion.contains("aspect") && !mark_.Has(criterion.at("aspect").get<std::string>()))
      return std::nullopt;
    const Json& rule = criterion.at(damage::ClassKey(board_));
    if (rule.contains("outcome")) return Always(criterion, rule.at("outcome"));
    return Measure(name, criterion, rule, only_when_measured);
  }

 private:
  [[nodiscard]] bool Known(const Json& name) const {
    return MeasureOf(name.get<std::string>(), mark_, board_, calib_).has_value();
  }

  [[nodiscard]] bool Applies(const Json& criterion) const {
    if (!criterion.contains(damage::ClassKey(board_))) return false;
    if (criterion.contains("bare_only") && board_.populated) return false;
    if (criterion.contains("populated_only") && !board_.populated) return false;
    if (criterion.contains("for")) {
      const Part* part = damage::FirstPart(mark_, board_);
      const auto& classes = criterion.at("for");
      if (part == nullptr ||
          std::find(classes.begin(), classes.end(), Json(part->part_class)) == classes.end())
        return false;
    }
    const auto has = [&](const char* key) {
      return mark_.Has(criterion.at(key).get<std::string>());
    };
    if (criterion.contains("if_aspect") && !has("if_aspect")) return false;
    if (criterion.contains("unless_aspect") && has("unless_aspect")) return false;
    if (criterion.contains("if_measured") && !Known(criterion.at("if_measured"))) return false;
    if (criterion.contains("unless_measured") && Known(criterion.at("unless_measured")))
      return false;
    return InRange(criterion);
  }

  /// if_at_most and if_above: between two criteria by another measure; the first has the say while
  /// that is not known.
  [[nodiscard]] bool InRange(const Json& criterion) const {
    for (const bool above : {false, true}) {
      const char* key = above ? "if_above" : "if_at_most";
      if (!criterion.contains(key)) continue;
      const auto value =
          MeasureOf(criterion.at(key).at("measure").get<std::string>(), mark_, board_, calib_);
      if (!value) return !above;
      const double limit = criterion.at(key).at("limit").at("value").get<double>();
      if (above != (value->value > limit)) return false;
    }
    return true;
  }

  [[nodiscard]] std::optional<Finding> Ask(const Json& criterion) const {
    if (!criterion.contains("question")) return std::nullopt;
    const bool yes = mark_.Has(criterion.at("aspect").get<std::string>());
    const bool no = mark_.Has(criterion.at("no_aspect").get<std::string>());
    if (yes) return std::nullopt;
    Finding finding;
    finding.source = SourceOf(criterion.at(damage::ClassKey(board_)).at("outcome"));
    finding.reason = criterion.at("label").get<std::string>();
    if (no) return finding;
    finding.outcome = Outcome::kCannotTell;
    finding.missing.push_back(criterion.at("question").get<std::string>());
    return finding;
  }

  [[nodiscard]] Finding Always(const Json& criterion, const Json& entry) const {
    Finding finding;
    finding.reason = criterion.at("label").get<std::string>();
    finding.source = SourceOf(entry);
    const std::string word = entry.at("value");
    if (word != "if-works") {
      finding.outcome = OutcomeNamed(word);
      return finding;
    }
    if (works_ == "yes") return finding;
    finding.outcome = Outcome::kCannotTell;
    finding.missing.emplace_back(works_ == "untested"
                                     ? "a power-on test (lieflat works): it may stay if it works"
                                     : "whether the fault of the board lies here: it may stay only "
                                       "if it does no harm");
    return finding;
  }

  [[nodiscard]] std::optional<Finding> Measure(const std::string& name,
                                               const Json& criterion,
                                               const Json& rule,
                                               bool only_when_measured) const {
    const std::string measure = criterion.at("measure");
    const auto value = MeasureOf(measure, mark_, board_, calib_);
    const auto limit = LimitOfCriterion(name, mark_, board_, calib_);
    LIEFLAT_CHECK(limit.has_value(), "a criterion with a measure has a limit");
    if (only_when_measured && (!value || !limit->known)) return std::nullopt;
    Finding finding;
    finding.source = SourceOf(*rule.begin());
    finding.reason = criterion.at("label").get<std::string>();
    const Outcome beyond = criterion.contains("beyond")
                               ? OutcomeNamed(criterion.at("beyond").get<std::string>())
                               : Outcome::kDefect;
    if (value && !limit->known && limit->most && value->value - value->u95 > *limit->most) {
      finding.outcome = beyond;
      finding.reason += fmt::format(
          ": {:g} {}, over {:g} whatever else", value->value, Unit(measure, calib_), *limit->most);
      return finding;
    }
    finding.missing = Missing(criterion, value.has_value(), limit->known);
    if (!finding.missing.empty()) {
      finding.outcome = Outcome::kCannotTell;
      return finding;
    }
    Compare(*value, *limit, measure, beyond, criterion, finding);
    return finding;
  }

  [[nodiscard]] std::vector<std::string> Missing(const Json& criterion,
                                                 bool value_known,
                                                 bool limit_known) const {
    std::vector<std::string> missing;
    if (!value_known) missing.push_back(HowToGive(criterion.at("measure"), calib_));
    if (!limit_known) {
      std::string of = criterion.at("of");
      const auto& derived = calib_.Document(damage::kFile).at("derived_measures");
      if (derived.contains(of)) of = derived.at(of).at("from");  // what a person can measure
      missing.push_back(HowToGive(of, calib_));
    }
    return missing;
  }

  void Compare(const Measured& value,
               const CriterionLimit& limit,
               const std::string& measure,
               Outcome beyond,
               const Json& criterion,
               Finding& finding) const {
    // A few roundings: at the limit is within, also where the limit is a product.
    constexpr double kRounding = 1e-9;
    const double over = (limit.upper ? value.value - limit.value : limit.value - value.value);
    const double u95 = std::hypot(value.u95, limit.u95);
    const double tolerance = kRounding * std::max(1.0, std::abs(limit.value));
    const char* side = limit.upper ? "at most" : limit.strict ? "more than" : "at least";
    finding.reason += fmt::format(
        ": {:g} {}, {} {:.4g} asked", value.value, Unit(measure, calib_), side, limit.value);
    if (u95 > 0.0 && std::abs(over) < u95) {
      finding.outcome = Outcome::kCannotTell;
      finding.missing.push_back(
          fmt::format("a closer reading of the {}: {:g} +- {:g} is too close to {:.4g} {} to call",
                      Plain(measure, calib_),
                      value.value,
                      u95,
                      limit.value,
                      Unit(measure, calib_)));
      return;
    }
    const bool is_beyond = limit.strict ? over > -tolerance : over > tolerance;
    const Outcome within = criterion.contains("within")
                               ? OutcomeNamed(criterion.at("within").get<std::string>())
                               : Outcome::kAcceptable;
    finding.outcome = is_beyond ? beyond : within;
  }

  const Mark& mark_;
  const Board& board_;
  const std::string& works_;
  const Calib& calib_;
};

void AddOnce(const std::string& text, std::vector<std::string>& list) {
  if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
}

/// The worst finding decides; what could still change it is missing, a defect needs nothing more.
Judgement Together(const std::vector<Finding>& findings, const Board& board) {
  Judgement judgement;
  if (findings.empty()) {
    judgement.outcome = Outcome::kCannotTell;
    judgement.missing.push_back(
        fmt::format("no criterion is published for class {}: judge by form, fit and function",
                    board.acceptance_class));
    judgement.source = "none found";
    return judgement;
  }
  for (const Finding& finding : findings)
    judgement.outcome = std::max(judgement.outcome, finding.outcome);
  std::vector<std::string> sources;
  for (const Finding& finding : findings) {
    if (finding.outcome != judgement.outcome) continue;
    AddOnce(finding.source, sources);
    if (finding.outcome != Outcome::kCannotTell) AddOnce(finding.reason, judgement.reasons);
    for (const std::string& missing : finding.missing) AddOnce(missing, judgement.missing);
  }
  judgement.source = fmt::format("{}", fmt::join(sources, "; "));
  return judgement;
}

}  // namespace

const char* Name(Outcome outcome) {
  switch (outcome) {
    case Outcome::kAcceptable:
      return "acceptable";
    case Outcome::kProcessIndicator:
      return "process-indicator";
    case Outcome::kCannotTell:
      return "cannot-tell";
    case Outcome::kDefect:
      return "defect";
  }
  LIEFLAT_CHECK(false, "an outcome is one of four");
}

const char* Plain(Outcome outcome) {
  switch (outcome) {
    case Outcome::kAcceptable:
      return "acceptable";
    case Outcome::kProcessIndicator:
      return "process indicator";
    case Outcome::kCannotTell:
      return "cannot tell yet";
    case Outcome::kDefect:
      return "defect";
  }
  LIEFLAT_CHECK(false, "an outcome is one of four");
}

Judgement Judge(const Mark& mark,
                const Board& board,
                const std::string& works_now,
                const Calib& calib) {
  Judging judging(mark, board, works_now, calib);
  std::vector<Finding> findings;
  std::set<std::string> depths;
  bool asks_part = false;
  for (const auto& text : calib.Document(damage::kFile).at("kinds").at(mark.kind).at("criteria")) {
    const Listed listed = ParseListed(text.get<std::string>());
    asks_part = asks_part || damage::Criterion(listed.name, calib).contains("for");
    if (!listed.depth.empty()) depths.insert(listed.depth);
    if (!listed.depth.empty() && listed.depth != mark.depth) continue;
    if (auto finding = judging.Under(listed.name, listed.only_when_measured))
      findings.push_back(std::move(*finding));
  }
  if (!depths.empty() && mark.depth.empty()) {
    findings.push_back({Outcome::kCannotTell,
                        {"how deep it goes (--depth coating, copper, laminate or through)"},
                        "depth",
                        "none until then"});
  }
  if (asks_part && damage::FirstPart(mark, board) == nullptr) {
    findings.push_back({Outcome::kCannotTell,
                        {"which part it is (--near, a part of the board)"},
                        "kind of part",
                        "none until then"});
  }
  return Together(findings, board);
}

}  // namespace lieflat
