#include "photo/edge_band.h"

#include <algorithm>
#include <cmath>

namespace lieflat::internal {
namespace {

constexpr double kSmoothAlong = 2.0;  // columns, standard deviation: 1 mm

}  // namespace

int EdgeBand::Rows(double mm) { return static_cast<int>(std::lround(mm / kAcrossMm)); }

EdgeBand::EdgeBand(const SheetLight& light, const BandWindow& window) : window_(window) {
  const int columns = static_cast<int>((window.to_x - window.from_x) / kAlongMm) + 1;
  const int rows = Rows(window.to_y - window.from_y) + 1;
  light_.resize(rows, columns);
  for (int i = 0; i < columns; ++i) {
    for (int j = 0; j < rows; ++j) light_(j, i) = light(X(i), Y(j)).value_or(0.0);
  }
  SmoothAlong();
  sums_ = Eigen::MatrixXd::Zero(rows + 1, columns);
  for (int j = 0; j < rows; ++j) sums_.row(j + 1) = sums_.row(j) + light_.row(j);
}

double EdgeBand::Mean(int column, int from, int to) const {
  from = std::clamp(from, 0, rows() - 1);
  to = std::clamp(to, from + 1, rows());
  return (sums_(to, column) - sums_(from, column)) / (to - from);
}

void EdgeBand::SmoothAlong() {
  const int reach = static_cast<int>(3.0 * kSmoothAlong);
  Eigen::VectorXd kernel(2 * reach + 1);
  for (int k = -reach; k <= reach; ++k)
    kernel(k + reach) = std::exp(-0.5 * k * k / (kSmoothAlong * kSmoothAlong));
  kernel /= kernel.sum();
  Eigen::MatrixXd smooth = Eigen::MatrixXd::Zero(rows(), columns());
  for (int i = 0; i < columns(); ++i) {
    for (int k = -reach; k <= reach; ++k) {
      smooth.col(i) += kernel(k + reach) * light_.col(std::clamp(i + k, 0, columns() - 1));
    }
  }
  light_ = std::move(smooth);
}

}  // namespace lieflat::internal
