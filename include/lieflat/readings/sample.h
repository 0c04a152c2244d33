#pragma once
// What a reading says about the board's surface z(x, y): a weighted sum of heights, with its
// errors.
//   a height            z(P) + plane
//   an edge's departure z(P) - (1-s) z(start) - s z(end)
//   twist by any form   q = zA - zB + zC - zD
// The surface is known up to a plane (heights over a table, a tilted board); departures and q do
// not see it.

#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/random.h"
#include "lieflat/readings/gauge.h"

namespace lieflat {

struct Term {
  Eigen::Vector2d at_mm;
  double weight = 1.0;
};

struct ErrorPart {
  /// kEnds: one of two bounds or the other, the law of the largest spread between them.
  enum class Law { kNormal, kRectangular, kEnds };
  std::string cause;  ///< "blade thickness", "reading repeated", "straightedge", "table"
  Law law = Law::kNormal;
  double size_mm = 0.0;  ///< standard deviation, or half-width
  std::string
      shared;  ///< errors with the same non-empty name are one and the same draw, times `gain`
  double gain = 1.0;
  bool of_tool = false;  ///< the tool's own: the same each time that the same place is read with it

  [[nodiscard]] double sd_mm() const;  ///< size, or half-width / sqrt(3), times |gain|
};

enum class Figure { kHeight, kDeparture, kTwist };

/// How the board lay or stood when a reading was taken.
struct Holding {
  Rest rest = Rest::kFree;
  Side down = Side::kSolder;
  std::vector<Eigen::Vector2d> supports_mm;

  [[nodiscard]] bool weight_in() const { return rest == Rest::kPoints || rest == Rest::kTable; }
  friend bool operator==(const Holding&, const Holding&) = default;
};

struct Sample {
  std::string name;   ///< "C", "AB", "AB at 152 mm", "x 30 y 40", "strips DA, BC"
  std::string where;  ///< "up.csv:3", or the entry's id
  Figure figure = Figure::kHeight;
  std::vector<Term> terms;
  double value_mm = 0.0;  ///< towards the component side
  std::vector<ErrorPart> errors;
  std::string procedure;  ///< twist: corners production referee strips
  Holding held;
  /// What the reading changes by, beyond its terms, when a coefficient of the surface changes: a
  /// board that is bent otherwise lies otherwise. Empty: nothing.
  Eigen::RowVectorXd response;

  [[nodiscard]] double sd_mm() const;
};

struct SampleSet {
  Rest rest = Rest::kUpright;
  std::vector<Sample> samples;
  std::vector<std::string> notes;  ///< what was assumed, in plain words
  bool weight_out = false;         ///< was in and has been taken out (lieflat/shape/weight.h)
  [[nodiscard]] bool weight_in() const {
    return !weight_out && (rest == Rest::kPoints || rest == Rest::kTable);
  }

  /// Covariance of the samples' errors, n x n, mm2.
  [[nodiscard]] Eigen::MatrixXd Covariance() const;
  /// Draws of the errors by their true laws: n x count, mm.
  [[nodiscard]] Eigen::MatrixXd DrawErrors(int count, Random& random) const;
};

/// @param repeatability_mm  the reader's own standard deviation, from a trial on something flat;
/// absent: the instrument's.
/// @param where             what to call the entry ("up.csv" or its id).
/// @error kRefused as CheckGauge.
Result<SampleSet> ToSamples(const Gauge& gauge,
                            const Board& board,
                            const Calib& calib,
                            std::optional<double> repeatability_mm,
                            const std::string& where);

}  // namespace lieflat
