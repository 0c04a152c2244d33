#pragma once
// The paper's height between the corners at which it was seen: a Gaussian process (kriging) over
// its mean plane, squared-exponential covariance.

#include <vector>

#include <Eigen/Dense>

namespace lieflat::internal {

class PaperHeight {
 public:
  PaperHeight() = default;
  /// @param points  corners, mm; @param u_mm  believed waviness, standard deviation (more when more
  /// is seen); @param wave_mm  length over which it changes; @param noise_mm  of a corner's height.
  PaperHeight(const std::vector<Eigen::Vector3d>& points,
              double u_mm,
              double wave_mm,
              double noise_mm);
  /// Over the frame's plane z = 0, the mean plane included.
  [[nodiscard]] double At(const Eigen::Vector2d& at) const;
  /// What is left uncertain at places, mm2.
  [[nodiscard]] Eigen::MatrixXd Covariance(const std::vector<Eigen::Vector2d>& at) const;
  /// Of the corners over their mean plane.
  [[nodiscard]] double rms_mm() const { return rms_mm_; }

 private:
  [[nodiscard]] double Kernel(const Eigen::Vector2d& a, const Eigen::Vector2d& b) const {
    return u_mm_ * u_mm_ * std::exp(-0.5 * (a - b).squaredNorm() / (wave_mm_ * wave_mm_));
  }
  double u_mm_ = 0.0, wave_mm_ = 1.0, rms_mm_ = 0.0;
  std::vector<Eigen::Vector2d> places_;
  Eigen::Vector3d plane_ = Eigen::Vector3d::Zero();  ///< height, slopes
  Eigen::LDLT<Eigen::MatrixXd> solver_;
  Eigen::VectorXd weights_;
};

}  // namespace lieflat::internal
