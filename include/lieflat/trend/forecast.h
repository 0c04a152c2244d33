#pragma once
// How a held board goes on: a mixture of shapes over the time under load, fitted to its readings.
//
//   y = y0 - A f(T) - C r + e      T equivalent hours held at 23 C, f(96 h) = 1
//                                  r = 1 just after release, 0 once rested; e ~ N(0, s^2)
//
// For each of 25 shapes (powers, logarithms, stretched exponentials) y0, A, C and s^2 have a
// normal-inverse-gamma law in closed form; shapes weigh by their evidence; every answer is a
// mixture of Student's t laws. One shape alone would be far too sure of itself. What lies ahead is
// widened by a share of the change that is foreseen, for no shape of the list need be the true one.
// Sources: conjugate linear model, Gelman et al., Bayesian Data Analysis, 3rd ed., 14.2, with model
// averaging, 7.4 and 15; Kohlrausch (1854) for the stretched exponential.
// How wrong it is: coverage figures in DEVELOPERS.md, by tests/trend/coverage_test.cpp.

#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/trend/mixture.h"

namespace lieflat {

struct TrendPoint {
  double hours = 0.0;       ///< held so far, equivalent at the reference temperature
  bool just_freed = false;  ///< else rested
  double value_mm = 0.0;    ///< bow or twist, + as it was first read
};

struct TrendPrior {
  double first_mm = 0.0;   ///< mean of the first readings: where y0 lies
  double height_mm = 0.0;  ///< size of the bend, sets the scale of A and C
  double repeat_sd_mm = 0.08;
  double repeat_dof = 6.0;
};

/// A course in time, scaled to 1 at 96 h.
struct TrendShape {
  enum class Law { kPower, kLogarithm, kStretched } law = Law::kPower;
  double first = 0.0;   ///< exponent, or time constant in hours
  double second = 0.0;  ///< stretched: exponent
  [[nodiscard]] double At(double hours) const;
};
/// The shapes and what is thought of A and C before the first reading: calib/trend.json.
struct TrendSettings {
  std::vector<TrendShape> shapes;
  double first_sd_mm = 1.0;
  double gain_mean_share = 0.0, gain_sd_share = 0.0;  ///< of the size of the bend
  double back_mean_share = 0.0, back_sd_share = 0.0;
  double extrapolation_share = 0.0;  ///< of the change that is foreseen, as a standard deviation
};
TrendSettings ReadTrendSettings(const Calib& calib);

class TrendModel {
 public:
  /// @param points  one at least.
  TrendModel(const std::vector<TrendPoint>& points,
             const TrendPrior& prior,
             const TrendSettings& settings);

  /// y0 - A f(T): rested, without reading error. Ahead of the last point widened (see above).
  [[nodiscard]] StudentMixture State(double hours) const;
  /// One reading then.
  [[nodiscard]] StudentMixture Reading(double hours, bool just_freed) const;
  /// What is gained from one time under load to a later one.
  [[nodiscard]] StudentMixture Gain(double from_hours, double to_hours) const;
  /// A, what 96 h bring.
  [[nodiscard]] StudentMixture Amplitude() const;
  /// C, what comes back after release.
  [[nodiscard]] StudentMixture ComesBack() const;

  struct Fit {
    TrendShape shape;
    double weight = 0.0;
    Eigen::Vector3d mean;        ///< y0, A, C
    Eigen::Matrix3d covariance;  ///< times s^2
    double a = 0.0, b = 0.0;     ///< of s^2 ~ inverse gamma
    [[nodiscard]] double scale2() const { return b / a; }
  };
  [[nodiscard]] const std::vector<Fit>& fits() const { return fits_; }
  [[nodiscard]] double last_hours() const { return last_hours_; }

 private:
  [[nodiscard]] StudentMixture Combine(const std::vector<Eigen::Vector3d>& rows,
                                       double noise) const;
  [[nodiscard]] double Discrepancy(double hours) const;

  std::vector<Fit> fits_;
  double last_hours_ = 0.0;
  double extrapolation_share_;
};

}  // namespace lieflat
