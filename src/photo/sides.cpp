#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "photo/markers.h"
#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kStepPx = 0.5;

struct Rise {
  double at = 0.0;     ///< along the profile, px from its middle
  double width = 0.0;  ///< 10..90 %, px
};

/// Where the light rises along a profile: centroid of its rise per step, the small ones left out.
std::optional<Rise> FindRise(const std::vector<double>& profile) {
  const auto n = profile.size();
  double largest = 0.0;
  std::vector<double> slope(n, 0.0);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    slope[i] = profile[i + 1] - profile[i - 1];
    largest = std::max(largest, slope[i]);
  }
  const double floor = 0.12 * largest;
  double weight = 0.0, moment = 0.0, second = 0.0;
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double w = std::max(0.0, slope[i] - floor);
    const double at = kStepPx * (static_cast<double>(i) - 0.5 * static_cast<double>(n - 1));
    weight += w;
    moment += w * at;
    second += w * at * at;
  }
  if (!(weight > 0.0) || largest < 0.01) return std::nullopt;
  const double mean = moment / weight;
  // A Gaussian edge of standard deviation s rises from 10 to 90 % within 2.563 s.
  const double sd = std::sqrt(std::max(0.0, second / weight - mean * mean));
  return Rise{mean, 2.563 * sd};
}

struct SideLine {
  Eigen::Vector2d point, along;
};

/// A line through points that lie about it, the far ones weighted down (Huber).
std::optional<SideLine> RobustLine(const std::vector<Eigen::Vector2d>& points) {
  if (points.size() < 5) return std::nullopt;
  std::vector<double> weights(points.size(), 1.0);
  SideLine line;
  for (int pass = 0; pass < 5; ++pass) {
    double total = 0.0;
    line.point.setZero();
    for (std::size_t i = 0; i < points.size(); ++i) {
      total += weights[i];
      line.point += weights[i] * points[i];
    }
    line.point /= total;
    Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Eigen::Vector2d d = points[i] - line.point;
      spread += weights[i] * d * d.transpose();
    }
    line.along = Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread).eigenvectors().col(1);
    const Eigen::Vector2d across(-line.along.y(), line.along.x());
    std::vector<double> off(points.size());
    for (std::size_t i = 0; i < points.size(); ++i)
      off[i] = std::abs((points[i] - line.point).dot(across));
    const double scale = std::max(0.03, 1.4826 * Median(off));
    for (std::size_t i = 0; i < points.size(); ++i) {
      weights[i] = off[i] <= 1.5 * scale ? 1.0 : 1.5 * scale / off[i];
    }
  }
  return line;
}

std::optional<SideLine> RefineSide(const Light& light,
                                   const Eigen::Vector2d& from,
                                   const Eigen::Vector2d& to,
                                   double reach,
                                   double& width_sum,
                                   int& width_count) {
  const Eigen::Vector2d along = to - from;
  const double length = along.norm();
  const Eigen::Vector2d outwards = Eigen::Vector2d(along.y(), -along.x()) / length;  // y down
  const int half = std::max(3, static_cast<int>(reach / kStepPx));
  const int count = std::max(7, static_cast<int>(0.76 * length));
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i < count; ++i) {
    const double share = 0.12 + 0.76 * (i + 0.5) / count;
    const Eigen::Vector2d middle = from + share * along;
    if (!light.Inside(middle, reach + 2.0)) return std::nullopt;
    std::vector<double> profile;
    for (int j = -half; j <= half; ++j) profile.push_back(light(middle + j * kStepPx * outwards));
    if (const auto rise = FindRise(profile)) {
      points.push_back(middle + rise->at * outwards);
      width_sum += rise->width;
      ++width_count;
    }
  }
  return RobustLine(points);
}

}  // namespace

bool RefineSides(const Light& light, int cells, Quad& corners, SideWidths* widths) {
  // Of the sides that run one way and the other: what a moving hand smears differs.
  std::array<double, 2> width_sum{};
  std::array<int, 2> width_count{};
  for (int pass = 0; pass < 2; ++pass) {
    std::array<SideLine, 4> lines;
    width_sum.fill(0.0);
    width_count.fill(0);
    for (std::size_t i = 0; i < 4; ++i) {
      const Eigen::Vector2d &from = corners[i], &to = corners[(i + 1) % 4];
      // As far as the cell inside reaches, across this side.
      const Eigen::Vector2d& before = corners[(i + 3) % 4];
      const Eigen::Vector2d along = (to - from).normalized();
      const Eigen::Vector2d inwards = before - from;
      const double depth = std::abs(along.x() * inwards.y() - along.y() * inwards.x()) / cells;
      const double reach = std::clamp(0.8 * depth, 2.0, 8.0);
      const auto line = RefineSide(light, from, to, reach, width_sum[i % 2], width_count[i % 2]);
      if (!line) return false;
      lines[i] = *line;
    }
    Quad refined;
    for (std::size_t i = 0; i < 4; ++i) {
      const SideLine &a = lines[(i + 3) % 4], &b = lines[i];
      const double sine = a.along.x() * b.along.y() - a.along.y() * b.along.x();
      if (std::abs(sine) < 0.1) return false;
      const Eigen::Vector2d d = b.point - a.point;
      refined[i] = a.point + a.along * ((d.x() * b.along.y() - d.y() * b.along.x()) / sine);
      if ((refined[i] - corners[i]).norm() > 4.0 + 0.1 * (corners[1] - corners[0]).norm())
        return false;
    }
    corners = refined;
  }
  if (widths != nullptr) {
    widths->mean_px = (width_sum[0] + width_sum[1]) / std::max(1, width_count[0] + width_count[1]);
    for (std::size_t way = 0; way < 2; ++way)
      widths->wider_px = std::max(widths->wider_px, width_sum[way] / std::max(1, width_count[way]));
  }
  return true;
}

}  // namespace lieflat::internal
