#include "photo/laid_pages.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "photo/homography.h"

namespace lieflat::internal {
namespace {

constexpr int kLeastCorners = 6;  // of a page in a photo, for the photo to say where it lies

using Counts = std::map<int, int>;  // by tile: how many of its corners a photo shows

Counts WellSeen(const SeenPhoto& photo) {
  Counts counts;
  for (const SeenCorner& corner : photo.corners) ++counts[corner.tile];
  std::erase_if(counts, [](const auto& one) { return one.second < kLeastCorners; });
  return counts;
}

/// The page of `mat` laid so that the photo sees its corners where it sees them, by the plane of
/// `known` in that photo: turn and place by least squares.
LaidPage LaidBeside(const LaidPage& known, const MatLayout& mat, const SeenPhoto& photo) {
  std::vector<PointPair> pairs;
  for (const SeenCorner& corner : photo.corners) {
    if (corner.tile == known.mat->tile) pairs.push_back({corner.at_px, known.Place(corner)});
  }
  const Eigen::Matrix3d world_from_px = FitHomography(pairs);
  std::vector<PointPair> there;
  Eigen::Vector2d from = Eigen::Vector2d::Zero(), to = from;
  for (const SeenCorner& corner : photo.corners) {
    if (corner.tile != mat.tile) continue;
    there.push_back({mat.Corner(corner.column, corner.row), Map(world_from_px, corner.at_px)});
    from += there.back().from;
    to += there.back().to;
  }
  from /= static_cast<double>(there.size());
  to /= static_cast<double>(there.size());
  double along = 0.0, across = 0.0;
  for (const PointPair& pair : there) {
    const Eigen::Vector2d a = pair.from - from, b = pair.to - to;
    along += a.dot(b);
    across += a.x() * b.y() - a.y() * b.x();
  }
  LaidPage page{&mat, Eigen::Vector2d::Zero(), std::atan2(across, along)};
  page.at_mm = to - page.ToWorld(from);
  return page;
}

/// A page of those not laid yet, by the photo that shows most of it together with a laid one.
std::optional<LaidPage> Next(const std::vector<SeenPhoto>& photos,
                             const std::vector<Counts>& seen,
                             const std::vector<LaidPage>& laid,
                             const std::vector<const MatLayout*>& open) {
  int most = 0;
  std::optional<LaidPage> next;
  for (const MatLayout* mat : open) {
    for (const LaidPage& known : laid) {
      for (std::size_t i = 0; i < photos.size(); ++i) {
        const auto of_known = seen[i].find(known.mat->tile), of_new = seen[i].find(mat->tile);
        if (of_known == seen[i].end() || of_new == seen[i].end()) continue;
        const int both = std::min(of_known->second, of_new->second);
        if (both <= most) continue;
        most = both;
        next = LaidBeside(known, *mat, photos[i]);
      }
    }
  }
  return next;
}

std::string Tiles(std::vector<int> tiles) {
  std::sort(tiles.begin(), tiles.end());
  std::vector<std::string> names;
  for (const int tile : tiles) names.push_back(fmt::format("{}", tile));
  return (names.size() == 1 ? "tile " : "tiles ") + Join(names, ", ");
}

Error Untied(const std::vector<const MatLayout*>& open, const std::vector<LaidPage>& laid) {
  std::vector<int> alone, tied;
  for (const MatLayout* mat : open) alone.push_back(mat->tile);
  for (const LaidPage& page : laid) tied.push_back(page.mat->tile);
  return {
      ErrorCode::kNoFigure,
      Tiles(alone),
      fmt::format(
          "no photo shows {} together with {}", alone.size() == 1 ? "it" : "them", Tiles(tied)),
      "step back until neighbouring tiles are in the frame together, in three photos or more; or "
      "take away a tile that the board does not need, and photograph the set anew"};
}

}  // namespace

Eigen::Vector2d LaidPage::ToWorld(const Eigen::Vector2d& on_page) const {
  return at_mm + Eigen::Rotation2Dd(turned_rad) * on_page;
}

SheetPage LaidPage::AsStart() const {
  const Eigen::Vector2d middle(0.5 * mat->width_mm(), 0.5 * mat->height_mm());
  return {middle, ToWorld(middle), turned_rad, 1.0};
}

LaidPage Solved(const MatLayout& mat, const SheetPage& page) {
  LaidPage laid{&mat, page.at_mm, page.turned_rad};
  laid.at_mm = laid.ToWorld(-page.scale * page.middle_mm);
  return laid;
}

std::optional<std::size_t> PageOf(const std::vector<LaidPage>& pages, const SeenCorner& corner) {
  for (std::size_t i = 0; i < pages.size(); ++i) {
    if (pages[i].mat->tile == corner.tile) return i;
  }
  return std::nullopt;
}

Result<std::vector<LaidPage>> LayPages(const std::vector<SeenPhoto>& photos,
                                       const std::vector<bool>& used,
                                       const std::string& sheet,
                                       const Printed& printed) {
  std::vector<const MatLayout*> open = printed.PagesOf(sheet);
  if (open.size() == 1) return std::vector<LaidPage>{{open.front()}};
  std::vector<Counts> seen(photos.size());
  Counts all;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    if (!used[i]) continue;
    seen[i] = WellSeen(photos[i]);
    for (const auto& [tile, count] : seen[i]) all[tile] += count;
  }
  std::erase_if(open, [&](const MatLayout* mat) { return !all.contains(mat->tile); });
  LIEFLAT_CHECK(!open.empty(), "a used photo shows a page of its sheet");
  const auto first = std::max_element(open.begin(), open.end(), [&](const auto* a, const auto* b) {
    return all.at(a->tile) < all.at(b->tile);
  });
  std::vector<LaidPage> laid = {{*first}};
  open.erase(first);
  while (!open.empty()) {
    const auto next = Next(photos, seen, laid, open);
    if (!next) return Untied(open, laid);
    laid.push_back(*next);
    std::erase(open, next->mat);
  }
  return laid;
}

}  // namespace lieflat::internal
