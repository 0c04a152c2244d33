#include "lieflat/choice/recommend.h"

#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

namespace lieflat {
namespace {

bool Is(const Flatness& flatness, Verdict verdict) {
  return flatness.bow_verdict == verdict || flatness.twist_verdict == verdict;
}

std::string NeedInWords(const std::string& need) {
  if (need == "case") return "a case";
  if (need == "cards") return "the cards it takes";
  if (need == "cooler") return "its cooler";
  if (need == "sale") return "a sale";
  return need;
}

/// The largest figure that is over or open, for the reason given.
std::string WorstFigure(const Flatness& flatness) {
  if (flatness.twist_verdict == Verdict::kOver && flatness.bow_verdict != Verdict::kOver) {
    return fmt::format("twist {:.2f} %", flatness.twist_percent);
  }
  return fmt::format("bow {:.2f} %", flatness.bow_percent);
}

const PartRating* WorstPart(const std::vector<PartRating>& parts) {
  const PartRating* worst = nullptr;
  for (const PartRating& part : parts) {
    if (part.measured && (worst == nullptr || part.share > worst->share)) worst = &part;
  }
  return worst;
}

/// Leave, use as it is, or measure further: pressing is not weighed yet, so it is never
/// recommended.
void Decide(const Board& board,
            const std::string& works,
            const Flatness& flatness,
            Recommendation& out) {
  const double limit = flatness.limit.percent;
  const bool needed = board.need != "none";
  if (works == "yes" && !needed) {
    out.name = "leave";
    out.because.emplace_back(
        "It works and nothing needs it flat: leave it alone, however bent it is.");
    return;
  }
  if (Is(flatness, Verdict::kOver)) {
    out.name = needed ? "leave" : "use-as-is";
    out.because.push_back(
        needed ? fmt::format("Whether pressing would make it fit {}, and what would stay of it, is "
                             "not computed yet: "
                             "do not press it until then.",
                             NeedInWords(board.need))
               : std::string("Nothing needs it flat: use it as it is and do not press it."));
    out.because.push_back(
        fmt::format("It is over the limit of {:.2f} % ({}).", limit, WorstFigure(flatness)));
    return;
  }
  if (Is(flatness, Verdict::kNotMeasured) || (needed && Is(flatness, Verdict::kUndecided))) {
    out.name = "measure-further";
    out.because.push_back(
        Is(flatness, Verdict::kNotMeasured)
            ? "Not everything that decides has been measured yet."
            : fmt::format("It is too close to the limit of {:.2f} % to call.", limit));
    return;
  }
  out.name = "leave";
  out.because.push_back(
      Is(flatness, Verdict::kUndecided)
          ? fmt::format(
                "It is too close to the limit of {:.2f} % to call, and nothing needs it flat.",
                limit)
          : fmt::format("It is within the limit of {:.2f} %: there is nothing to press out.",
                        limit));
}

/// Blocks first, then the parts that can bear less; each with the number of its mark.
void AddDamage(const std::vector<JudgedMark>& marks,
               const std::vector<PartRating>& parts,
               const Calib& calib,
               Recommendation& out) {
  for (const JudgedMark& mark : marks) {
    for (const Block& block : mark.blocks) {
      out.because.push_back(fmt::format("Pressing is blocked by mark {}, {}: {}.",
                                        mark.number,
                                        MarkWords(mark, calib),
                                        block.why));
      out.cautions.push_back(
          fmt::format("Do not press or flex the board at mark {}, {}, before it is mended.",
                      mark.number,
                      MarkWords(mark, calib)));
    }
  }
  for (const JudgedMark& mark : marks) {
    if (mark.limit_factor >= 1.0) continue;
    for (const std::string& ref : mark.beside) {
      const auto part = std::find_if(
          parts.begin(), parts.end(), [&](const PartRating& one) { return one.ref == ref; });
      if (part == parts.end()) continue;
      out.because.push_back(
          fmt::format("Mark {}, {}: {} is taken to stand {:.0f} % of the bend it would, {:.0f} "
                      "microstrain.",
                      mark.number,
                      MarkWords(mark, calib),
                      ref,
                      100.0 * mark.limit_factor,
                      1e6 * part->allowed_strain));
    }
  }
}

void AddPartCautions(const std::vector<PartRating>& parts, Recommendation& out) {
  const PartRating* worst = WorstPart(parts);
  if (worst == nullptr || worst->rating == Rating::kLow) return;
  out.cautions.push_back(
      fmt::format("Be careful: pressed flat, {} would take {:.0f} % of its allowed bend ({} risk). "
                  "Do not flex the "
                  "board by hand or under screws.",
                  worst->ref,
                  100.0 * worst->share,
                  Name(worst->rating)));
}

/// Usual cautions of the work, for what is on this board. Common practice; local codes and licensed
/// practice go first.
void AddWorkCautions(const Board& board, Recommendation& out) {
  std::set<std::string> classes;
  for (const Part& part : board.parts) classes.insert(part.part_class);
  if (classes.contains("battery")) {
    out.cautions.emplace_back(
        "An old battery may leak or burn: take it off before any heat or pressure, keep it away "
        "from metal, and hand it in where "
        "your local rules say.");
  }
  if (classes.contains("electrolytic")) {
    out.cautions.emplace_back(
        "Electrolytic capacitors may hold charge and must not be heated in a hold: discharge and "
        "check them first.");
  }
  out.cautions.emplace_back(
      "Ground yourself and the bench against static before handling the board.");
  out.cautions.emplace_back(
      "Old solder holds lead: wash your hands, no food at the bench, ventilate when soldering.");
  out.cautions.emplace_back(
      "Mains and high-voltage parts are for licensed practice; local codes come before anything "
      "said here.");
}

}  // namespace

Recommendation Recommend(const Board& board,
                         const std::string& works_now,
                         const Flatness& flatness,
                         const std::vector<PartRating>& parts,
                         const std::vector<JudgedMark>& marks,
                         const Calib& calib) {
  Recommendation out;
  Decide(board, works_now, flatness, out);
  if (works_now != "yes") {
    out.because.push_back(
        works_now == "untested"
            ? "It has not been tested: a power-on test tells more about its joints than any figure "
              "here."
            : "It does not fully work: find that fault first, a bend rarely explains it alone.");
  }
  AddDamage(marks, parts, calib, out);
  AddPartCautions(parts, out);
  AddWorkCautions(board, out);
  return out;
}

}  // namespace lieflat
