#pragma once
// One smooth curve a photo through the places at which its contact edge was found; their mean.

#include <vector>

#include <Eigen/Core>

#include "photo/edge_bodies.h"

namespace lieflat::internal {

struct EdgeCurves {
  std::vector<Eigen::VectorXd> each;  ///< a photo: away from the phone, every mm along the chord
  Eigen::VectorXd mean;
  Eigen::MatrixXd covariance_mm2;                    ///< of the mean, from the scatter of places
  std::vector<std::vector<Eigen::Vector2d>> traces;  ///< by photo: along, away; what was fitted
  double scatter_mm = 0.0;                           ///< the largest
  /// By mm along the chord, clear of both ends: whether the edge was found there in some photo.
  std::vector<bool> covered;
  double first_mm = 0.0;  ///< along the chord, of the first of them
  double covered_share = 0.0;
};

struct Chord {
  Eigen::Vector2d start, end;  ///< sheet's frame
  [[nodiscard]] double length() const { return (end - start).norm(); }
  [[nodiscard]] Eigen::Vector2d along() const { return (end - start) / length(); }
  [[nodiscard]] Eigen::Vector2d away() const { return {-along().y(), along().x()}; }
};

/// @param photos  places found, sheet's frame; @param bodies  what stands before the edge: places
/// there belong to it and are left out.
EdgeCurves FitEdgeCurves(const std::vector<std::vector<Eigen::Vector2d>>& photos,
                         const Chord& chord,
                         double clear_of_ends_mm,
                         const std::vector<EdgeBody>& bodies);

}  // namespace lieflat::internal
