#include "photo/contact_edge.h"

#include <algorithm>
#include <cmath>

namespace lieflat::internal {
namespace {

constexpr double kAlongMm = 0.5, kAcrossMm = 0.04;
constexpr double kSmoothAlong = 2.0;  // columns, standard deviation: 1 mm
constexpr double kJumpPerMm = 4.0;    // price of a jump against the drop that it gains

int Rows(double mm) { return static_cast<int>(std::lround(mm / kAcrossMm)); }

/// The band, column by column, lower row first.
class Band {
 public:
  Band(const SheetLight& light, const BandWindow& window) : window_(window) {
    columns_ = static_cast<int>((window.to_x - window.from_x) / kAlongMm) + 1;
    rows_ = Rows(window.to_y - window.from_y) + 1;
    light_.resize(rows_, columns_);
    for (int i = 0; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) light_(j, i) = light(X(i), Y(j)).value_or(0.0);
    }
    SmoothAlong();
    sums_ = Eigen::MatrixXd::Zero(rows_ + 1, columns_);
    for (int j = 0; j < rows_; ++j) sums_.row(j + 1) = sums_.row(j) + light_.row(j);
  }
  [[nodiscard]] int columns() const { return columns_; }
  [[nodiscard]] int rows() const { return rows_; }
  [[nodiscard]] double X(double column) const { return window_.from_x + column * kAlongMm; }
  [[nodiscard]] double Y(double row) const { return window_.from_y + row * kAcrossMm; }
  [[nodiscard]] double At(int row, int column) const { return light_(row, column); }
  /// Over the rows from .. to - 1, as far as they exist.
  [[nodiscard]] double Mean(int column, int from, int to) const {
    from = std::clamp(from, 0, rows_ - 1);
    to = std::clamp(to, from + 1, rows_);
    return (sums_(to, column) - sums_(from, column)) / (to - from);
  }

 private:
  void SmoothAlong() {
    const int reach = static_cast<int>(3.0 * kSmoothAlong);
    Eigen::VectorXd kernel(2 * reach + 1);
    for (int k = -reach; k <= reach; ++k)
      kernel(k + reach) = std::exp(-0.5 * k * k / (kSmoothAlong * kSmoothAlong));
    kernel /= kernel.sum();
    Eigen::MatrixXd smooth = Eigen::MatrixXd::Zero(rows_, columns_);
    for (int i = 0; i < columns_; ++i) {
      for (int k = -reach; k <= reach; ++k) {
        smooth.col(i) += kernel(k + reach) * light_.col(std::clamp(i + k, 0, columns_ - 1));
      }
    }
    light_ = std::move(smooth);
  }

