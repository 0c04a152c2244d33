#include "lieflat/photo/seen.h"

#include <algorithm>
#include <set>

#include "photo/homography.h"
#include "photo/markers.h"
#include "photo/order_statistics.h"
#include "photo/saddle.h"

namespace lieflat {
namespace {

using internal::Light;
using internal::Map;
using internal::Median;
using internal::PointPair;
using internal::SeenMarker;

constexpr double kWindowShare = 0.16;  // half-width of a saddle's window over the marker's side
constexpr double kLeastWindowPx = 3.5, kLargestWindowPx = 11.0;

/// A marker of the sheet, found in the photo.
struct Placed {
  MatMarker printed;
  const SeenMarker* seen;
};

std::array<Eigen::Vector2d, 4> PrintedCorners(const MatMarker& marker, double size_mm) {
  const double h = 0.5 * size_mm;
  const Eigen::Vector2d c = marker.centre_mm;
  return {c + Eigen::Vector2d(-h, h),
          c + Eigen::Vector2d(h, h),
          c + Eigen::Vector2d(h, -h),
          c + Eigen::Vector2d(-h, -h)};
}

void AddPairs(const Placed& placed, double size_mm, std::vector<PointPair>& pairs) {
  const auto printed = PrintedCorners(placed.printed, size_mm);
  for (std::size_t i = 0; i < 4; ++i) pairs.push_back({printed[i], placed.seen->corners[i]});
}

/// Markers whose place agrees with the plane that the others span; a wrong id lies elsewhere.
std::vector<Placed> Consistent(std::vector<Placed> placed, const MatLayout& mat) {
  for (int pass = 0; pass < 3 && placed.size() >= 4; ++pass) {
    std::vector<PointPair> pairs;
    for (const Placed& one : placed) AddPairs(one, mat.marker_mm, pairs);
    const Eigen::Matrix3d h = internal::FitHomography(pairs);
    std::vector<double> off;
    for (const Placed& one : placed) {
      const Eigen::Vector2d centre = 0.25 * (one.seen->corners[0] + one.seen->corners[1] +
                                             one.seen->corners[2] + one.seen->corners[3]);
      off.push_back((Map(h, one.printed.centre_mm) - centre).norm());
    }
    std::vector<double> sorted = off;
    std::sort(sorted.begin(), sorted.end());
    const double limit = std::max(8.0, 6.0 * sorted[sorted.size() / 2]);
    std::vector<Placed> kept;
    for (std::size_t i = 0; i < placed.size(); ++i) {
      if (off[i] <= limit) kept.push_back(placed[i]);
    }
    if (kept.size() == placed.size()) break;
    placed = std::move(kept);
  }
  return placed;
}

/// The chessboard's corners next to the markers found.
void FindCorners(const Light& light,
                 const MatLayout& mat,
                 const std::vector<Placed>& placed,
                 SeenPhoto& photo) {
  std::map<std::pair<int, int>, const Placed*> by_square;
  for (const Placed& one : placed) by_square[{one.printed.column, one.printed.row}] = &one;
  constexpr int kReach = 2;  // squares: what a local homography is fitted to
  for (int row = 1; row < mat.rows; ++row) {
    for (int column = 1; column < mat.columns; ++column) {
      if (!mat.HasCorner(column, row)) continue;
      std::vector<PointPair> pairs;
      double side_px = 0.0;
      bool beside = false;
      for (int dy = -kReach; dy < kReach; ++dy) {
        for (int dx = -kReach; dx < kReach; ++dx) {
          const auto found = by_square.find({column + dx, row + dy});
          if (found == by_square.end()) continue;
          AddPairs(*found->second, mat.marker_mm, pairs);
          if (dx >= -1 && dx <= 0 && dy >= -1 && dy <= 0) {
            beside = true;
            const auto& c = found->second->seen->corners;
            // The shorter way across: a window must not reach into the marker.
            side_px = std::min((c[1] - c[0]).norm() + (c[2] - c[3]).norm(),
                               (c[3] - c[0]).norm() + (c[2] - c[1]).norm()) /
                      2.0;
          }
        }
      }
      if (!beside) continue;
      const Eigen::Vector2d guess = Map(internal::FitHomography(pairs), mat.Corner(column, row));
      const double half = std::clamp(kWindowShare * side_px, kLeastWindowPx, kLargestWindowPx);
      if (!light.Inside(guess, half + 4.0)) continue;
      if (const auto at = internal::RefineSaddle(light, guess, half)) {
        photo.corners.push_back({column, row, *at, mat.tile});
      }
    }
  }
}

void FindStickers(const Light& light,
                  const std::vector<SeenMarker>& seen,
                  int cells,
                  SeenPhoto& photo) {
  std::set<int> once, twice;
  for (const SeenMarker& marker : seen) {
    if (!once.insert(marker.id).second) twice.insert(marker.id);
  }
  photo.twice.assign(twice.begin(), twice.end());
  for (const SeenMarker& marker : seen) {
    if (twice.contains(marker.id)) continue;
    internal::Quad corners = marker.corners;
    if (internal::RefineSides(light, cells, corners))
      photo.stickers.push_back({marker.id, corners});
  }
}

/// Sharpness and brightness, from a few markers spread over the sheet.
void LookAtQuality(const Light& light,
                   const MatLayout& mat,
                   const std::vector<Placed>& placed,
                   int cells,
                   SeenPhoto& photo) {
  constexpr std::size_t kEnough = 16;
  const std::size_t step = std::max<std::size_t>(1, placed.size() / kEnough);
  std::vector<double> widths, wider, lights;
  for (std::size_t i = 0; i < placed.size(); i += step) {
    internal::Quad corners = placed[i].seen->corners;
    internal::SideWidths width;
    if (internal::RefineSides(light, cells, corners, &width)) {
      widths.push_back(width.mean_px);
      wider.push_back(width.wider_px);
    }
    const auto& c = placed[i].seen->corners;
    // Half-way out to the square's corner lies white paper.
    const double out = 0.5 * (mat.square_mm / mat.marker_mm - 1.0);
    const Eigen::Vector2d middle = 0.5 * (c[0] + c[2]);
    const Eigen::Vector2d paper = c[0] + out * (c[0] - middle) * 0.8;
    if (light.Inside(paper)) lights.push_back(light(paper));
  }
  photo.edge_width_px = Median(widths);
  photo.wider_edge_px = Median(wider);
  photo.paper_light = Median(lights);
}

using Known = std::map<int, std::pair<const MatLayout*, MatMarker>>;  // by id

/// How many markers of each sheet are seen, and how many of them at a second place too.
void CountMarkers(const Known& known, const std::vector<SeenMarker>& seen, SeenPhoto& photo) {
  std::set<int> once;
  for (const SeenMarker& marker : seen) {
    const auto found = known.find(marker.id);
    if (found == known.end()) continue;
    const std::string& sheet = found->second.first->id;
    ++photo.markers_of_sheet[sheet];
    if (!once.insert(marker.id).second) ++photo.markers_twice[sheet];
  }
  int most = 0;
  for (const auto& [sheet, count] : photo.markers_of_sheet) {
    if (count > most) {
      most = count;
      photo.sheet = sheet;
    }
  }
}

/// The sheet that shows most, and the tiles that belong to it.
void LookAtSheet(const Light& light,
                 const std::vector<SeenMarker>& seen,
                 const Printed& printed,
                 SeenPhoto& photo) {
  Known known;
  for (const MatLayout& mat : printed.mats) {
    for (const MatMarker& marker : mat.Markers()) known[marker.id] = {&mat, marker};
  }
  CountMarkers(known, seen, photo);
  const MatLayout* const shown = printed.Find(photo.sheet);
  if (shown == nullptr) return;
  for (const MatLayout* mat : printed.PagesOf(shown->sheet)) {
    std::vector<Placed> placed;
    for (const SeenMarker& marker : seen) {
      const auto found = known.find(marker.id);
      if (found != known.end() && found->second.first == mat)
        placed.push_back({found->second.second, &marker});
    }
    constexpr std::size_t kLeastOfATile = 4;  // fewer may be patterns mistaken for its markers
    if (mat != shown && placed.size() < kLeastOfATile) continue;
    placed = Consistent(std::move(placed), *mat);
    const std::size_t first = photo.corners.size();
    FindCorners(light, *mat, placed, photo);
    if (mat != shown) continue;
    LookAtQuality(light, *mat, placed, printed.mat_markers.bits + 2, photo);
    if (photo.corners.size() - first < 4) continue;
    std::vector<PointPair> pairs;
    for (std::size_t i = first; i < photo.corners.size(); ++i) {
      const SeenCorner& corner = photo.corners[i];
      pairs.push_back({mat->Corner(corner.column, corner.row), corner.at_px});
    }
    photo.px_from_mat = internal::FitHomography(pairs);
  }
}

}  // namespace

Printed Printed::Of(const Calib& calib) {
  return {MatLayouts(calib),
          MarkerFamilyOf(calib, "mat"),
          MarkerFamilyOf(calib, "sticker"),
          StickerLayoutOf(calib)};
}

const MatLayout* Printed::Find(const std::string& id) const {
  const auto found =
      std::find_if(mats.begin(), mats.end(), [&](const MatLayout& mat) { return mat.id == id; });
  return found == mats.end() ? nullptr : &*found;
}

std::vector<const MatLayout*> Printed::PagesOf(const std::string& sheet) const {
  std::vector<const MatLayout*> pages;
  for (const MatLayout& mat : mats) {
    if (mat.sheet == sheet) pages.push_back(&mat);
  }
  return pages;
}

SeenPhoto LookAt(const Picture& grey, const std::string& name, const Printed& printed) {
  SeenPhoto photo;
  photo.name = name;
  photo.width = grey.width;
  photo.height = grey.height;
  photo.focal_35mm = grey.focal_35mm;
  const auto seen = internal::FindMarkers(grey, printed.mat_markers, printed.sticker_markers);
  photo.mirrored_markers = seen.mirrored;
  const Light light(grey);
  FindStickers(light, seen.stickers, printed.sticker_markers.bits + 2, photo);

  LookAtSheet(light, seen.mat, printed, photo);
  return photo;
}

}  // namespace lieflat
