// Five honest lines for a listing: what it is, how bent, against what, how measured, what cannot be
// seen.

#include <fmt/format.h>

#include "lieflat/report/text.h"

#include "report/damage.h"
#include "report/words.h"

namespace lieflat {
namespace {

std::string BentLine(const Assessment& assessment) {
  const Flatness& f = assessment.flatness;
  std::string bow = "Bow not measured";
  if (f.bow_measured) {
    bow = fmt::format("Bow {}",
                      report::Print(f.bow_percent, f.bow_percent95, f.limit.percent).WithUnit("%"));
    for (const EdgeBow& edge : f.edges) {
      if (edge.edge != f.bow_edge || !edge.known) continue;
      bow += fmt::format(", {} mm on {}",
                         report::Rounded(edge.gap_mm, report::DecimalsFor(edge.gap_u95_mm, 0, 1)),
                         Name(edge.edge));
    }
  }
  const std::string twist =
      f.twist_measured
          ? fmt::format(
                "twist {}",
                report::Print(f.twist_percent, f.twist_percent95, f.limit.percent).WithUnit("%"))
          : "twist not measured";
  return fmt::format("{}; {}.", bow, twist);
}

std::string LimitLine(const Flatness& f) {
  return fmt::format("Limit {} % (for bare new boards): bow {}, twist {}.",
                     report::Plainly(f.limit.percent),
                     Plain(f.bow_verdict),
                     Plain(f.twist_verdict));
}

std::string OwnLimitLine(const Assessment& assessment) {
  const Flatness& f = assessment.flatness;
  if (!assessment.board.limit) return LimitLine(f);
  return fmt::format("Limit {} % ({}): bow {}, twist {}.",
                     report::Plainly(f.limit.percent),
                     report::Printable(assessment.board.limit->origin),
                     Plain(f.bow_verdict),
                     Plain(f.twist_verdict));
}

std::string HowLine(const Assessment& assessment) {
  if (!assessment.read) return "Not measured; ask for readings before you rely on it.";
  std::string how = fmt::format("Measured {}", assessment.held);
  if (assessment.read_at) how += fmt::format(", {}", assessment.read_at->Short().substr(0, 10));
  return fmt::format("{}; {}.",
                     how,
                     assessment.flatness.weight_removed ? "without its own weight"
                                                        : "its own weight in the figures");
}

std::string PartsLine(const Assessment& assessment) {
  if (assessment.parts.empty())
    return "Large soldered parts were not looked at; hidden cracks cannot be ruled out.";
  const PartRating* most = nullptr;
  for (const PartRating& part : assessment.parts) {
    if (part.measured && (most == nullptr || part.found_share > most->found_share)) most = &part;
  }
  if (most == nullptr)
    return "Bend at the large parts not measured; hidden cracks cannot be ruled out.";
  return fmt::format(
      "{} is bent most, to {} % of what it allows; hidden cracks cannot be ruled out.",
      report::Printable(most->ref),
      report::Rounded(100.0 * most->found_share, 0));
}

/// Without damage on record how it was read and what is not known stand apart; with it they share a
/// line, so that five lines remain.
std::string LastLines(const Assessment& assessment, const Calib& calib) {
  const std::string damage = report::DamageForSale(assessment, calib);
  if (damage.empty()) return HowLine(assessment) + "\n" + PartsLine(assessment);
  return fmt::format("{} {}\nDamage: {}.", HowLine(assessment), PartsLine(assessment), damage);
}

}  // namespace

std::string SaleText(const Assessment& assessment, const Calib& calib) {
  const Board& board = assessment.board;
  return fmt::format("{}, {}; {}.\n{}\n{}\n{}\n",
                     report::Printable(board.label.empty() ? "Board" : board.label),
                     report::SizeWords(board),
                     report::TestedWords(assessment),
                     BentLine(assessment),
                     OwnLimitLine(assessment),
                     LastLines(assessment, calib));
}

}  // namespace lieflat
