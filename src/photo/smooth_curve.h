#pragma once
// A smooth curve through many places of an edge, some of which are something else.

#include <vector>

#include <Eigen/Core>

namespace lieflat::internal {

struct SmoothCurve {
  Eigen::VectorXd height_mm;       ///< every millimetre from 0 on
  Eigen::MatrixXd covariance_mm2;  ///< of those
  std::vector<bool> inlier;        ///< by place
  double scatter_mm = 0.0;         ///< robust standard deviation of the inliers
};

/// @param places  x along 0 .. length, y the height; any order.
/// Minimises the weighted squares plus a penalty on third differences whose half-power wavelength
/// is 50 mm (Whittaker 1923, Eilers 2003); weights by Tukey's biweight at 4 sigma, sigma from the
/// median, no less than 0.015 mm.
SmoothCurve FitSmoothCurve(const std::vector<Eigen::Vector2d>& places, double length_mm);

}  // namespace lieflat::internal
