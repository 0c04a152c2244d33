#include "lieflat/board/polygon.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "lieflat/board/segment.h"

namespace lieflat {
namespace {

// Points nearer to a line than this are on it: far below what a rule can read, far above rounding
// at 1 000 mm.
constexpr double kTouchMm = 1e-9;

double Cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return a.x() * b.y() - a.y() * b.x();
}

struct Segment {
  Eigen::Vector2d from, to;
};

Segment EdgeOf(const Ring& ring, std::size_t i) { return {ring[i], ring[(i + 1) % ring.size()]}; }

/// Which side of a segment's line a point lies on: -1, 0 (on it) or 1.
int SideOf(const Segment& segment, const Eigen::Vector2d& point) {
  const Eigen::Vector2d along = segment.to - segment.from;
  const double length = along.norm();
  const double off = length > 0.0 ? Cross(along, point - segment.from) / length : 0.0;
  if (std::abs(off) <= kTouchMm) return 0;
  return off > 0.0 ? 1 : -1;
}

bool Meet(const Segment& a, const Segment& b) {
  if (SideOf(a, b.from) * SideOf(a, b.to) < 0 && SideOf(b, a.from) * SideOf(b, a.to) < 0) {
    return true;
  }
  return DistanceToSegment(a.from, a.to, b.from) <= kTouchMm ||
         DistanceToSegment(a.from, a.to, b.to) <= kTouchMm ||
         DistanceToSegment(b.from, b.to, a.from) <= kTouchMm ||
         DistanceToSegment(b.from, b.to, a.to) <= kTouchMm;
}

/// Neighbours share a point; they run back over each other when the free end of one lies on the
/// other.
bool FoldsBack(const Segment& first, const Segment& second) {
  return DistanceToSegment(first.from, first.to, second.to) <= kTouchMm ||
         DistanceToSegment(second.from, second.to, first.from) <= kTouchMm;
}

}  // namespace

double DistanceToSegment(const Eigen::Vector2d& a,
                         const Eigen::Vector2d& b,
                         const Eigen::Vector2d& point) {
  const Eigen::Vector2d along = b - a;
  const double square = along.squaredNorm();
  const double share = square > 0.0 ? std::clamp((point - a).dot(along) / square, 0.0, 1.0) : 0.0;
  return (point - a - share * along).norm();
}

double SignedArea(const Ring& ring) {
  double twice = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    twice += Cross(ring[i] - ring[0], ring[(i + 1) % ring.size()] - ring[0]);
  }
  return 0.5 * twice;
}

Eigen::Vector2d Centroid(const Ring& ring) {
  Eigen::Vector2d moment = Eigen::Vector2d::Zero();
  double twice = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Eigen::Vector2d a = ring[i] - ring[0];
    const Eigen::Vector2d b = ring[(i + 1) % ring.size()] - ring[0];
    moment += Cross(a, b) * (a + b) / 3.0;
    twice += Cross(a, b);
  }
  return ring[0] + moment / twice;
}

bool Inside(const Ring& ring, const Eigen::Vector2d& point) {
  if (DistanceToBoundary(ring, point) <= kTouchMm) return true;
  bool inside = false;  // parity of the edges that a ray towards +x crosses
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Segment edge = EdgeOf(ring, i);
    if ((edge.from.y() > point.y()) == (edge.to.y() > point.y())) continue;
    const double share = (point.y() - edge.from.y()) / (edge.to.y() - edge.from.y());
    if (point.x() < edge.from.x() + share * (edge.to.x() - edge.from.x())) inside = !inside;
  }
  return inside;
}

double DistanceToBoundary(const Ring& ring, const Eigen::Vector2d& point) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Segment edge = EdgeOf(ring, i);
    nearest = std::min(nearest, DistanceToSegment(edge.from, edge.to, point));
  }
  return nearest;
}

std::optional<std::pair<std::size_t, std::size_t>> SelfCrossing(const Ring& ring) {
  const std::size_t count = ring.size();
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      const Segment a = EdgeOf(ring, i);
      const Segment b = EdgeOf(ring, j);
      const bool follows = j == i + 1;
      const bool closes = i == 0 && j == count - 1;
      const bool bad = follows ? FoldsBack(a, b) : closes ? FoldsBack(b, a) : Meet(a, b);
      if (bad) return std::pair{i, j};
    }
  }
  return std::nullopt;
}

bool RingsMeet(const Ring& a, const Ring& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < b.size(); ++j) {
      if (Meet(EdgeOf(a, i), EdgeOf(b, j))) return true;
    }
  }
  return false;
}

bool OnBoard(const Board& board, const Eigen::Vector2d& point) {
  if (!Inside(board.outline_mm, point)) return false;
  return std::none_of(board.cutouts_mm.begin(), board.cutouts_mm.end(), [&](const Ring& cutout) {
    return Inside(cutout, point) && DistanceToBoundary(cutout, point) > kTouchMm;
  });
}

Eigen::Vector2d AreaCentre(const Board& board) {
  double area = std::abs(SignedArea(board.outline_mm));
  Eigen::Vector2d moment = area * Centroid(board.outline_mm);
  for (const Ring& cutout : board.cutouts_mm) {
    const double hole = std::abs(SignedArea(cutout));
    moment -= hole * Centroid(cutout);
    area -= hole;
  }
  return moment / area;
}

}  // namespace lieflat
