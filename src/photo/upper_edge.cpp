#include "photo/upper_edge.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Dense>

#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kAlongMm = 0.5, kAwayMm = 0.1;
// A board leans by so much at most, away from the phone and towards it.
constexpr double kFromMm = -18.0, kToMm = 22.0;
constexpr double kClearMm = 2.0;  // of the ends
constexpr double kDark = 5e-3;    // light below which its logarithm says nothing
constexpr double kNearMm = 0.15, kFarMm = 0.65;

class UpperEdge {
 public:
  UpperEdge(const UpperView& view, const MatLayout& mat, const SheetPattern& pattern)
      : view_(view), mat_(mat), pattern_(pattern), length_(view.chord.length()) {}

  UpperSeen Run() {
    LookAround();
    FindPath();
    FindPlaces();
    if (places_.size() >= kLeastPlaces) FitCubic();
    return out_;
  }

 private:
  static constexpr std::size_t kLeastPlaces = 30;
  static constexpr double kLeastDrop = 0.7;

  [[nodiscard]] Eigen::Vector3d At(double along, double away) const {
    const Eigen::Vector2d p =
        view_.chord.start + along * view_.chord.along() + away * view_.chord.away();
    return {p.x(), p.y(), view_.height_mm(along)};
  }
  [[nodiscard]] static double Along(int column) { return kClearMm + column * kAlongMm; }
  [[nodiscard]] static double Away(double row) { return kFromMm + row * kAwayMm; }
  [[nodiscard]] static int Rows(double mm) { return static_cast<int>(std::lround(mm / kAwayMm)); }

  /// Whether a change of light at a place is no change of the sheet behind it: off its squares, or
  /// among white ones.
  [[nodiscard]] bool Plain(double along, double away) const {
    constexpr double kReachMm = 0.3, kOffMm = 3.0;  // on the sheet
    for (const double beside : {-0.5, -0.25, 0.0, 0.25, 0.5}) {
      Eigen::Vector2d on = SheetBehind(view_.eye, At(along, away + beside));
      on.y() /= view_.print_y;
      if (on.x() < -kOffMm || on.x() > mat_.width_mm() + kOffMm || on.y() < -kOffMm ||
          on.y() > mat_.height_mm() + kOffMm)
        continue;
      if (on.x() < kReachMm || on.x() > mat_.width_mm() - kReachMm || on.y() < kReachMm ||
          on.y() > mat_.height_mm() - kReachMm || !pattern_.White(on) ||
          !pattern_.Plain(on, kReachMm))
        return false;
    }
    return true;
  }

