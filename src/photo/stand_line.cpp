#include "photo/stand_line.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kWidthMm = 0.15;  // as printed
constexpr double kReachMm = 1.2, kPaperMm = 0.7, kClearMm = 1.6;
constexpr int kClearColumns = 10, kLeastColumns = 10;

double HalfWidthRows() { return 0.5 * kWidthMm / EdgeBand::kAcrossMm; }

/// The line's profile over a group of columns: area (rows), centroid (row), peak, mean column.
struct Profile {
  double area = 0.0, centroid = 0.0, peak = 0.0, column = 0.0, weight = 0.0;
};

std::optional<Profile> ProfileOf(const EdgeBand& band,
                                 const std::vector<int>& columns,
                                 double row) {
  if (columns.size() < kLeastColumns) return std::nullopt;
  const int middle = static_cast<int>(std::lround(row));
  const int reach = EdgeBand::Rows(kReachMm), paper = EdgeBand::Rows(kPaperMm);
  if (middle - reach < 0 || middle + reach >= band.rows()) return std::nullopt;
  Profile profile;
  profile.weight = static_cast<double>(columns.size());
  for (const int column : columns) profile.column += column / profile.weight;
  double moment = 0.0;
  for (int j = -paper; j <= paper; ++j) {
    std::vector<double> taken;
    for (const int column : columns) {
      const double before = band.Mean(column, middle - reach, middle - paper);
      const double behind = band.Mean(column, middle + paper, middle + reach);
      const double share = 0.5 + 0.5 * j / (0.5 * (reach + paper));
      const double clear = (1.0 - share) * before + share * behind;
      if (clear > 0.0) taken.push_back(1.0 - band.At(middle + j, column) / clear);
    }
    if (taken.empty()) return std::nullopt;
    const double at = Median(taken);
    profile.area += at;
    moment += at * (middle + j);
    profile.peak = std::max(profile.peak, at);
  }
  constexpr double kLeastPeak = 0.03, kLeastAreaMm = 0.01, kMostAreaMm = 0.15;
  const double area_mm = profile.area * EdgeBand::kAcrossMm;
  if (profile.peak < kLeastPeak || area_mm < kLeastAreaMm || area_mm > kMostAreaMm)
    return std::nullopt;
  profile.centroid = moment / profile.area;
  return profile;
}

double Normal(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

}  // namespace

std::optional<StandLine> StandLine::Find(const EdgeBand& band,
                                         const std::vector<int>& path,
                                         std::pair<int, int> extent,
                                         double line_y) {
  const double row = band.RowOf(line_y);
  std::vector<int> left, inside, right;
  for (int i = kClearColumns; i < band.columns() - kClearColumns; ++i) {
    if (i < extent.first - kClearColumns) {
      left.push_back(i);
    } else if (i > extent.second + kClearColumns) {
      right.push_back(i);
    } else if (i > extent.first && i < extent.second &&
               path[static_cast<std::size_t>(i)] - row > EdgeBand::Rows(kClearMm)) {
      inside.push_back(i);
    }
  }
  std::vector<Profile> seen;
  for (const auto* group : {&left, &inside, &right}) {
    if (auto profile = ProfileOf(band, *group, row)) seen.push_back(*profile);
  }
  if (seen.empty()) return std::nullopt;
  // A straight line through the places seen, weighted by their columns.
  double n = 0.0, column = 0.0, centroid = 0.0, area = 0.0, peak = 0.0;
  for (const Profile& p : seen) n += p.weight;
  for (const Profile& p : seen) {
    column += p.weight / n * p.column;
    centroid += p.weight / n * p.centroid;
    area += p.weight / n * p.area;
    peak += p.weight / n * p.peak;
  }
  double along = 0.0, across = 0.0;
  for (const Profile& p : seen) {
    along += p.weight * (p.column - column) * (p.column - column);
    across += p.weight * (p.column - column) * (p.centroid - centroid);
  }
  StandLine line;
  constexpr double kApart = 100.0;  // columns: what lies closer together tells no direction
  line.slope_ = along > n * kApart * kApart * 0.25 ? across / along : 0.0;
  line.row_ = centroid - line.slope_ * column;
  line.depth_ = area / (2.0 * HalfWidthRows());
  const double whole = area / (std::sqrt(2.0 * std::numbers::pi) * peak);
  const double own = HalfWidthRows() * HalfWidthRows() / 3.0;
  line.sigma_ = std::sqrt(std::max(0.5, whole * whole - own));
  return line;
}

double StandLine::Taken(double row, double column, double crossing) const {
  // Where a blurred step has fallen by 40 % it lies ahead of its middle: the normal quantile of
  // 0.4.
  constexpr double kAhead = 0.2533;
  const double edge = crossing + kAhead * sigma_;
  const double middle = row_ + slope_ * column;
  const double from = middle - HalfWidthRows();
  const double to = std::min(middle + HalfWidthRows(), edge);
  if (to <= from) return 0.0;
  return depth_ * (Normal((to - row) / sigma_) - Normal((from - row) / sigma_));
}

}  // namespace lieflat::internal
