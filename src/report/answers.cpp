// The five answers: do you need it flat, what would be gained, what is risked, which part is worst,
// what to do now.

#include <algorithm>

#include <fmt/format.h>

#include "report/words.h"

namespace lieflat::report {
namespace {

/// Of bow and twist together, the one that decides what to say.
Verdict Together(const Flatness& flatness) {
  const Verdict verdicts[] = {flatness.bow_verdict, flatness.twist_verdict};
  for (const Verdict verdict : {Verdict::kOver, Verdict::kNotMeasured, Verdict::kUndecided}) {
    if (std::find(std::begin(verdicts), std::end(verdicts), verdict) != std::end(verdicts))
      return verdict;
  }
  return Verdict::kWithin;
}

std::string NeedName(const std::string& need) {
  if (need == "case") return "For a case";
  if (need == "cards") return "For plug-in cards";
  if (need == "cooler") return "For a cooler";
  return "For a sale";
}

/// What being over the limit means for what the board is needed for.
std::string OverWords(const Assessment& assessment) {
  const std::string& need = assessment.board.need;
  const Flatness& flatness = assessment.flatness;
  if (need == "cards") return "it is over the limit; what counts is the bend along the slots.";
  if (need == "cooler")
    return "it is over the limit; what counts is how flat it is under the chip.";
  if (need == "sale") return "no. An honest description does instead.";
  for (const EdgeBow& edge : flatness.edges) {
    if (flatness.bow_verdict == Verdict::kOver && edge.known && edge.edge == flatness.bow_edge) {
      return fmt::format("it stands {} mm off along {}; screws without shims would pull it flat.",
                         Rounded(edge.gap_mm, 1),
                         Name(edge.edge));
    }
  }
  return "it is over the limit; screws without shims would pull it flat.";
}

std::string NeedAnswer(const Assessment& assessment) {
  const Board& board = assessment.board;
  if (board.need == "none") {
    return assessment.works_now == "yes" ? "No. It works, and nothing on record needs it flat."
                                         : "No: nothing on record needs it flat.";
  }
  const std::string name = NeedName(board.need);
  switch (Together(assessment.flatness)) {
    case Verdict::kWithin:
      return fmt::format(
          "{}: it is flat enough, within {} %.", name, Plainly(assessment.flatness.limit.percent));
    case Verdict::kOver:
      return fmt::format("{}: {}", name, OverWords(assessment));
    case Verdict::kUndecided:
      return fmt::format(
          "{}: too close to call against {} %.", name, Plainly(assessment.flatness.limit.percent));
    case Verdict::kNotMeasured:
      break;
  }
  return fmt::format("{}: not known yet; it is not measured far enough.", name);
}

const PartRating* Worst(const Assessment& assessment) {
  const auto order = WorstFirst(assessment.parts);
  return order.empty() || !order.front()->measured ? nullptr : order.front();
}

std::string RiskAnswer(const Assessment& assessment) {
  if (assessment.parts.empty())
    return "Not rated: no parts are on record. Add the large ones first.";
  const PartRating* worst = Worst(assessment);
  if (worst == nullptr) return "Not known yet: the bend at the parts is not measured.";
  std::string text = fmt::format("{}. Pressed flat, {} takes {} of its allowed bend.",
                                 Upper(Name(worst->rating)),
                                 worst->ref,
                                 PrintShare(worst->share, worst->share95).WithUnit("%"));
  const auto unrated = std::count_if(assessment.parts.begin(),
                                     assessment.parts.end(),
                                     [](const PartRating& part) { return !part.measured; });
  if (unrated > 0) text += fmt::format(" Not rated: {} more.", unrated);
  return text;
}

std::string WorstAnswer(const Assessment& assessment, const Calib& calib) {
  if (assessment.parts.empty()) return "Not known: no parts are on record.";
  const PartRating* worst = Worst(assessment);
  if (worst == nullptr) return "Not known yet.";
  std::string text = fmt::format("{}, {}; chance of damage if pressed {}, a rule of thumb.",
                                 worst->ref,
                                 PartWords(assessment, *worst, calib),
                                 ProbabilityInWords(worst->damage_probability));
  if (worst->where_taken != "at its place" && !worst->where_taken.empty()) {
    text += fmt::format(" Its place is not known: taken as the {}.", worst->where_taken);
  }
  return text;
}

std::string GainWords(const Triple& mm) {
  return fmt::format("{} mm ({} to {})", Rounded(mm.p50, 2), Rounded(mm.p5, 2), Rounded(mm.p95, 2));
}

/// What stays of a night and of a week held flat, whether it could be read, and what a reading just
/// after release would make of it.
std::string GainAnswer(const Assessment& assessment, const Calib& calib) {
  const auto cold = std::find_if(assessment.options.begin(),
                                 assessment.options.end(),
                                 [](const Option& option) { return option.name == "press-cold"; });
  if (cold == assessment.options.end() || !assessment.night_gain_mm)
    return "Not known yet: bow and twist are not both measured.";
  const double readable_mm = calib.Number("choice", "/recommend/readable_gain_mm").value;
  std::string text = fmt::format("A night held flat keeps {}, a week {}, {} of the bend",
                                 GainWords(*assessment.night_gain_mm),
                                 GainWords(cold->gain_mm),
                                 KeptWords(cold->lasting_fraction));
  text += cold->gain_mm.p50 < readable_mm
              ? fmt::format(": less than the {} mm that a reading can tell.", Plainly(readable_mm))
              : ".";
  if (cold->lasting_fraction.p50 > 0.0) {
    const double times = cold->just_freed.p50 / cold->lasting_fraction.p50;
    if (times > 1.5)
      text += fmt::format(" Just freed it would look like {:.0f} times as much.", times);
  }
  return text + " A model's estimate, not proved on this board.";
}

struct Deed {
  const char* name;
  const char* words;
};
constexpr Deed kDeeds[] = {
    {"measure-further", "Measure further."},
    {"leave", "Leave it as it is, unpressed."},
    {"use-as-is", "Use it as it is, unpressed."},
    {"mount", "Mount it as it is, on shims."},
    {"press-cold", "Press it cold."},
    {"press-warm", "Press it warm."},
    {"strip-and-bake", "Take the parts off and bake it flat."},
    {"set-aside", "Set it aside whole."},
    {"sell", "Sell it with an honest description."},
    {"spares", "Keep it as labelled spares."},
};

std::string DoAnswer(const Assessment& assessment) {
  const Recommendation& recommended = assessment.recommended;
  std::string text = Upper(recommended.name);
  for (const Deed& deed : kDeeds) {
    if (recommended.name == deed.name) text = deed.words;
  }
  if (recommended.name == "measure-further" && !assessment.flatness.next_reading.empty()) {
    return fmt::format("{} {}", text, Sentence(assessment.flatness.next_reading));
  }
  if (!recommended.because.empty())
    text += fmt::format(" {}", Sentence(recommended.because.front()));
  return text;
}

}  // namespace

std::vector<Answer> FiveAnswers(const Assessment& assessment, const Calib& calib) {
  return {{"Need it flat?", NeedAnswer(assessment)},
          {"Gain", GainAnswer(assessment, calib)},
          {"Risk", RiskAnswer(assessment)},
          {"Worst part", WorstAnswer(assessment, calib)},
          {"Do now", DoAnswer(assessment)}};
}

}  // namespace lieflat::report
