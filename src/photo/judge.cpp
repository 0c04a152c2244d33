// One photo on its own: can it be used, and what could be better.

#include <cmath>

#include <fmt/format.h>

#include "lieflat/photo/lying.h"

#include "photo/homography.h"

namespace lieflat {
namespace {

constexpr int kMirroredCount = 6;

/// Sides of the stickers' box (or of the sheet's middle) beyond which corners are seen.
int SidesSeen(const SeenPhoto& photo, const MatLayout& mat) {
  Eigen::Vector2d low(0.5 * mat.width_mm(), 0.5 * mat.height_mm()), high = low;
  const Eigen::Matrix3d back = photo.px_from_mat.inverse();
  if (!photo.stickers.empty()) {
    low.setConstant(1e9);
    high.setConstant(-1e9);
    for (const SeenSticker& sticker : photo.stickers) {
      const Eigen::Vector2d at =
          internal::Map(back, 0.5 * (sticker.corners_px[0] + sticker.corners_px[2]));
      low = low.cwiseMin(at);
      high = high.cwiseMax(at);
    }
  }
  int left = 0, right = 0, below = 0, above = 0;
  for (const SeenCorner& corner : photo.corners) {
    const Eigen::Vector2d at = mat.Corner(corner.column, corner.row);
    left += at.x() < low.x() ? 1 : 0;
    right += at.x() > high.x() ? 1 : 0;
    below += at.y() < low.y() ? 1 : 0;
    above += at.y() > high.y() ? 1 : 0;
  }
  constexpr int kEnough = 3;
  return (left >= kEnough) + (right >= kEnough) + (below >= kEnough) + (above >= kEnough);
}

}  // namespace

ShotVerdict JudgeShot(const SeenPhoto& photo,
                      const Printed& printed,
                      bool stand,
                      const Calib& calib) {
  const auto limit = [&](const char* name) {
    return calib.Number("photo", std::string("/photos/") + name).value;
  };
  ShotVerdict verdict;
  const MatLayout* const mat = printed.Find(photo.sheet);
  const int own = mat == nullptr ? 0 : photo.markers_of_sheet.at(photo.sheet);
  if (photo.mirrored_markers >= kMirroredCount && photo.mirrored_markers > own) {
    verdict.problem =
        "the sheet is printed mirrored: print it again without \"mirror\" or \"transfer\", at 100 "
        "%";
    return verdict;
  }
  if (mat == nullptr) {
    verdict.problem =
        "no marker of a printed sheet is seen: whole sheet in the frame, more light, hold still; "
        "the sheets come from lieflat sheet";
    return verdict;
  }
  if (mat->stand != stand) {
    verdict.problem = fmt::format("shows the {}, not a {} sheet: {}",
                                  mat->plain,
                                  stand ? "stand" : "lay",
                                  stand ? "stand the board on the stand sheet, or use --pose lying"
                                        : "lay the board on the lay sheet, or use --pose standing");
    return verdict;
  }
  const int corners = static_cast<int>(photo.corners.size());
  const int needed = static_cast<int>(limit("least_corners"));
  const bool blurred = photo.edge_width_px > limit("widest_edge_px");
  if (corners < needed) {
    verdict.problem = fmt::format(
        "{} sheet corners, {} needed: {}",
        corners,
        needed,
        blurred ? "it is blurred; hold the phone still, tap the sheet to focus, more light"
                : "move back until the whole sheet is in the frame");
    return verdict;
  }
  if (photo.paper_light < limit("darkest_paper")) {
    verdict.problem = "too dark: more light on the sheet, no flash";
    return verdict;
  }
  const int sides = SidesSeen(photo, *mat);
  if (!stand && sides < static_cast<int>(limit("least_sides"))) {
    verdict.problem = fmt::format(
        "the sheet shows on {} {} of the board, {} needed: aim so that some of it shows all round",
        sides,
        sides == 1 ? "side" : "sides",
        static_cast<int>(limit("least_sides")));
    return verdict;
  }
  if (!stand && photo.stickers.empty()) {
    verdict.problem =
        "no sticker is seen: put A to D into the corners and AB to DA against the edges, with "
        "their white rims";
    return verdict;
  }
  if (blurred) verdict.warnings.push_back("blurred: hold the phone still, tap the sheet to focus");
  if (photo.edge_width_px == 0.0) verdict.warnings.push_back("its sharpness could not be told");
  for (const int id : photo.twice) {
    verdict.warnings.push_back(fmt::format("sticker {} is seen at two places: take one of them off",
                                           printed.stickers.NameOf(id)));
  }
  return verdict;
}

}  // namespace lieflat
