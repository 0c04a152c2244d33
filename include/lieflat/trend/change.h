#pragma once
// Did it change? Two sets of readings of the same places, taken with the same tool, held against
// their noise. Source: two-sample comparison of means with a known or a pooled standard deviation,
// any text; e.g. NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/readings/sample.h"

namespace lieflat {

/// The least difference of two means that is called a change at 95 %: z or t times s sqrt(1/n1 +
/// 1/n2).
/// @param degrees_of_freedom  of s; absent when s is known.
double DetectableChange(double sd, int n1, int n2, std::optional<double> degrees_of_freedom = {});

struct ChangedFigure {
  std::string name;  ///< "bow AB", "twist"
  double before_mm = 0.0, after_mm = 0.0;
  double change_mm = 0.0, noise_mm = 0.0;  ///< noise: the least change that would be called one
  bool changed = false;
};

struct Change {
  std::vector<ChangedFigure> figures;  ///< the deciding one first
  bool changed = false;                ///< any; false calls at most 5 % when nothing changed
  std::vector<std::string> notes;      ///< what was taken as noise and what as the tool's own
};

/// One figure as one set of readings shows it: departures of edges, q ("twist"), residuals.
struct FigureRead {
  std::string name;       ///< "bow AB", "twist"
  double value_mm = 0.0;  ///< towards the component side
  double sd_mm = 0.0;     ///< of what differs from one reading to the next
};
/// All of them, in no order that matters; empty when heights are too few.
std::vector<FigureRead> FiguresRead(const Board& board, const SampleSet& samples);

/// Figures are matched by what was read (same place, same form); repeats are averaged. Heights
/// become departures of the edges and q where the stations allow, and else residuals of the plane
/// through all stations in common. Noise is what differs from one reading to the next: errors of
/// the tool and of the surface come back each time and cancel. The figure with the largest mean of
/// both times decides with 3.2 %, the others share 0.8 %: 4 % in all, and 1 % is kept for laws that
/// are not quite normal.
/// @error kNoFigure when the two have no reading in common, or were taken on different rests.
Result<Change> CompareReadings(const Board& board, const SampleSet& before, const SampleSet& after);

}  // namespace lieflat
