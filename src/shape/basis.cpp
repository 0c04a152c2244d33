#include <array>
#include <cmath>

#include "lieflat/shape/surface.h"

namespace lieflat {
namespace {

constexpr int kHighestDegree = 6;

struct Degrees {
  int x, y;
};

/// Pairs of degrees of the products P_x(u) P_y(v), bows and twist first, ordered by total degree.
const std::vector<Degrees>& Functions() {
  static const std::vector<Degrees> functions = [] {
    std::vector<Degrees> list;
    for (int total = 2; total <= kHighestDegree; ++total) {
      for (int y = 0; y <= total; ++y) list.push_back({total - y, y});
    }
    return list;
  }();
  return functions;
}

using Ladder = std::array<double, kHighestDegree + 1>;
struct Legendre {
  Ladder value, first, second;
};

/// Legendre polynomials and their two derivatives by the three-term recurrence and
/// P'(n+1) = P'(n-1) + (2n+1) P(n) (Abramowitz & Stegun, 8.5.3 and 8.5.4 combined).
Legendre LegendreAt(double u) {
  Legendre p{};
  p.value = {1.0, u};
  p.first = {0.0, 1.0};
  for (std::size_t n = 1; n < kHighestDegree; ++n) {
    const double k = static_cast<double>(n);
    p.value[n + 1] = ((2 * k + 1) * u * p.value[n] - k * p.value[n - 1]) / (k + 1);
    p.first[n + 1] = p.first[n - 1] + (2 * k + 1) * p.value[n];
    p.second[n + 1] = p.second[n - 1] + (2 * k + 1) * p.first[n];
  }
  return p;
}

/// Nodes and weights of the 6-point Gauss-Legendre rule on [-1, 1] (Abramowitz & Stegun,
/// table 25.4): exact to degree 11, and the squares of second derivatives here have degree 8.
constexpr std::array<double, 6> kNodes = {-0.932469514203152,
                                          -0.661209386466265,
                                          -0.238619186083197,
                                          0.238619186083197,
                                          0.661209386466265,
                                          0.932469514203152};
constexpr std::array<double, 6> kWeights = {0.171324492379170,
                                            0.360761573048139,
                                            0.467913934572691,
                                            0.467913934572691,
                                            0.360761573048139,
                                            0.171324492379170};

}  // namespace

SurfaceBasis::SurfaceBasis(const Board& board) {
  const auto [low, high] = board.Box();
  centre_ = 0.5 * (low + high);
  half_ = 0.5 * (high - low);

  // Mean over the box of zxx^2 + 2 zxy^2 + zyy^2, scaled so that one bow P2(u) of a square board
  // has energy 1.
  const double scale = std::pow(half_.x() * half_.y(), 2) / 9.0;
  const int n = size();
  energy_ = Eigen::MatrixXd::Zero(n, n);
  for (std::size_t i = 0; i < kNodes.size(); ++i) {
    for (std::size_t j = 0; j < kNodes.size(); ++j) {
      const Eigen::Vector2d at =
          centre_ + half_.cwiseProduct(Eigen::Vector2d(kNodes[i], kNodes[j]));
      const auto second = SecondDerivatives(at);
      const double weight = scale * kWeights[i] * kWeights[j] / 4.0;
      energy_ += weight * (second.row(0).transpose() * second.row(0) +
                           second.row(1).transpose() * second.row(1) +
                           2.0 * second.row(2).transpose() * second.row(2));
    }
  }
}

int SurfaceBasis::size() const { return static_cast<int>(Functions().size()); }

bool SurfaceBasis::IsHigher(int function) const {
  const Degrees degrees = Functions()[static_cast<std::size_t>(function)];
  return degrees.x + degrees.y > 2;
}

Eigen::RowVectorXd SurfaceBasis::Row(const Eigen::Vector2d& at_mm) const {
  const Eigen::Vector2d uv = (at_mm - centre_).cwiseQuotient(half_);
  const Legendre px = LegendreAt(uv.x());
  const Legendre py = LegendreAt(uv.y());
  Eigen::RowVectorXd row(size());
  Eigen::Index k = 0;
  for (const Degrees& d : Functions()) {
    row(k++) = px.value[static_cast<std::size_t>(d.x)] * py.value[static_cast<std::size_t>(d.y)];
  }
  return row;
}

Eigen::Matrix<double, 3, Eigen::Dynamic> SurfaceBasis::SecondDerivatives(
    const Eigen::Vector2d& at_mm) const {
  const Eigen::Vector2d uv = (at_mm - centre_).cwiseQuotient(half_);
  const Legendre px = LegendreAt(uv.x());
  const Legendre py = LegendreAt(uv.y());
  Eigen::Matrix<double, 3, Eigen::Dynamic> rows(3, size());
  Eigen::Index k = 0;
  for (const Degrees& d : Functions()) {
    const auto x = static_cast<std::size_t>(d.x);
    const auto y = static_cast<std::size_t>(d.y);
    rows(0, k) = px.second[x] * py.value[y] / (half_.x() * half_.x());
    rows(1, k) = px.value[x] * py.second[y] / (half_.y() * half_.y());
    rows(2, k) = px.first[x] * py.first[y] / (half_.x() * half_.y());
    ++k;
  }
  return rows;
}

}  // namespace lieflat
