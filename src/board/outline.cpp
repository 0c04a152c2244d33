#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/board/polygon.h"

#include "board/fields.h"
#include "board/limits.h"

namespace lieflat {
namespace {

// Coordinates may leave the board a little (notches, negative corners of tabs), but not by more
// than its largest size.
constexpr double kFarthestMm = 1000.0;
constexpr const char* kCornersRemedy =
    "give corners_mm as four points A, B, C, D: A at [0,0], B along x on the longer side, then on "
    "counter-clockwise";

std::string Shown(const Eigen::Vector2d& point) {
  return fmt::format("[{:.6g},{:.6g}]", point.x(), point.y());
}

/// One ring of points at `key` (which may carry an index). Empty after a fault.
Ring ReadRing(FieldReader& read, const std::string& key, const Json& list, std::size_t most) {
  if (!list.is_array() || list.size() < 3 || list.size() > most) {
    read.Refuse(key,
                list.is_array() ? fmt::format("has {} points, needs 3 to {}", list.size(), most)
                                : std::string("expected a list of points"),
                "write [[0,0],[305,0],[305,244],[0,244]]");
    return {};
  }
  Ring ring;
  for (std::size_t i = 0; i < list.size(); ++i) {
    const Json& point = list[i];
    if (!point.is_array() || point.size() != 2 || !point[0].is_number() || !point[1].is_number()) {
      read.Refuse(fmt::format("{}[{}]", key, i), "expected a point of two numbers", "write [x,y]");
      return {};
    }
    ring.emplace_back(point[0].get<double>(), point[1].get<double>());
    if (!(ring.back().cwiseAbs().maxCoeff() <= kFarthestMm)) {
      read.Refuse(
          fmt::format("{}[{}]", key, i),
          fmt::format("{} is outside -{} to {} mm", Shown(ring.back()), kFarthestMm, kFarthestMm),
          "check the value and its unit");
      return {};
    }
  }
  return ring;
}

/// A ring that bounds an area: no two edges meet, no point twice. Turned counter-clockwise.
Ring ReadArea(FieldReader& read, const std::string& key, const Json& list) {
  Ring ring = ReadRing(read, key, list, kMostOutlinePoints);
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const std::size_t next = (i + 1) % ring.size();
    if (ring[i] != ring[next]) continue;
    read.Refuse(key,
                fmt::format("points {} and {} are the same, {}", i, next, Shown(ring[i])),
                "name each point once; the last joins to the first by itself");
    return {};
  }
  if (const auto crossing = SelfCrossing(ring); !ring.empty() && crossing) {
    read.Refuse(
        key,
        fmt::format("the edges from points {} and {} meet", crossing->first, crossing->second),
        "list the points in the order round the edge");
    return {};
  }
  if (SignedArea(ring) < 0.0) std::reverse(ring.begin() + 1, ring.end());
  return ring;
}

bool IsRectangle(const Ring& ring) {
  if (ring.size() != 4) return false;
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d in = ring[(i + 1) % 4] - ring[i];
    const Eigen::Vector2d out = ring[(i + 2) % 4] - ring[(i + 1) % 4];
    if (std::abs(in.dot(out)) > kRightAngleCosine * in.norm() * out.norm()) return false;
  }
  return true;
}

std::array<Eigen::Vector2d, 4> CornersOfRectangle(const Ring& ring) {
  const auto origin = std::min_element(ring.begin(), ring.end(), [](const auto& a, const auto& b) {
    return a.squaredNorm() < b.squaredNorm();
  });
  Ring turned = ring;
  std::rotate(turned.begin(), turned.begin() + (origin - ring.begin()), turned.end());
  return {turned[0], turned[1], turned[2], turned[3]};
}

void CheckCornerOrder(FieldReader& read, const std::array<Eigen::Vector2d, 4>& corners) {
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d in = corners[(i + 1) % 4] - corners[i];
    const Eigen::Vector2d out = corners[(i + 2) % 4] - corners[(i + 1) % 4];
    if (in.x() * out.y() - in.y() * out.x() > 0.0) continue;
    read.Refuse(
        "corners_mm", "A, B, C, D do not run counter-clockwise round the board", kCornersRemedy);
    return;
  }
}

void CheckFrame(FieldReader& read, const std::string& key, const Board& board) {
  const auto& corners = board.corners_mm;
  if (corners[0].norm() > kFrameMm) {
    read.Refuse(key,
                fmt::format("corner A is at {}, not at the origin", Shown(corners[0])),
                "shift all coordinates so that the lower left corner is [0,0]");
  }
  if (std::abs(corners[1].y()) > kFrameMm || corners[1].x() <= 0.0) {
    read.Refuse(key,
                fmt::format("corner B is at {}, not on the x axis", Shown(corners[1])),
                "turn the board so that AB lies along x");
  }
  const double lengths = board.EdgeLength(Edge::kAB) + board.EdgeLength(Edge::kCD);
  const double widths = board.EdgeLength(Edge::kBC) + board.EdgeLength(Edge::kDA);
  // Sides that differ by less than this are those of a square, measured with a rule.
  if (lengths < widths - kFrameMm) {
    read.Refuse(
        key,
        fmt::format("AB and CD are {:.6g} mm long, BC and DA {:.6g} mm: AB must be a longer side",
                    0.5 * lengths,
                    0.5 * widths),
        "turn the board by a quarter so that the longer side lies along x");
  }
}

