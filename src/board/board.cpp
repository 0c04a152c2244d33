#include "lieflat/board/board.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lieflat/board/polygon.h"

#include "board/limits.h"

namespace lieflat {

const char* Name(Side side) { return side == Side::kComponent ? "component" : "solder"; }

const std::vector<std::string>& RegionNames() { return kRegions; }

const char* Name(Edge edge) {
  switch (edge) {
    case Edge::kAB:
      return "AB";
    case Edge::kBC:
      return "BC";
    case Edge::kCD:
      return "CD";
    case Edge::kDA:
      return "DA";
  }
  LIEFLAT_CHECK(false, "an edge is one of four");
}

std::optional<Edge> EdgeNamed(std::string_view name) {
  const auto found =
      std::find_if(kEdges.begin(), kEdges.end(), [&](Edge edge) { return name == Name(edge); });
  return found == kEdges.end() ? std::nullopt : std::optional(*found);
}

std::array<Eigen::Vector2d, 4> Part::Footprint(double margin_mm) const {
  LIEFLAT_CHECK(has_place(), "a footprint needs a place and a size: " + ref);
  const double angle = rotation_deg * std::numbers::pi / 180.0;
  const Eigen::Vector2d along(std::cos(angle), std::sin(angle));
  const Eigen::Vector2d across(-along.y(), along.x());
  const Eigen::Vector2d half = 0.5 * *size_mm + Eigen::Vector2d::Constant(margin_mm);
  const Eigen::Vector2d a = half.x() * along;
  const Eigen::Vector2d b = half.y() * across;
  return {*centre_mm - a - b, *centre_mm + a - b, *centre_mm + a + b, *centre_mm - a + b};
}

double Board::Diagonal() const {
  return 0.5 * ((corners_mm[2] - corners_mm[0]).norm() + (corners_mm[3] - corners_mm[1]).norm());
}

double Board::Area() const {
  double area = std::abs(SignedArea(outline_mm));
  for (const Ring& cutout : cutouts_mm) area -= std::abs(SignedArea(cutout));
  return area;
}

std::pair<Eigen::Vector2d, Eigen::Vector2d> Board::Box() const {
  LIEFLAT_CHECK(!outline_mm.empty(), "a board has an outline");
  Eigen::Vector2d low = outline_mm.front();
  Eigen::Vector2d high = outline_mm.front();
  for (const Eigen::Vector2d& point : outline_mm) {
    low = low.cwiseMin(point);
    high = high.cwiseMax(point);
  }
  return {low, high};
}

const Part* Board::FindPart(std::string_view ref) const {
  const auto found =
      std::find_if(parts.begin(), parts.end(), [&](const Part& part) { return part.ref == ref; });
  return found == parts.end() ? nullptr : &*found;
}

}  // namespace lieflat
