#pragma once
// The bend at a part: the largest strain over the places where it is read, for the fitted surface
// and for each draw of it.

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include <Eigen/Core>

#include "lieflat/joints/rating.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

struct Bend {
  double found = 0.0;    ///< signed, of the fitted surface; for chips compression counts for less
  double flatten = 0.0;  ///< the same for the change that makes the board flat
  double found_principal =
      0.0;  ///< signed principal strain of largest magnitude, whatever the kind
  Eigen::VectorXd found_draws, flatten_draws;
  Eigen::VectorXd thickness_factor;  ///< strain goes as the thickness, which is not known exactly

  [[nodiscard]] Eigen::VectorXd found_with_thickness() const {
    return found_draws.cwiseProduct(thickness_factor);
  }
  [[nodiscard]] Eigen::VectorXd flatten_with_thickness() const {
    return flatten_draws.cwiseProduct(thickness_factor);
  }
};

struct LocalFlatness {
  double mm = 0.0, u95_mm = 0.0;
};

/// "at its place", "largest in its region (top-left)", "largest on the board".
std::string WhereTaken(const Part& part);

/// Parts of one region, side and kind share their figures, so those are worked out once.
class BendAtParts {
 public:
  BendAtParts(const Board& board, const Surface& surface, const Calib& calib);
  /// Good until the next call.
  const Bend& At(const Part& part, const PartClass& kind);
  /// Of the surface under the footprint. Needs a part with a place.
  [[nodiscard]] LocalFlatness FlatnessUnder(const Part& part) const;

 private:
  [[nodiscard]] Bend Work(const Part& part, const PartClass& kind) const;

  const Board& board_;
  const Surface& surface_;
  const Calib& calib_;
  Eigen::VectorXd thickness_factor_;
  // region, side, area array, chip, rotation
  std::map<std::tuple<std::string, Side, bool, bool, double>, Bend> kept_;
  Bend placed_;
};

}  // namespace lieflat
