// Measures of a mark, and the limits that criteria set to them.

#include <fmt/format.h>

#include "lieflat/damage/judge.h"

#include "damage/criterion.h"

namespace lieflat {

std::optional<Measured> MeasureOf(const std::string& measure,
                                  const Mark& mark,
                                  const Board& board,
                                  const Calib& calib) {
  if (const auto given = mark.measures.find(measure); given != mark.measures.end())
    return given->second;
  if (measure == "length" && mark.at_mm.size() > 1) return Measured{mark.DrawnLength(), 0.0};
  if (measure == "board-area") return Measured{board.Area(), 0.0};
  const Part* part = damage::FirstPart(mark, board);
  if (part != nullptr && part->size_mm) {
    if (measure == "chip-length") return Measured{part->size_mm->maxCoeff(), 0.0};
    if (measure == "chip-width") return Measured{part->size_mm->minCoeff(), 0.0};
  }
  if (part != nullptr && part->height_mm && measure == "chip-thickness")
    return Measured{*part->height_mm, 0.0};
  const Json& derived = calib.Document(damage::kFile).at("derived_measures");
  if (!derived.contains(measure)) return std::nullopt;
  const auto from = MeasureOf(derived.at(measure).at("from"), mark, board, calib);
  if (!from) return std::nullopt;
  const double share = calib.Number(damage::kFile, "/derived_measures/" + measure + "/share").value;
  return Measured{share * from->value, share * from->u95};
}

std::optional<CriterionLimit> LimitOfCriterion(const std::string& name,
                                               const Mark& mark,
                                               const Board& board,
                                               const Calib& calib) {
  const Json& criterion = damage::Criterion(name, calib);
  if (!criterion.contains("measure") || !criterion.contains(damage::ClassKey(board)))
    return std::nullopt;
  const std::string at = fmt::format("/criteria/{}/{}/", name, damage::ClassKey(board));
  const auto number = [&](const char* key) { return calib.Find(damage::kFile, at + key); };
  const auto of = criterion.contains("of")
                      ? MeasureOf(criterion.at("of").get<std::string>(), mark, board, calib)
                      : std::nullopt;
  const Measured reference = of.value_or(Measured{});
  CriterionLimit limit;
  const auto most = number("most");
  /// A share of the other measure, above `start`.
  const auto of_it = [&](double start, double share) {
    limit.known = of.has_value();
    limit.value = start + share * reference.value;
    limit.u95 = share * reference.u95;
  };
  if (const auto least = number("least"), more = number("more_than"); least || more) {
    limit.known = true;
    limit.upper = false;
    limit.strict = more.has_value();
    limit.value = least ? least->value : more->value;
  } else if (const auto lost = number("lost_share")) {
    limit.upper = false;
    of_it(0.0, 1.0 - lost->value);
  } else if (const auto plus = number("plus_share")) {
    of_it(most->value, plus->value);
  } else if (const auto share = number("most_share")) {
    of_it(0.0, share->value);
    if (most) limit.most = most->value;
    if (most && limit.known && most->value < limit.value) {
      limit.value = most->value;
      limit.u95 = 0.0;
    }
  } else if (most) {
    limit.known = true;
    limit.value = most->value;
  } else {
    return std::nullopt;
  }
  return limit;
}

}  // namespace lieflat
