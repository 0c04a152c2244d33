#pragma once
// The few distributions and order statistics in use (Boost.Math does the work).

#include <utility>

#include <Eigen/Core>

namespace lieflat {

/// Standard deviations of a normal distribution that hold 95 % on both sides: the `u95` of a figure
/// whose standard uncertainty is u is kNormal95 * u (JCGM 100:2008, table G.1).
inline constexpr double kNormal95 = 1.96;

double NormalCdf(double z);
double NormalQuantile(double probability);
double StudentCdf(double t, double degrees_of_freedom);
double StudentQuantile(double probability, double degrees_of_freedom);
/// Upper tail of chi-squared.
double ChiSquaredTail(double value, double degrees_of_freedom);

/// A closed interval of a figure.
struct Interval {
  double low = 0.0;
  double high = 0.0;
  [[nodiscard]] double half_width() const { return 0.5 * (high - low); }
};

/// The quantile of draws (linear between order statistics). Draws are taken by value and partly
/// sorted.
double Quantile(Eigen::VectorXd draws, double probability);
/// The shortest interval that holds `probability` of the draws (JCGM 101:2008, 5.3.4). At least 20
/// draws.
Interval ShortestInterval(Eigen::VectorXd draws, double probability = 0.95);

}  // namespace lieflat
