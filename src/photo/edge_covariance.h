#pragma once
// From a curve along an edge to departures from its chord, and what the view leaves uncertain.

#include <vector>

#include "photo/paper_height.h"

namespace lieflat::internal {

/// Matrix from heights every millimetre (`nodes` of them) to departures from the chord between 0
/// and length, at shares of the length.
Eigen::MatrixXd ToDepartures(Eigen::Index nodes,
                             double length_mm,
                             const std::vector<double>& shares);

struct ViewErrors {
  double slope = 0.0;      ///< shift along the sheet a millimetre of the paper's height makes
  double bend_u_mm = 0.0;  ///< of a bend of the view over the edge, at its middle
  double end_u_mm = 0.0;   ///< of each end
};
/// Of the nodes, mm2.
Eigen::MatrixXd ViewCovariance(const PaperHeight& paper,
                               const Eigen::Vector2d& start,
                               const Eigen::Vector2d& end,
                               Eigen::Index nodes,
                               const ViewErrors& errors);

/// Photos that differ by more than the covariance of their mean says widen it as a whole.
Eigen::MatrixXd Widened(const Eigen::MatrixXd& covariance,
                        const Eigen::MatrixXd& to_departures,
                        const std::vector<Eigen::VectorXd>& curves,
                        const Eigen::VectorXd& mean);

}  // namespace lieflat::internal
