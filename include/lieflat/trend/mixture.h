#pragma once
// A mixture of Student's t laws: what a family of models says of one figure together.

#include <vector>

namespace lieflat {

struct StudentTerm {
  double weight = 0.0;
  double location = 0.0;
  double scale = 0.0;  ///< 0: a certain value
  double degrees_of_freedom = 1.0;
};

class StudentMixture {
 public:
  /// Weights 0 or more with a sum above 0; they are scaled to 1.
  explicit StudentMixture(std::vector<StudentTerm> terms);
  [[nodiscard]] double Cdf(double x) const;
  /// By bisection on the distribution function. @param probability  above 0 and under 1.
  [[nodiscard]] double Quantile(double probability) const;
  [[nodiscard]] const std::vector<StudentTerm>& terms() const { return terms_; }
  /// The same with a normal error of this standard deviation added to each term (its square to the
  /// square of the scale).
  [[nodiscard]] StudentMixture Widened(double sd) const;

 private:
  std::vector<StudentTerm> terms_;
};

}  // namespace lieflat
