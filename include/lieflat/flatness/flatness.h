#pragma once
// Bow of each edge, twist, whole-board flatness, and the verdict against the limit.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

enum class Verdict { kWithin, kOver, kUndecided, kNotMeasured };
const char* Name(Verdict verdict);   ///< "within" "over" "undecided" "not-measured"
const char* Plain(Verdict verdict);  ///< "within", "over", "too close to call", "not measured yet"

struct EdgeBow {
  Edge edge = Edge::kAB;
  double length_mm = 0.0;
  double percent = 0.0;  ///< signed, + middle towards the component side
  Interval percent95;
  double gap_mm = 0.0;  ///< magnitude of the largest departure
  double gap_u95_mm = 0.0;
  bool known = false;  ///< read, or covered by the fitted surface
  Verdict verdict = Verdict::kNotMeasured;
};

struct Limit {
  double percent = 0.75;
  std::string source;   ///< standard, revision, clause, confidence; or the owner's own origin
  std::string meaning;  ///< in plain words what it is for
};
/// By mounting (through-hole 1.5 %, else 0.75 %), or the owner's own.
Limit LimitOf(const Board& board, const Calib& calib);

struct Flatness {
  // Bow: the largest of the known edges. Absent (bow_measured false) when no edge is known.
  bool bow_measured = false;
  double bow_percent = 0.0, bow_u95_percent = 0.0;
  Interval bow_percent95;
  Edge bow_edge = Edge::kAB;
  Side bow_towards = Side::kComponent;
  std::vector<EdgeBow> edges;  ///< all four
  Verdict bow_verdict = Verdict::kNotMeasured;

  bool twist_measured = false;
  double twist_percent = 0.0, twist_u95_percent = 0.0;
  Interval twist_percent95;
  double twist_q_mm = 0.0, twist_q_u95_mm = 0.0;  ///< signed q
  std::string high_diagonal;                      ///< "AC" or "BD"
  std::string twist_procedure;                    ///< corners production referee strips
  Verdict twist_verdict = Verdict::kNotMeasured;

  bool flatness_measured = false;     ///< bow of all edges and twist known
  double ls_mm = 0.0, zone_mm = 0.0;  ///< least-squares and minimum-zone flatness (ISO 1101 sense)
  Interval ls95_mm, zone95_mm;

  bool weight_removed = true;
  double sag_bound_mm = 0.0;  ///< when the weight is in: how much sag may be in the figures
  Limit limit;
  std::vector<std::string> not_measured;  ///< "bow of BC: needs ..."
  std::string next_reading;               ///< what would settle it; empty when nothing is open
};

/// @param sag_bound_mm  upper estimate of the sag in the readings; 0 when the weight is out. A
/// verdict that it could turn
///                      is `undecided`.
Flatness MeasureFlatness(const Board& board,
                         const SampleSet& samples,
                         const Surface& surface,
                         double sag_bound_mm,
                         const Calib& calib);

/// Guard-banded verdict: within if high <= limit, over if low > limit, else undecided.
/// Source: ISO 14253-1 decision rule for one upper limit [secondary], applied to the printed 95 %
/// interval.
Verdict Judge(const Interval& percent95, double limit_percent);

/// Heights of points over their least-squares plane: highest less lowest. N x 3, N >= 3. mm.
double LeastSquaresFlatness(const Eigen::MatrixX3d& points_mm);
/// The same of a height over the whole board, on an even grid.
double Warp(const Board& board,
            const std::function<double(const Eigen::Vector2d& at_mm)>& height_mm);
/// The least distance (along z, slopes are small) between two parallel planes that hold all points.
/// N x 3, N >= 4. mm.
double MinimumZoneFlatness(const Eigen::MatrixX3d& points_mm);

}  // namespace lieflat
