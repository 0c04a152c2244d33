#include "photo/standing_profile.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "photo/edge_covariance.h"

namespace lieflat::internal {
namespace {

constexpr int kParts = 12;

/// From away from the phone, printed, to towards the component side, the board's mm: the phone's
/// side when that face is seen.
double SignedScale(const EdgeOnSheet& seen) {
  return (seen.first_is_left ? -1.0 : 1.0) * seen.scale;
}

void WritePoints(const EdgeOnSheet& seen,
                 const Eigen::MatrixXd& view_mm2,
                 double scale_u,
                 const Board& board,
                 StandingResult& out) {
  std::vector<double> shares;
  for (int k = 1; k < kParts; ++k) shares.push_back(static_cast<double>(k) / kParts);
  const EdgeCurves& curves = seen.curves;
  const Eigen::MatrixXd d = ToDepartures(curves.mean.size(), seen.length_mm, shares);
  const Eigen::VectorXd departures = SignedScale(seen) * (d * curves.mean);
  Eigen::MatrixXd covariance =
      seen.scale * seen.scale * d * (curves.covariance_mm2 + view_mm2) * d.transpose();
  covariance += scale_u * scale_u * departures * departures.transpose();
  covariance = Widened(covariance, d, curves.each, curves.mean);

  const double length = board.EdgeLength(out.edge);
  const Eigen::Vector2d from = board.EdgeStart(out.edge), to = board.EdgeEnd(out.edge);
  const auto m = static_cast<Eigen::Index>(shares.size());
  PhotoReading& reading = out.reading;
  reading.covariance_mm2.resize(m, m);
  for (Eigen::Index i = 0; i < m; ++i) {
    const Eigen::Index k = seen.first_is_left ? i : m - 1 - i;
    const double share = static_cast<double>(i + 1) / kParts;
    out.points.push_back({share * length, departures(k), std::sqrt(covariance(k, k))});
    reading.points.push_back({fmt::format("{} at {:.0f} mm", Name(out.edge), share * length),
                              from + share * (to - from),
                              departures(k)});
    for (Eigen::Index j = 0; j < m; ++j)
      reading.covariance_mm2(i, j) = covariance(k, seen.first_is_left ? j : m - 1 - j);
  }
}

/// The curve and the places found, over the chord.
void WriteCurve(const EdgeOnSheet& seen, StandingResult& out) {
  const Eigen::VectorXd& mean = seen.curves.mean;
  const Eigen::Index nodes = mean.size();
  const double last = seen.length_mm;
  const double at_end = mean(nodes - 2) + (last - static_cast<double>(nodes - 2)) *
                                              (mean(nodes - 1) - mean(nodes - 2));
  out.curve_mm.resize(nodes);
  for (Eigen::Index i = 0; i < nodes; ++i) {
    const double share = std::min(1.0, static_cast<double>(i) / last);
    out.curve_mm(i) = SignedScale(seen) * (mean(i) - (1.0 - share) * mean(0) - share * at_end);
  }
  for (auto& trace : out.traces_mm) {
    for (auto& at : trace) {
      const double share = at.x() / last;
      at.y() -= (1.0 - share) * mean(0) + share * at_end;
    }
  }
}

StandingPoint Deepest(const EdgeOnSheet& seen, const Board& board, const StandingResult& out) {
  Eigen::Index deepest = 0;
  for (Eigen::Index i = 0; i < out.curve_mm.size(); ++i) {
    if (std::abs(out.curve_mm(i)) > std::abs(out.curve_mm(deepest))) deepest = i;
  }
  const double along = seen.scale * static_cast<double>(deepest);
  double u = 0.0;
  for (const StandingPoint& point : out.points) u = std::max(u, point.u_mm);
  return {
      seen.first_is_left ? along : board.EdgeLength(out.edge) - along, out.curve_mm(deepest), u};
}

}  // namespace

void WriteProfile(const EdgeOnSheet& seen,
                  const Eigen::MatrixXd& view_mm2,
                  double scale_u,
                  const Board& board,
                  StandingResult& out) {
  WritePoints(seen, view_mm2, scale_u, board, out);
  WriteCurve(seen, out);
  out.deepest = Deepest(seen, board, out);
}

}  // namespace lieflat::internal