  BandWindow window_;
  int columns_ = 0, rows_ = 0;
  Eigen::MatrixXd light_, sums_;
};

constexpr double kDark = 2e-3;

/// Share of the light that is lost from just before a row to just behind it, as a logarithm.
double Drop(const Band& band, int column, int row) {
  const double before = band.Mean(column, row - Rows(0.7), row - Rows(0.1));
  const double behind = band.Mean(column, row + Rows(0.1), row + Rows(0.5));
  return std::log(std::max(kDark, before) / std::max(kDark, behind));
}

/// Drop, less what speaks against the contact edge: darkness nearer the phone, where only paper is.
Eigen::MatrixXd Scores(const Band& band) {
  Eigen::MatrixXd scores(band.rows(), band.columns());
  for (int i = 0; i < band.columns(); ++i) {
    const double paper = band.Mean(i, 0, Rows(6.0));
    double darkest = paper;
    for (int j = 0; j < band.rows(); ++j) {
      if (const int before = j - Rows(0.8); before >= Rows(0.5)) {
        darkest = std::min(darkest, band.Mean(i, before - Rows(0.2), before + Rows(0.2)));
      }
      constexpr double kBeyond = 0.35, kPrice = 1.5;
      const double beyond = darkest < kBeyond * paper ? kPrice : 0.0;
      scores(j, i) = std::min(3.0, Drop(band, i, j)) - beyond;
      if (j < Rows(0.7) || j >= band.rows() - Rows(0.5)) scores(j, i) = -kPrice;
    }
  }
  return scores;
}

/// The row of each column on the best path: sum of scores less the price of jumps.
std::vector<int> BestPath(const Eigen::MatrixXd& scores) {
  const auto rows = static_cast<int>(scores.rows()), columns = static_cast<int>(scores.cols());
  constexpr double kPrice = kJumpPerMm * kAcrossMm;
  Eigen::MatrixXi from(rows, columns);
  Eigen::VectorXd best = scores.col(0);
  for (int i = 1; i < columns; ++i) {
    Eigen::VectorXi source(rows);
    for (int j = 0; j < rows; ++j) source(j) = j;
    for (int j = 1; j < rows; ++j) {
      if (best(j - 1) - kPrice > best(j)) {
        best(j) = best(j - 1) - kPrice;
        source(j) = source(j - 1);
      }
    }
    for (int j = rows - 2; j >= 0; --j) {
      if (best(j + 1) - kPrice > best(j)) {
        best(j) = best(j + 1) - kPrice;
        source(j) = source(j + 1);
      }
    }
    from.col(i) = source;
    best += scores.col(i);
  }
  std::vector<int> path(static_cast<std::size_t>(columns));
  int row = 0;
  best.maxCoeff(&row);
  for (int i = columns - 1; i >= 0; --i) {
    path[static_cast<std::size_t>(i)] = row;
    if (i > 0) row = from(row, i);
  }
  return path;
}

/// Row at which the light has fallen by 40 % from the paper before to the darkest just behind.
std::optional<double> Crossing(const Band& band, int column, int row) {
  std::vector<double> paper;
  for (int j = std::max(0, row - Rows(1.6)); j < row - Rows(0.5); ++j)
    paper.push_back(band.At(j, column));
  if (paper.empty()) return std::nullopt;
  const auto middle = paper.begin() + static_cast<std::ptrdiff_t>(paper.size() / 2);
  std::nth_element(paper.begin(), middle, paper.end());
  double dark = *middle;
  for (int j = row; j < std::min(band.rows(), row + Rows(0.8)); ++j)
    dark = std::min(dark, band.At(j, column));
  const double level = *middle - 0.4 * (*middle - dark);
  for (int j = std::max(1, row - Rows(0.5)); j < std::min(band.rows(), row + Rows(0.6)); ++j) {
    const double above = band.At(j - 1, column), below = band.At(j, column);
    if (above >= level && below < level) return j - 1 + (above - level) / (above - below);
  }
  return std::nullopt;
}

/// Column, as a fraction, at which the share of light lost passes half of what it is inside.
double EndColumn(const Band& band, const std::vector<int>& path, int inside, int step) {
  const auto lost = [&](int column) {
    const int row = path[static_cast<std::size_t>(inside)];  // outside, the path follows nothing
    return 1.0 - std::exp(-std::max(0.0, Drop(band, column, row)));
  };
  double full = 0.0;
  constexpr int kOver = 12;
  for (int k = 4; k < kOver; ++k)
    full += lost(std::clamp(inside - step * k, 0, band.columns() - 1));
  const double half = 0.5 * full / (kOver - 4);
  int column = inside - step * 4;
  while (column + step >= 0 && column + step < band.columns() && lost(column + step) >= half)
    column += step;
  const int next = column + step;
  if (next < 0 || next >= band.columns()) return column;
  const double a = lost(column), b = lost(next);
  return column + step * (a > b ? std::clamp((a - half) / (a - b), 0.0, 1.0) : 0.0);
}

/// First and last column of the longest part of the path that is edge, gaps of up to 25 mm allowed.
std::optional<std::pair<int, int>> Extent(const std::vector<bool>& found) {
  constexpr int kGap = 50, kLeast = 40;
  const auto n = static_cast<int>(found.size());
  std::pair<int, int> best{0, -1}, run{-1, -1};
  for (int i = 0; i < n; ++i) {
    if (!found[static_cast<std::size_t>(i)]) continue;
    if (run.first < 0 || i - run.second > kGap) run = {i, i};
    run.second = i;
    if (run.second - run.first > best.second - best.first) best = run;
  }
  if (best.second - best.first < kLeast) return std::nullopt;
  return best;
}

}  // namespace

std::optional<ContactEdge> FindContactEdge(const SheetLight& light,
                                           const BandWindow& window,
                                           double least_strength) {
  const Band band(light, window);
  const Eigen::MatrixXd scores = Scores(band);
  const std::vector<int> path = BestPath(scores);
  std::vector<bool> found(path.size());
  for (std::size_t i = 0; i < path.size(); ++i)
    found[i] = scores(path[i], static_cast<Eigen::Index>(i)) > least_strength;
  const auto extent = Extent(found);
  if (!extent) return std::nullopt;

  ContactEdge edge;
  std::vector<double> strengths;
  for (int i = extent->first; i <= extent->second; ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (!found[at]) continue;
    strengths.push_back(Drop(band, i, path[at]));
    if (const auto row = Crossing(band, i, path[at]))
      edge.places_mm.emplace_back(band.X(i), band.Y(*row));
  }
  if (edge.places_mm.size() < 40) return std::nullopt;
  const auto middle = strengths.begin() + static_cast<std::ptrdiff_t>(strengths.size() / 2);
  std::nth_element(strengths.begin(), middle, strengths.end());
  edge.strength = *middle;
  const double first = EndColumn(band, path, extent->first, -1);
  const double last = EndColumn(band, path, extent->second, 1);
  constexpr double kAtEnd = 4.0;
  edge.cut_off = first < kAtEnd || last > band.columns() - 1 - kAtEnd;
  edge.first_mm = {band.X(first), edge.places_mm.front().y()};
  edge.last_mm = {band.X(last), edge.places_mm.back().y()};
  return edge;
}

}  // namespace lieflat::internal
