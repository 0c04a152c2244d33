#pragma once
// The words and digits that the terminal and the page share, so that they cannot disagree.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"

namespace lieflat::report {

/// Decimals that an expanded uncertainty allows, from `least` (may be negative: tens) to `most`.
int DecimalsFor(double u95, int least = 0, int most = 2);
/// Rounded to `decimals`; a minus sign only where a digit other than 0 is left.
std::string Rounded(double value, int decimals);
/// A number as a person writes it: up to four digits, no zeros at the end. "0.75", "305".
std::string Plainly(double value);

/// A figure and its interval with digits that agree.
struct Printed {
  std::string value, low, high;
  /// "1.14 % (1.10 to 1.18)"
  [[nodiscard]] std::string WithUnit(const std::string& unit) const;
  /// "1.14 (1.10 to 1.18)"
  [[nodiscard]] std::string WithoutUnit() const;
};
/// @param limit  the printed ends stay on the side of the limit on which they are: digits are added
/// until they do.
Printed Print(double value, const Interval& interval, std::optional<double> limit = {});
/// Percent of a share: "68 % (55 to 81)", whole or ten percent.
Printed PrintShare(double share, const Interval& share95);
/// A strain in microstrain.
Printed PrintStrain(double strain, const Interval& strain95);
/// "3.47 +- 0.12" ("±" on the page).
std::string PlusMinus(double value, double u95, const std::string& sign);

std::string SizeWords(const Board& board);         ///< "305 x 244 mm"
std::string MountingWords(const Board& board);     ///< "surface-mount and through-hole"
std::string WorksWords(const std::string& works);  ///< "works", "not tested yet"
/// WorksWords with the day of the test: "works, tested 2026-03-02".
std::string TestedWords(const Assessment& assessment);
std::string TowardsWords(Side side);                ///< "towards the components"
std::string HighCorners(const Flatness& flatness);  ///< "A and C high"
std::string ProcedureWords(const std::string& twist_procedure);
std::string WeightWords(const Flatness& flatness);
/// "upright, straightedge, read 2026-03-02 20:00; without its own weight"; empty when nothing was
/// read.
std::string HowWords(const Assessment& assessment);
/// What the readings showed with the weight in, and what the weight did; empty when none was in.
std::string AsItLayWords(const Assessment& assessment);
/// 95 % interval of the gap, from the interval of the percent; under 0 where the edge may bow the
/// other way. mm.
Interval GapInterval(const EdgeBow& edge);
/// The gap of an edge with that interval, in mm; what is printed of a gap is never under 0.
Printed PrintGap(const EdgeBow& edge, const Limit& limit);
/// Beside the bow of some edges, which is no bow of the board yet.
inline constexpr const char* kNotAllEdges = "not all edges are read";
/// What is asked for, without the command line's way to say it: for the page, and for paper.
std::string WithoutFlags(std::string text);
std::string EdgeSentence(const EdgeBow& edge, const Limit& limit);
std::string OutlierSentence(const Outlier& outlier);
std::string Upper(std::string text);     ///< first letter in upper case
std::string Sentence(std::string text);  ///< and a full stop at the end
/// "0.9 % (0.4 to 2.1)": what stays of a change, median and 5 to 95 %.
std::string KeptWords(const Triple& share);
/// "1.09 (1.04 to 1.14)": median and 5 to 95 %; empty for none.
std::string TripleWords(const std::optional<Triple>& triple);
/// "press warm", for a table.
std::string OptionWords(const std::string& name);
/// A share of the allowed bend, or of what set the rating, as this program words it: "share",
/// "chance", "share and chance".
std::string SetByWords(const std::string& set_by);

/// Plain and trade name of a rated part: "ball-grid chip, plastic (PBGA)"; its class name when the
/// board no longer lists it.
std::string PartWords(const Assessment& assessment, const PartRating& rating, const Calib& calib);
/// Rated parts, worst first (rating, then share); unmeasured ones last.
std::vector<const PartRating*> WorstFirst(const std::vector<PartRating>& parts);

/// The five answers that stand above everything.
struct Answer {
  std::string question, answer;
};
std::vector<Answer> FiveAnswers(const Assessment& assessment, const Calib& calib);

/// Control characters (a terminal would obey them) become '?', line ends and tabs a space; broken
/// UTF-8 becomes '?'.
std::string Printable(const std::string& text);
/// Number of code points.
int Columns(const std::string& text);

}  // namespace lieflat::report
