#include "lieflat/flatness/known.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/QR>

namespace lieflat {
namespace {

/// A place counts as a corner within this share of the edge, and as the middle between these
/// shares.
constexpr double kCornerShare = 0.05;
constexpr double kMiddleFrom = 0.25, kMiddleTo = 0.75;
/// And as on the edge within this share of it, across.
constexpr double kAcrossShare = 0.05;

struct OnEdge {
  double along = 0.0;   ///< 0 at the edge's start, 1 at its end
  double across = 0.0;  ///< distance from the chord over its length
};

OnEdge Place(const Board& board, Edge edge, const Eigen::Vector2d& at) {
  const Eigen::Vector2d start = board.EdgeStart(edge);
  const Eigen::Vector2d chord = board.EdgeEnd(edge) - start;
  const double length2 = chord.squaredNorm();
  const Eigen::Vector2d offset = at - start;
  return {offset.dot(chord) / length2,
          std::abs(offset.x() * chord.y() - offset.y() * chord.x()) / length2};
}

bool MiddleOf(const Board& board, Edge edge, const Eigen::Vector2d& at) {
  const OnEdge place = Place(board, edge, at);
  return place.across <= kAcrossShare && place.along >= kMiddleFrom && place.along <= kMiddleTo;
}

/// Whether heights at these places fix plane, both bows and twist. Where they do not, a narrow
/// interval is what was believed of flat boards beforehand, not what was read.
bool FixesSurface(const Board& board, const std::vector<Eigen::Vector2d>& heights) {
  constexpr Eigen::Index kUnknowns = 6;
  const auto n = static_cast<Eigen::Index>(heights.size());
  if (n < kUnknowns) return false;
  const auto [low, high] = board.Box();
  const Eigen::Vector2d centre = 0.5 * (low + high);
  const Eigen::Vector2d half = 0.5 * (high - low);
  Eigen::MatrixXd design(n, kUnknowns);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Vector2d uv = (heights[static_cast<std::size_t>(i)] - centre).cwiseQuotient(half);
    design.row(i) << 1.0, uv.x(), uv.y(), uv.x() * uv.x(), uv.x() * uv.y(), uv.y() * uv.y();
  }
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(design);
  qr.setThreshold(0.01);  // places that fix an unknown by a hundredth only do not fix it
  return qr.rank() == kUnknowns;
}

/// Departures name the place that they speak of with the weight +1.
bool IsDepartureOf(const Board& board, Edge edge, const Sample& sample) {
  return sample.figure == Figure::kDeparture &&
         std::any_of(sample.terms.begin(), sample.terms.end(), [&](const Term& term) {
           return term.weight > 0.0 && MiddleOf(board, edge, term.at_mm);
         });
}

}  // namespace

Known WhatIsRead(const Board& board, const SampleSet& samples) {
  Known known;
  std::vector<Eigen::Vector2d> heights;
  for (const Sample& sample : samples.samples) {
    if (sample.figure == Figure::kHeight) heights.push_back(sample.terms.front().at_mm);
    if (sample.figure == Figure::kTwist) {
      known.twist = true;
      known.twist_procedure = sample.procedure;
    }
  }
  const auto corner_read = [&](std::size_t corner) {
    const double reach =
        kCornerShare * std::min(board.EdgeLength(Edge::kAB), board.EdgeLength(Edge::kBC));
    return std::any_of(heights.begin(), heights.end(), [&](const Eigen::Vector2d& at) {
      return (at - board.corners_mm[corner]).norm() <= reach;
    });
  };
  for (std::size_t e = 0; e < kEdges.size(); ++e) {
    const bool middle = std::any_of(heights.begin(), heights.end(), [&](const Eigen::Vector2d& at) {
      return MiddleOf(board, kEdges[e], at);
    });
    const bool by_straightedge =
        std::any_of(samples.samples.begin(), samples.samples.end(), [&](const Sample& sample) {
          return IsDepartureOf(board, kEdges[e], sample);
        });
    known.edges[e] = by_straightedge || (middle && corner_read(e) && corner_read((e + 1) % 4));
  }
  if (corner_read(0) && corner_read(1) && corner_read(2) && corner_read(3)) {
    known.twist = true;
    known.twist_procedure = "corners";
  }
  known.surface = FixesSurface(board, heights);
  return known;
}

}  // namespace lieflat