void ReadCorners(FieldReader& read, Board& board) {
  const Json* const list = read.Array("corners_mm", false);
  if (read.error()) return;
  const bool rectangle = IsRectangle(board.outline_mm);
  if (list == nullptr) {
    if (!rectangle) {
      read.Refuse("corners_mm", "is missing, and the outline is no rectangle", kCornersRemedy);
      return;
    }
    board.corners_mm = CornersOfRectangle(board.outline_mm);
    board.corners_are_outline = true;
    CheckFrame(read, "outline_mm", board);
    return;
  }
  if (list->size() != 4) {
    read.Refuse("corners_mm", fmt::format("has {} points, needs 4", list->size()), kCornersRemedy);
    return;
  }
  const Ring points = ReadRing(read, "corners_mm", *list, 4);
  if (read.error()) return;
  std::copy(points.begin(), points.end(), board.corners_mm.begin());
  for (std::size_t i = 0; i < 4; ++i) {
    const double off = DistanceToBoundary(board.outline_mm, points[i]);
    if (off <= kCornerOffOutlineMm) continue;
    read.Refuse(
        fmt::format("corners_mm[{}]", i),
        fmt::format("corner {} at {} is {:.1f} mm off the outline, at most {} mm is allowed",
                    "ABCD"[i],
                    Shown(points[i]),
                    off,
                    kCornerOffOutlineMm),
        "take the point of the outline that is nearest to the corner");
    return;
  }
  CheckCornerOrder(read, board.corners_mm);
  CheckFrame(read, "corners_mm", board);
  board.corners_are_outline =
      rectangle && std::all_of(points.begin(), points.end(), [&](const Eigen::Vector2d& corner) {
        return std::any_of(board.outline_mm.begin(),
                           board.outline_mm.end(),
                           [&](const auto& point) { return (point - corner).norm() <= kFrameMm; });
      });
}

void CheckSize(FieldReader& read, const Board& board) {
  const auto [low, high] = board.Box();
  const Eigen::Vector2d size = high - low;
  if (size.minCoeff() >= kSmallestSideMm && size.maxCoeff() <= kLargestSideMm) return;
  read.Refuse("outline_mm",
              fmt::format("the board is {:.6g} by {:.6g} mm, a side must be {} to {} mm",
                          size.x(),
                          size.y(),
                          kSmallestSideMm,
                          kLargestSideMm),
              "check the values and their unit");
}

void ReadCutouts(FieldReader& read, Board& board) {
  const Json* const list = read.Array("cutouts_mm", false);
  if (list == nullptr) return;
  if (list->size() > kMostCutouts) {
    read.Refuse("cutouts_mm",
                fmt::format("has {} cut-outs, at most {} are allowed", list->size(), kMostCutouts),
                "leave out small ones");
    return;
  }
  std::size_t points = 0;
  for (std::size_t i = 0; i < list->size(); ++i) {
    const std::string key = fmt::format("cutouts_mm[{}]", i);
    Ring ring = ReadArea(read, key, (*list)[i]);
    points += ring.size();
    if (!read.error() && points > kMostCutoutPoints) {
      read.Refuse(key,
                  fmt::format("the cut-outs have over {} points together", kMostCutoutPoints),
                  "draw round openings with fewer points");
    }
    if (read.error()) return;
    if (!Inside(board.outline_mm, ring.front()) || RingsMeet(board.outline_mm, ring)) {
      read.Refuse(key,
                  "the cut-out does not lie wholly inside the outline",
                  "a notch in the edge belongs to outline_mm");
      return;
    }
    const auto overlaps = [&](const Ring& other) {
      return RingsMeet(other, ring) || Inside(other, ring.front()) || Inside(ring, other.front());
    };
    if (std::any_of(board.cutouts_mm.begin(), board.cutouts_mm.end(), overlaps)) {
      read.Refuse(key, "the cut-out overlaps another one", "join them into one");
      return;
    }
    board.cutouts_mm.push_back(std::move(ring));
  }
}

}  // namespace

Json PointToJson(const Eigen::Vector2d& point) { return Json::array({point.x(), point.y()}); }

std::optional<Error> ReadOutline(FieldReader& read, Board& board) {
  const Json* const list = read.Array("outline_mm", true);
  if (list == nullptr) return read.error();
  board.outline_mm = ReadArea(read, "outline_mm", *list);
  if (!read.error()) CheckSize(read, board);
  if (!read.error()) ReadCorners(read, board);
  if (!read.error()) ReadCutouts(read, board);
  return read.error();
}

std::optional<Error> ReadHoles(FieldReader& read, Board& board) {
  const Json* const list = read.Array("holes_mm", false);
  if (list == nullptr) return read.error();
  if (list->size() > kMostHoles) {
    read.Refuse("holes_mm",
                fmt::format("has {} holes, at most {} are allowed", list->size(), kMostHoles),
                "list the mounting holes only");
    return read.error();
  }
  for (std::size_t i = 0; i < list->size(); ++i) {
    FieldReader inner = ReaderOf(read, "holes_mm", *list, i);
    Hole hole;
    hole.centre_mm.x() = inner.Number("x_mm", {.min = -kFarthestMm, .max = kFarthestMm});
    hole.centre_mm.y() = inner.Number("y_mm", {.min = -kFarthestMm, .max = kFarthestMm});
    hole.diameter_mm = inner.Number("diameter_mm", {.min = 0.1, .max = 100.0});
    hole.use = inner.OptionalString("use").value_or("mount");
    CheckText(inner, "use", hole.use, kLongestText);
    inner.NoOthers();
    if (!inner.error() && !Inside(board.outline_mm, hole.centre_mm)) {
      inner.Refuse("x_mm",
                   fmt::format("the hole at {} is off the board", Shown(hole.centre_mm)),
                   "coordinates are in mm from corner A, component side seen");
    }
    if (inner.error()) return inner.error();
    board.holes.push_back(hole);
  }
  return std::nullopt;
}

}  // namespace lieflat
