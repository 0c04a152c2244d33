#include "report/contours.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>

#include "lieflat/base/check.h"

namespace lieflat::report {
namespace {

/// A side of a grid cell, known by its lower left grid point and its direction.
struct Side {
  Eigen::Index row, column;
  bool along_x;
  auto operator<=>(const Side&) const = default;
};

/// Which sides of which cells a line joins. Every side has at most two neighbours: one in each cell
/// that it bounds.
using Joins = std::map<Side, std::vector<Side>>;

class Tracer {
 public:
  Tracer(const HeightGrid& grid, double level) : grid_(grid), level_(level) {}

  std::vector<ContourLine> Run() {
    for (Eigen::Index row = 0; row + 1 < grid_.z_mm.rows(); ++row) {
      for (Eigen::Index column = 0; column + 1 < grid_.z_mm.cols(); ++column) JoinCell(row, column);
    }
    std::vector<ContourLine> lines;
    // Open lines first: they begin where a side has one neighbour only.
    for (const auto& [side, neighbours] : Joins(joins_)) {
      if (neighbours.size() == 1 && joins_.at(side).size() == 1) lines.push_back(Follow(side));
    }
    while (true) {
      const auto left = std::find_if(
          joins_.begin(), joins_.end(), [](const auto& join) { return !join.second.empty(); });
      if (left == joins_.end()) break;
      lines.push_back(Follow(left->first));
    }
    return lines;
  }

 private:
  [[nodiscard]] bool Above(Eigen::Index row, Eigen::Index column) const {
    return grid_.z_mm(row, column) >= level_;
  }

  void Join(const Side& a, const Side& b) {
    joins_[a].push_back(b);
    joins_[b].push_back(a);
  }

  void JoinCell(Eigen::Index row, Eigen::Index column) {
    const std::array<Side, 4> sides = {Side{row, column, true},
                                       Side{row, column + 1, false},
                                       Side{row + 1, column, true},
                                       Side{row, column, false}};
    const std::array<bool, 4> above = {Above(row, column),
                                       Above(row, column + 1),
                                       Above(row + 1, column + 1),
                                       Above(row + 1, column)};
    std::vector<std::size_t> crossed;
    for (std::size_t i = 0; i < 4; ++i) {
      if (above[i] != above[(i + 1) % 4]) crossed.push_back(i);
    }
    if (crossed.size() == 2) Join(sides[crossed[0]], sides[crossed[1]]);
    if (crossed.size() != 4) return;
    const double mean = 0.25 * grid_.z_mm.block<2, 2>(row, column).sum();
    // The pair of opposite corners that agrees with the middle is joined; the line cuts off the
    // other two.
    const bool cut_first = above[0] != (mean >= level_);
    Join(sides[cut_first ? 3 : 0], sides[cut_first ? 0 : 1]);
    Join(sides[cut_first ? 1 : 2], sides[cut_first ? 2 : 3]);
  }

  [[nodiscard]] Eigen::Vector2d Crossing(const Side& side) const {
    const Eigen::Index row = side.row + (side.along_x ? 0 : 1);
    const Eigen::Index column = side.column + (side.along_x ? 1 : 0);
    const double from = grid_.z_mm(side.row, side.column);
    const double to = grid_.z_mm(row, column);
    const double part = std::clamp((level_ - from) / (to - from), 0.0, 1.0);
    return (1.0 - part) * grid_.Place(side.row, side.column) + part * grid_.Place(row, column);
  }

  /// Takes the joins of one line out as it goes along it.
  ContourLine Follow(Side side) {
    ContourLine line{level_, false, {}};
    const Side first = side;
    line.points_mm.push_back(Crossing(side));
    while (!joins_.at(side).empty()) {
      const Side next = joins_.at(side).back();
      joins_.at(side).pop_back();
      auto& back = joins_.at(next);
      back.erase(std::find(back.begin(), back.end(), side));
      side = next;
      if (side == first) {
        line.closed = true;
        break;
      }
      line.points_mm.push_back(Crossing(side));
    }
    return line;
  }

  const HeightGrid& grid_;
  double level_;
  Joins joins_;
};

}  // namespace

Eigen::Vector2d HeightGrid::Place(Eigen::Index row, Eigen::Index column) const {
  return origin_mm + Eigen::Vector2d(static_cast<double>(column) * step_mm.x(),
                                     static_cast<double>(row) * step_mm.y());
}

double HeightGrid::At(const Eigen::Vector2d& at_mm) const {
  const Eigen::Vector2d cell = (at_mm - origin_mm).cwiseQuotient(step_mm);
  const double x = std::clamp(cell.x(), 0.0, static_cast<double>(z_mm.cols() - 1));
  const double y = std::clamp(cell.y(), 0.0, static_cast<double>(z_mm.rows() - 1));
  const auto column = std::min(static_cast<Eigen::Index>(x), z_mm.cols() - 2);
  const auto row = std::min(static_cast<Eigen::Index>(y), z_mm.rows() - 2);
  const double s = x - static_cast<double>(column);
  const double t = y - static_cast<double>(row);
  return (1.0 - t) * ((1.0 - s) * z_mm(row, column) + s * z_mm(row, column + 1)) +
         t * ((1.0 - s) * z_mm(row + 1, column) + s * z_mm(row + 1, column + 1));
}

double ContourLine::Length() const {
  double length = 0.0;
  for (std::size_t i = 1; i < points_mm.size(); ++i)
    length += (points_mm[i] - points_mm[i - 1]).norm();
  if (closed && !points_mm.empty()) length += (points_mm.front() - points_mm.back()).norm();
  return length;
}

std::vector<ContourLine> Contours(const HeightGrid& grid, double level_mm) {
  LIEFLAT_CHECK(grid.z_mm.rows() >= 2 && grid.z_mm.cols() >= 2,
                "a grid of heights needs 2 x 2 points");
  return Tracer(grid, level_mm).Run();
}

double ContourInterval(double lowest_mm, double highest_mm) {
  constexpr double kMostLines = 9.0;
  for (const double interval : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0}) {
    if (std::floor(highest_mm / interval) - std::ceil(lowest_mm / interval) + 1.0 <= kMostLines)
      return interval;
  }
  return 10.0;
}

}  // namespace lieflat::report
