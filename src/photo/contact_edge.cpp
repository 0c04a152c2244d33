#include "photo/contact_edge.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "photo/order_statistics.h"
#include "photo/stand_line.h"

namespace lieflat::internal {
namespace {

constexpr double kJumpPerMm = 4.0;  // price of a jump against the drop that it gains

int Rows(double mm) { return EdgeBand::Rows(mm); }

constexpr double kDark = 2e-3;

/// Share of the light that is lost from just before a row to just behind it, as a logarithm.
double Drop(const EdgeBand& band, int column, int row) {
  const double before = band.Mean(column, row - Rows(0.7), row - Rows(0.1));
  const double behind = band.Mean(column, row + Rows(0.1), row + Rows(0.5));
  return std::log(std::max(kDark, before) / std::max(kDark, behind));
}

/// Drop, less what speaks against the contact edge: darkness nearer the phone, where only paper is.
Eigen::MatrixXd Scores(const EdgeBand& band) {
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
  constexpr double kPrice = kJumpPerMm * EdgeBand::kAcrossMm;
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

/// Row at which the light has fallen by 40 % from the paper before to the darkest just behind. What
/// the grey line takes of the paper's light before the edge is given back: from the whole line on,
/// the edge found says how much of it shows.
std::optional<double> Crossing(const EdgeBand& band,
                               int column,
                               int row,
                               const std::optional<StandLine>& line) {
  std::vector<double> paper;
  for (int j = std::max(0, row - Rows(1.6)); j < row - Rows(0.5); ++j)
    paper.push_back(band.At(j, column));
  if (paper.empty()) return std::nullopt;
  const double white = Median(paper);
  double dark = white;
  for (int j = row; j < std::min(band.rows(), row + Rows(0.8)); ++j)
    dark = std::min(dark, band.At(j, column));
  const double level = white - 0.4 * (white - dark);
  const auto find = [&](double edge) -> std::optional<double> {
    const auto at = [&](int j) {
      return band.At(j, column) + (line ? white * line->Taken(j, column, edge) : 0.0);
    };
    for (int j = std::max(1, row - Rows(0.5)); j < std::min(band.rows(), row + Rows(0.6)); ++j) {
      const double above = at(j - 1), below = at(j);
      if (above >= level && below < level) return j - 1 + (above - level) / (above - below);
    }
    return std::nullopt;
  };
  auto found = find(row + Rows(0.6));
  for (int pass = 0; line && found && pass < 8; ++pass) found = find(*found);
  return found;
}

/// The path's row near an end, from a line through its rows further inside: at the end itself it
/// may already follow something else.
class RowAtEnd {
 public:
  RowAtEnd(const std::vector<int>& path, int inside, int step) {
    constexpr int kFrom = 6, kTo = 40;
    std::vector<double> at, rows;
    for (int k = kFrom; k < kTo; ++k) {
      const int column = inside - step * k;
      if (column < 0 || column >= static_cast<int>(path.size())) break;
      at.push_back(column);
      rows.push_back(path[static_cast<std::size_t>(column)]);
    }
    if (at.empty()) {
      row_ = path[static_cast<std::size_t>(inside)];
      return;
    }
    // The slope by the median of pairs half the stretch apart, the height by the median.
    const std::size_t half = at.size() / 2;
    std::vector<double> slopes;
    for (std::size_t i = 0; i + half < at.size() && half > 0; ++i)
      slopes.push_back((rows[i + half] - rows[i]) / (at[i + half] - at[i]));
    slope_ = slopes.empty() ? 0.0 : Median(slopes);
    std::vector<double> heights;
    for (std::size_t i = 0; i < at.size(); ++i) heights.push_back(rows[i] - slope_ * at[i]);
    row_ = Median(heights);
  }
  [[nodiscard]] int At(int column) const {
    return static_cast<int>(std::lround(row_ + slope_ * column));
  }

 private:
  double row_ = 0.0, slope_ = 0.0;
};

/// Column, as a fraction, at which the share of light lost passes half of what it is inside.
double EndColumn(const EdgeBand& band, const std::vector<int>& path, int inside, int step) {
  const RowAtEnd row(path, inside, step);
  const auto lost = [&](int column) {
    return 1.0 - std::exp(-std::max(0.0, Drop(band, column, row.At(column))));
  };
  double full = 0.0;
  constexpr int kOver = 12;
  for (int k = 4; k < kOver; ++k)
    full += lost(std::clamp(inside - step * k, 0, band.columns() - 1));
  const double half = 0.5 * full / (kOver - 4);
  int column = inside - step * 4;
  // What was taken for the edge's last columns may be something else.
  while (column - step >= 0 && column - step < band.columns() && lost(column) < half &&
         std::abs(column - inside) < 4 * kOver)
    column -= step;
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

/// How far the path climbs away from the phone from column to column, mm a mm, over 2 mm to each
/// side of a column: the lesser of both, so that a jump is no climb; `step` is outwards.
double Climb(const std::vector<int>& path, int column, int step) {
  constexpr int kReach = 4;
  const int last = static_cast<int>(path.size()) - 1;
  const auto row = [&](int at) { return path[static_cast<std::size_t>(std::clamp(at, 0, last))]; };
  constexpr double kPerColumn = EdgeBand::kAcrossMm / (kReach * EdgeBand::kAlongMm);
  return kPerColumn * std::min(row(column) - row(column - step * kReach),
                               row(column + step * kReach) - row(column));
}

/// Rows of a parabola through the found columns of an extent, by sums of magnitudes: what a
/// connector or the board's upright side draws the path to does not draw it.
Eigen::VectorXd Course(const std::vector<int>& path,
                       const std::vector<bool>& found,
                       std::pair<int, int> extent) {
  const auto n = static_cast<Eigen::Index>(path.size());
  const double middle = 0.5 * (extent.first + extent.second),
               half = 0.5 * (extent.second - extent.first);
  Eigen::MatrixX3d a(n, 3);
  Eigen::VectorXd row(n), within(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double t = (static_cast<double>(i) - middle) / half;
    a.row(i) << 1.0, t, t * t;
    row(i) = path[static_cast<std::size_t>(i)];
    within(i) = std::abs(t) <= 1.0 && found[static_cast<std::size_t>(i)] ? 1.0 : 0.0;
  }
  Eigen::VectorXd weights = within, course(n);
  for (int pass = 0; pass < 30; ++pass) {
    const Eigen::MatrixXd wa = weights.asDiagonal() * a;
    course = a * (a.transpose() * wa).ldlt().solve(wa.transpose() * row);
    weights = within.cwiseQuotient((row - course).cwiseAbs().cwiseMax(1.0));
  }
  return course;
}

/// The end without the board's upright side. Seen from the other side, that runs away from the
/// phone over the blank band, at a slope of a half or so, and the path may follow it; a lower edge
/// turned by 5 degrees on the sheet and bowed by 2 % climbs by 0.17.
int WithoutSide(const std::vector<int>& path,
                const Eigen::VectorXd& course,
                std::pair<int, int> extent,
                int step) {
  constexpr double kSteepest = 0.25, kBehindMm = 2.0;
  constexpr int kLeastClimb = 6;  // columns
  int end = step > 0 ? extent.second : extent.first;
  const int middle = (extent.first + extent.second) / 2;
  int climbing = 0;
  for (int i = end; i != middle; i -= step) {
    if (Climb(path, i, step) > kSteepest) {
      ++climbing;
      continue;
    }
    const double behind = EdgeBand::kAcrossMm * (path[static_cast<std::size_t>(end)] - course(end));
    if (climbing >= kLeastClimb && behind > kBehindMm) end = i;
    climbing = 0;
  }
  return end;
}

}  // namespace

std::optional<ContactEdge> FindContactEdge(const SheetLight& light,
                                           const BandWindow& window,
                                           double line_y,
                                           double least_strength) {
  const EdgeBand band(light, window);
  const Eigen::MatrixXd scores = Scores(band);
  const std::vector<int> path = BestPath(scores);
  std::vector<bool> found(path.size());
  for (std::size_t i = 0; i < path.size(); ++i)
    found[i] = scores(path[i], static_cast<Eigen::Index>(i)) > least_strength;
  auto extent = Extent(found);
  if (!extent) return std::nullopt;
  const Eigen::VectorXd course = Course(path, found, *extent);
  *extent = {WithoutSide(path, course, *extent, -1), WithoutSide(path, course, *extent, 1)};

  const auto line = StandLine::Find(band, path, *extent, line_y);
  ContactEdge edge;
  std::vector<double> strengths;
  for (int i = extent->first; i <= extent->second; ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (!found[at]) continue;
    strengths.push_back(Drop(band, i, path[at]));
    if (const auto row = Crossing(band, i, path[at], line))
      edge.places_mm.emplace_back(band.X(i), band.Y(*row));
  }
  if (edge.places_mm.size() < 40) return std::nullopt;
  edge.strength = Median(strengths);
  const double first = EndColumn(band, path, extent->first, -1);
  const double last = EndColumn(band, path, extent->second, 1);
  constexpr double kAtEnd = 4.0;
  edge.cut_off = first < kAtEnd || last > band.columns() - 1 - kAtEnd;
  edge.first_mm = {band.X(first), edge.places_mm.front().y()};
  edge.last_mm = {band.X(last), edge.places_mm.back().y()};
  return edge;
}

}  // namespace lieflat::internal
