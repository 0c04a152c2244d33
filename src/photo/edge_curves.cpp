#include "photo/edge_curves.h"

#include <algorithm>
#include <cmath>

#include "photo/smooth_curve.h"

namespace lieflat::internal {
namespace {

// The band is smoothed by 1 mm along the edge: so far a body's light reaches beside it.
constexpr double kBesideMm = 1.0;

bool AtBody(const std::vector<EdgeBody>& bodies, double along) {
  return std::any_of(bodies.begin(), bodies.end(), [&](const EdgeBody& body) {
    return along > body.from_mm - kBesideMm && along < body.to_mm + kBesideMm;
  });
}

}  // namespace

EdgeCurves FitEdgeCurves(const std::vector<std::vector<Eigen::Vector2d>>& photos,
                         const Chord& chord,
                         double clear_of_ends_mm,
                         const std::vector<EdgeBody>& bodies) {
  const double length = chord.length();
  const Eigen::Vector2d along = chord.along(), away = chord.away();
  const double n = static_cast<double>(photos.size());
  EdgeCurves out;
  out.first_mm = std::ceil(clear_of_ends_mm);
  const double last = std::floor(length - clear_of_ends_mm);
  out.covered.assign(static_cast<std::size_t>(std::max(1.0, last - out.first_mm)), false);
  for (const auto& found : photos) {
    std::vector<Eigen::Vector2d> places;
    for (const Eigen::Vector2d& at : found) {
      const Eigen::Vector2d own(along.dot(at - chord.start), away.dot(at - chord.start));
      if (own.x() > clear_of_ends_mm && own.x() < length - clear_of_ends_mm &&
          !AtBody(bodies, own.x()))
        places.push_back(own);
    }
    const SmoothCurve curve = FitSmoothCurve(places, length);
    if (out.each.empty()) {
      out.mean = Eigen::VectorXd::Zero(curve.height_mm.size());
      out.covariance_mm2 = Eigen::MatrixXd::Zero(curve.height_mm.size(), curve.height_mm.size());
    }
    out.each.push_back(curve.height_mm);
    out.mean += curve.height_mm / n;
    out.covariance_mm2 += curve.covariance_mm2 / (n * n);
    out.scatter_mm = std::max(out.scatter_mm, curve.scatter_mm);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double at = places[i].x() - out.first_mm;
      if (curve.inlier[i] && at >= 0.0 && at < static_cast<double>(out.covered.size()))
        out.covered[static_cast<std::size_t>(at)] = true;
    }
    out.traces.push_back(std::move(places));
  }
  const auto hit = std::count(out.covered.begin(), out.covered.end(), true);
  out.covered_share = static_cast<double>(hit) / static_cast<double>(out.covered.size());
  return out;
}

}  // namespace lieflat::internal