  /// Sums of light over the rows of each column; what the photo does not show is dark.
  void LookAround() {
    columns_ = static_cast<int>((length_ - 2.0 * kClearMm) / kAlongMm) + 1;
    rows_ = Rows(kToMm - kFromMm) + 1;
    sums_ = Eigen::MatrixXd::Zero(rows_ + 1, columns_);
    for (int i = 0; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j)
        sums_(j + 1, i) = sums_(j, i) + view_.light(At(Along(i), Away(j))).value_or(0.0);
    }
  }
  [[nodiscard]] double Mean(int column, double from_row, double to_row) const {
    const int from = std::clamp(static_cast<int>(from_row), 0, rows_ - 1),
              to = std::clamp(static_cast<int>(to_row), from + 1, rows_);
    return (sums_(to, column) - sums_(from, column)) / (to - from);
  }

  /// By how much darker it is right before a row than right behind it, as a logarithm: the board
  /// hides what lies behind it, and its own cut edge is dark. Parts on its face, and the sheet's
  /// squares, are lighter and darker by turns.
  [[nodiscard]] double Drop(int column, int row) const {
    const double behind = Mean(column, row + Rows(kNearMm), row + Rows(kFarMm));
    const double before = Mean(column, row - Rows(kFarMm), row - Rows(kNearMm));
    return std::log((behind + kDark) / (before + kDark));
  }

  /// Most drop along the edge, a price on each step aside (dynamic programming).
  void FindPath() {
    constexpr double kPrice = 0.4, kMost = 2.0;
    Eigen::MatrixXi from(rows_, columns_);
    Eigen::VectorXd best = Eigen::VectorXd::Zero(rows_);
    Eigen::MatrixXd scores = Eigen::MatrixXd::Zero(rows_, columns_);
    for (int i = 0; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) {
        const double drop = std::clamp(Drop(i, j), -kMost, kMost);
        if (std::abs(drop) > kLeastDrop && Plain(Along(i), Away(j))) scores(j, i) = drop;
      }
    }
    for (int i = 0; i < columns_; ++i) {
      Eigen::VectorXi source = Eigen::VectorXi::LinSpaced(rows_, 0, rows_ - 1);
      for (int j = 1; j < rows_; ++j) {
        if (best(j - 1) - kPrice <= best(j)) continue;
        best(j) = best(j - 1) - kPrice;
        source(j) = source(j - 1);
      }
      for (int j = rows_ - 2; j >= 0; --j) {
        if (best(j + 1) - kPrice <= best(j)) continue;
        best(j) = best(j + 1) - kPrice;
        source(j) = source(j + 1);
      }
      from.col(i) = source;
      for (int j = 0; j < rows_; ++j) best(j) += scores(j, i);
    }
    path_.assign(static_cast<std::size_t>(columns_), 0);
    int row = 0;
    best.maxCoeff(&row);
    for (int i = columns_ - 1; i >= 0; --i) {
      path_[static_cast<std::size_t>(i)] = row;
      row = from(row, i);
    }
    for (const double along : {0.0, length_}) {
      const double near = Away(path_[along > 0.0 ? path_.size() - 1 : 0]);
      for (const double beside : {-1.5, 1.5})
        out_.in_frame = out_.in_frame && view_.light(At(along, near + beside)).has_value();
    }
  }

  /// To a fraction of a step: half the way from the even light behind to the darkest just before.
  void FindPlaces() {
    constexpr double kFineMm = 0.04, kBehindMm = 0.8, kBeforeMm = 1.0, kEvenFromMm = 0.35;
    constexpr double kEven = 0.25;
    for (int i = 0; i < columns_; ++i) {
      const int row = path_[static_cast<std::size_t>(i)];
      if (Drop(i, row) < kLeastDrop) continue;
      const double along = Along(i), near = Away(row);
      std::vector<double> light;  // from behind towards the phone
      for (double off = kBehindMm; off >= -kBeforeMm; off -= kFineMm)
        light.push_back(view_.light(At(along, near + off)).value_or(0.0));
      const auto even = static_cast<std::ptrdiff_t>((kBehindMm - kEvenFromMm) / kFineMm);
      const auto [least, most] = std::minmax_element(light.begin(), light.begin() + even);
      if (*most - *least > kEven * *most) continue;
      const double behind = Median(std::vector<double>(light.begin(), light.begin() + even));
      const double half = 0.5 * (behind + *std::min_element(light.begin(), light.end()));
      for (std::size_t k = 1; k < light.size(); ++k) {
        if (light[k] >= half) continue;
        const double step = (light[k - 1] - half) / (light[k - 1] - light[k]);
        places_.emplace_back(along,
                             near + kBehindMm - kFineMm * (static_cast<double>(k) - 1.0 + step));
        break;
      }
    }
  }

  void FitCubic() {
    const auto n = static_cast<Eigen::Index>(places_.size());
    const auto terms = [&](double along) {
      const double t = 2.0 * along / length_ - 1.0;
      return Eigen::RowVector4d(1.0, t, t * t, t * t * t);
    };
    Eigen::MatrixX4d a(n, 4);
    Eigen::VectorXd y(n), weights = Eigen::VectorXd::Ones(n), off;
    for (Eigen::Index i = 0; i < n; ++i) {
      a.row(i) = terms(places_[static_cast<std::size_t>(i)].x());
      y(i) = places_[static_cast<std::size_t>(i)].y();
    }
    Eigen::Vector4d cubic;
    const auto solve = [&] {
      const Eigen::MatrixXd wa = weights.asDiagonal() * a;
      cubic = (a.transpose() * wa).ldlt().solve(wa.transpose() * y);
      off = (y - a * cubic).cwiseAbs();
      out_.scatter_mm = 1.4826 * Median(std::vector<double>(off.data(), off.data() + n));
    };
    constexpr int kPasses = 30;
    for (int pass = 0; pass < kPasses; ++pass) {
      solve();
      weights = off.cwiseMax(0.03).cwiseInverse();
    }
    constexpr double kCut = 4.0, kLeastCutMm = 0.1;
    const double cut = std::max(kLeastCutMm, kCut * out_.scatter_mm);
    for (Eigen::Index i = 0; i < n; ++i) weights(i) = off(i) < cut ? 1.0 : 0.0;
    solve();
    out_.difference_mm = (terms(length_) - terms(0.0)).dot(cubic);
    Cover(weights);
  }

  void Cover(const Eigen::VectorXd& weights) {
    double last = 0.0, gap = 0.0;
    std::size_t used = 0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (weights(static_cast<Eigen::Index>(i)) <= 0.0) continue;
      gap = std::max(gap, places_[i].x() - last);
      last = places_[i].x();
      ++used;
    }
    out_.gap_share = std::max(gap, length_ - last) / length_;
    constexpr double kLongestGap = 0.25, kRoughestMm = 0.15;
    out_.found =
        used >= kLeastPlaces && out_.gap_share < kLongestGap && out_.scatter_mm < kRoughestMm;
  }

  const UpperView& view_;
  const MatLayout& mat_;
  const SheetPattern& pattern_;
  double length_;
  int columns_ = 0, rows_ = 0;
  Eigen::MatrixXd sums_;
  std::vector<int> path_;
  std::vector<Eigen::Vector2d> places_;
  UpperSeen out_;
};

}  // namespace

UpperSeen FindUpperEdge(const UpperView& view, const MatLayout& mat, const SheetPattern& pattern) {
  return UpperEdge(view, mat, pattern).Run();
}

}  // namespace lieflat::internal
