#include "photo/scratch_width.h"

#include <cmath>
#include <utility>

#include <Eigen/Dense>

namespace lieflat::internal {
namespace {

/// Light of a box of a width, blurred by a Gauss, at a distance from its middle.
double BlurredBox(double t, double width, double sigma) {
  const double r = sigma * std::sqrt(2.0);
  return 0.5 * (std::erf((t + 0.5 * width) / r) - std::erf((t - 0.5 * width) / r));
}

/// Squares that are left when ground, slope and the box's light are fitted.
double SquaresLeft(const AcrossLine& profile, double width, double shift, double sigma) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  double squares = 0.0;
  for (std::size_t k = 0; k < profile.off_mm.size(); ++k) {
    const double t = profile.off_mm[k];
    const Eigen::Vector3d row(1.0, t, BlurredBox(t - shift, width, sigma));
    normal += row * row.transpose();
    right += profile.light[k] * row;
    squares += profile.light[k] * profile.light[k];
  }
  return squares - right.dot(normal.ldlt().solve(right));
}

}  // namespace

double FitWidth(const AcrossLine& profile, double sigma_mm) {
  double best = 1e18, width = 0.0, shift = 0.0;
  for (double s = -0.2; s <= 0.2001; s += 0.05) {
    for (double w = 0.04; w <= 2.0; w += 0.04) {
      if (const double off = SquaresLeft(profile, w, s, sigma_mm); off < best) {
        best = off;
        width = w;
        shift = s;
      }
    }
  }
  for (double step = 0.02; step > 1e-3; step *= 0.5) {
    for (const auto& [dw, ds] : {std::pair(step, 0.0), {-step, 0.0}, {0.0, step}, {0.0, -step}}) {
      if (width + dw < 0.01) continue;
      if (const double off = SquaresLeft(profile, width + dw, shift + ds, sigma_mm); off < best) {
        best = off;
        width += dw;
        shift += ds;
      }
    }
  }
  return width;
}

}  // namespace lieflat::internal
