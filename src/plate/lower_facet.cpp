#include "plate/lower_facet.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/LU>

namespace lieflat {
namespace {

using Triangle = std::array<int, 3>;

/// Weights of the corners of a triangle at a point; negative outside.
std::optional<Eigen::Vector3d> Barycentric(const std::array<Eigen::Vector2d, 3>& corner,
                                           const Eigen::Vector2d& at) {
  Eigen::Matrix3d m;
  for (int k = 0; k < 3; ++k) m.col(k) << corner[static_cast<std::size_t>(k)], 1.0;
  const double size = std::max((corner[1] - corner[0]).norm(), (corner[2] - corner[0]).norm());
  if (std::abs(m.determinant()) < 1e-9 * size * size) return std::nullopt;
  return m.inverse() * Eigen::Vector3d(at.x(), at.y(), 1.0);
}

class Finder {
 public:
  Finder(const std::vector<Eigen::Vector2d>& at,
         const std::vector<double>& heights,
         const Eigen::Vector2d& centre)
      : at_(at), heights_(heights), centre_(centre), n_(static_cast<int>(at.size())) {}

  std::optional<Triangle> Find() const {
    if (n_ < 3) return std::nullopt;
    const auto first = RoundTheCentre();
    if (!first) return std::nullopt;
    return Lowered(*first);
  }

 private:
  [[nodiscard]] const Eigen::Vector2d& At(int k) const { return at_[static_cast<std::size_t>(k)]; }

  [[nodiscard]] bool Holds(const Triangle& t) const {
    const auto weights = Barycentric({At(t[0]), At(t[1]), At(t[2])}, centre_);
    constexpr double kInside = -1e-9;
    return weights && weights->minCoeff() >= kInside;
  }

  /// A point, and the two that flank the opposite direction most widely.
  [[nodiscard]] std::optional<Triangle> RoundTheCentre() const {
    std::vector<std::pair<double, int>> by_angle;
    for (int k = 0; k < n_; ++k) {
      const Eigen::Vector2d arm = At(k) - centre_;
      by_angle.emplace_back(std::atan2(arm.y(), arm.x()), k);
    }
    std::sort(by_angle.begin(), by_angle.end());
    const auto point = [&](int place) { return by_angle[static_cast<std::size_t>(place)].second; };
    for (int a = 0; a < n_; a += std::max(1, n_ / 64)) {
      const auto [b, c] = Flanks(by_angle, by_angle[static_cast<std::size_t>(a)].first);
      if (b < 0) continue;
      for (const int third : {c, 0, n_ / 3, n_ / 2, 2 * n_ / 3, n_ - 1}) {
        if (third < 0 || third == b || third == a) continue;
        const Triangle t = {point(a), point(b), point(third)};
        if (Holds(t)) return t;
      }
    }
    return std::nullopt;
  }

  /// By angle from a direction: the last place within half a turn, and the first one beyond it; -1
  /// where there is none.
  [[nodiscard]] std::pair<int, int> Flanks(const std::vector<std::pair<double, int>>& by_angle,
                                           double from) const {
    int within = -1, beyond = -1;
    double widest = -1.0, narrowest = 1e9;
    for (int k = 0; k < n_; ++k) {
      double turn = by_angle[static_cast<std::size_t>(k)].first - from;
      if (turn < 0.0) turn += 2.0 * std::numbers::pi;
      if (turn > 0.0 && turn <= std::numbers::pi && turn > widest) {
        widest = turn;
        within = k;
      }
      if (turn > std::numbers::pi && turn < narrowest) {
        narrowest = turn;
        beyond = k;
      }
    }
    return {within, beyond};
  }

  /// While a point lies under the triangle's plane, that point is taken in for the corner that
  /// keeps the centre inside.
  [[nodiscard]] Triangle Lowered(Triangle triangle) const {
    for (int pass = 0; pass < 10 * n_; ++pass) {
      const int deepest = DeepestUnder(triangle);
      if (deepest < 0) return triangle;
      bool changed = false;
      for (std::size_t k = 0; k < 3 && !changed; ++k) {
        Triangle t = triangle;
        t[k] = deepest;
        if (!Holds(t)) continue;
        triangle = t;
        changed = true;
      }
      if (!changed) return triangle;
    }
    return triangle;
  }

  [[nodiscard]] int DeepestUnder(const Triangle& triangle) const {
    Eigen::Matrix3d m;
    Eigen::Vector3d z;
    for (int k = 0; k < 3; ++k) {
      const int p = triangle[static_cast<std::size_t>(k)];
      m.row(k) << At(p).transpose(), 1.0;
      z(k) = heights_[static_cast<std::size_t>(p)];
    }
    const Eigen::Vector3d plane = m.fullPivLu().solve(z);
    int deepest = -1;
    double depth = 1e-12 * (1.0 + z.cwiseAbs().maxCoeff());
    for (int k = 0; k < n_; ++k) {
      const double under = plane.x() * At(k).x() + plane.y() * At(k).y() + plane.z() -
                           heights_[static_cast<std::size_t>(k)];
      if (under <= depth) continue;
      depth = under;
      deepest = k;
    }
    return deepest;
  }

  const std::vector<Eigen::Vector2d>& at_;
  const std::vector<double>& heights_;
  const Eigen::Vector2d& centre_;
  int n_;
};

}  // namespace

std::optional<std::array<int, 3>> LowerFacet(const std::vector<Eigen::Vector2d>& at,
                                             const std::vector<double>& heights,
                                             const Eigen::Vector2d& centre) {
  return Finder(at, heights, centre).Find();
}

}  // namespace lieflat
