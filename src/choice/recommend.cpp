#include "lieflat/choice/recommend.h"

#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

#include "lieflat/joints/share_words.h"

namespace lieflat {
namespace {

/// A press as what would have been done: "pressed cold".
std::string Done(const std::string& press) {
  if (press == "press-cold") return "pressed cold";
  if (press == "press-warm") return "pressed warm";
  return "stripped and baked";
}

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

const Option* Find(const std::vector<Option>& options, const char* name) {
  const auto found = std::find_if(
      options.begin(), options.end(), [&](const Option& option) { return option.name == name; });
  return found == options.end() ? nullptr : &*found;
}

/// What stands before the figures and the cases in which they ask for nothing; true when settled.
bool Settle(const Board& board,
            const std::string& works,
            const Flatness& flatness,
            Recommendation& out) {
  const double limit = flatness.limit.percent;
  const bool needed = board.need != "none";
  if (works == "yes" && !needed) {
    out.name = "leave";
    out.because.emplace_back(
        "It works and nothing needs it flat: leave it alone, however bent it is.");
    return true;
  }
  if (Is(flatness, Verdict::kOver)) {
    if (needed) return false;
    out.name = "use-as-is";
    out.because.emplace_back("Nothing needs it flat: use it as it is and do not press it.");
    out.because.push_back(
        fmt::format("It is over the limit of {:.2f} % ({}).", limit, WorstFigure(flatness)));
    return true;
  }
  if (Is(flatness, Verdict::kNotMeasured) || (needed && Is(flatness, Verdict::kUndecided))) {
    out.name = "measure-further";
    out.because.push_back(
        Is(flatness, Verdict::kNotMeasured)
            ? "Not everything that decides has been measured yet."
            : fmt::format("It is too close to the limit of {:.2f} % to call.", limit));
    return true;
  }
  out.name = "leave";
  out.because.push_back(
      Is(flatness, Verdict::kUndecided)
          ? fmt::format(
                "It is too close to the limit of {:.2f} % to call, and nothing needs it flat.",
                limit)
          : fmt::format("It is within the limit of {:.2f} %: there is nothing to press out.",
                        limit));
  return true;
}

/// Neither pressing nor washers will do.
void GiveUpOnFlat(const Board& board,
                  const std::string& works,
                  const std::vector<std::string>& skills,
                  Recommendation& out) {
  const bool common = board.worth == "common" || board.worth.empty();
  if (board.need == "sale" || (works == "yes" && common)) {
    out.name = "sell";
    out.because.emplace_back(
        "Nothing that may be done would make it flat: sell it as it is, its bend described.");
    return;
  }
  if (!common) {
    out.name = "set-aside";
    out.because.push_back(fmt::format(
        "Nothing that may be done would make it flat, and a {} board is kept whole: set it aside.",
        board.worth));
    return;
  }
  if (works != "no") {
    out.name = "set-aside";
    out.because.emplace_back(
        "Nothing that may be done would make it flat, but it may work: set it aside whole and test "
        "it before anything is taken off.");
    return;
  }
  if (std::find(skills.begin(), skills.end(), "rework") != skills.end()) {
    out.name = "set-aside";
    out.because.emplace_back(
        "Nothing that may be done would make it flat as it is: set it aside whole for rework.");
    return;
  }
  out.name = "spares";
  out.because.emplace_back(
      "It is over the limit, needed flat, and nothing that may be done would make it so: keep it "
      "as labelled spares.");
}

/// What speaks for a press, and what it leaves.
std::string PressReason(const Board& board, const Option& press, const Limit& limit) {
  return fmt::format(
      "Needed flat for {}: {}, {:.1f} mm ({:.1f} to {:.1f}) would stay{}, and the chance of damage "
      "to a part is {}.",
      NeedInWords(board.need),
      press.how,
      press.gain_mm.p50,
      press.gain_mm.p5,
      press.gain_mm.p95,
      WouldStayOver(press, limit) ? ", which leaves it over the limit" : "",
      ProbabilityInWords(press.damage_probability));
}

/// Over the limit and needed flat: press, mount on washers, or give up on flat.
void Choose(const Board& board,
            const std::string& works,
            const Flatness& flatness,
            const std::vector<Option>& options,
            const std::vector<std::string>& skills,
            const Calib& calib,
            Recommendation& out) {
  const std::string worth = board.worth.empty() ? "common" : board.worth;
  std::vector<std::string> against;
  std::vector<std::pair<std::string, std::string>> refused;  // what is not done, and why
  const Option *flat = nullptr, *better = nullptr;  // within the limit afterwards; still over it
  for (const char* name : {"press-cold", "press-warm", "strip-and-bake"}) {
    const Option* option = Find(options, name);
    if (option == nullptr) continue;
    const auto why_not = AgainstPressing(*option, worth, calib);
    if (why_not) {
      const auto same = std::find_if(
          refused.begin(), refused.end(), [&](const auto& one) { return one.second == *why_not; });
      if (same == refused.end())
        refused.emplace_back(Done(name), *why_not);
      else
        same->first += fmt::format(", not {}", Done(name));
    } else if (WouldStayOver(*option, flatness.limit)) {
      if (better == nullptr) better = option;
    } else if (flat == nullptr) {
      flat = option;
    }
  }
  for (const auto& [deeds, why] : refused)
    against.push_back(fmt::format("Not {}: {}.", deeds, why));
  const Option* mount = Find(options, "mount");
  const bool mountable = mount != nullptr && mount->blocked_by.empty();
  if (flat == nullptr && mountable) {
    out.name = "mount";
    out.because.emplace_back(
        "Screw it down on washers that fill the gap at each stand-off: it fits and keeps its bend, "
        "and no joint is loaded.");
    if (better != nullptr)
      against.push_back(
          fmt::format("Not {}: it would still be over the limit.", Done(better->name)));
  } else if (const Option* press = flat != nullptr ? flat : better; press != nullptr) {
    out.name = press->name;
    out.because.push_back(PressReason(board, *press, flatness.limit));
  } else {
    if (mount != nullptr)
      against.push_back(fmt::format("Not screwed down: {}.", mount->blocked_by.front()));
    GiveUpOnFlat(board, works, skills, out);
  }
  out.because.push_back(fmt::format(
      "It is over the limit of {:.2f} % ({}).", flatness.limit.percent, WorstFigure(flatness)));
  out.because.insert(out.because.end(), against.begin(), against.end());
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
      fmt::format("Be careful: pressed flat, {} would take {} of its allowed bend ({} risk). "
                  "Do not flex the "
                  "board by hand or under screws.",
                  worst->ref,
                  ShareInWords(worst->share),
                  Name(worst->rating)));
}

/// For whoever presses: common practice.
void AddPressCautions(Recommendation& out) {
  if (out.name != "press-cold") {
    out.cautions.emplace_back(
        "Heat: measure the temperature at the board, keep it away from what burns, never leave it "
        "alone, ventilate.");
  }
  out.cautions.emplace_back(
      "Glass as a plate breaks without warning: use thick board or metal, or wear goggles and "
      "gloves.");
  out.cautions.emplace_back(
      "Bring the load on slowly, read it just after release and again the next day, and test what "
      "worked before.");
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
                         const std::vector<Option>& options,
                         const std::vector<std::string>& skills,
                         const Calib& calib) {
  Recommendation out;
  if (!Settle(board, works_now, flatness, out))
    Choose(board, works_now, flatness, options, skills, calib, out);
  if (works_now != "yes") {
    out.because.push_back(
        works_now == "untested"
            ? "It has not been tested: a power-on test tells more about its joints than any figure "
              "here."
            : "It does not fully work: find that fault first, a bend rarely explains it alone.");
  }
  AddDamage(marks, parts, calib, out);
  AddPartCautions(parts, out);
  if (out.name.starts_with("press") || out.name == "strip-and-bake") AddPressCautions(out);
  AddWorkCautions(board, out);
  return out;
}

}  // namespace lieflat
