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
    const Eigen::Vector2d at = corner.tile == mat.tile ? mat.Corner(corner.column, corner.row)
                                                       : internal::Map(back, corner.at_px);
    left += at.x() < low.x() ? 1 : 0;
    right += at.x() > high.x() ? 1 : 0;
    below += at.y() < low.y() ? 1 : 0;
    above += at.y() > high.y() ? 1 : 0;
  }
  constexpr int kEnough = 3;
  return (left >= kEnough) + (right >= kEnough) + (below >= kEnough) + (above >= kEnough);
}

/// What is wrong with the sheets in view, taken together; empty: nothing.
std::string WrongTogether(const SeenPhoto& photo, const Printed& printed, const MatLayout& mat) {
  constexpr int kSure = 3;  // markers: one or two may be other patterns mistaken for them
  for (const auto& [id, count] : photo.markers_of_sheet) {
    const MatLayout& other = *printed.Find(id);
    if (count < kSure || other.sheet == mat.sheet || (mat.tile == 0 && other.tile == 0)) continue;
    return fmt::format(
        "shows the {} and the {}: tiles of one kind only, printed in one go; take the other away",
        mat.plain,
        other.plain);
  }
  for (const auto& [id, count] : photo.markers_twice) {
    const MatLayout& other = *printed.Find(id);
    if (count < kSure || other.sheet != mat.sheet) continue;
    return fmt::format("the {}, lies there twice: {}",
                       other.plain,
                       other.tile == 0 ? "one is enough; for a larger sheet print tiles (lieflat "
                                         "sheet --tiles 2x2)"
                                       : "each tile once; print the one that is missing");
  }
  return "";
}

/// Why these are not the sheets to measure on, and what to do; empty: they are.
std::string WrongSheet(const SeenPhoto& photo, const Printed& printed, bool stand) {
  const MatLayout* const mat = printed.Find(photo.sheet);
  const int own = mat == nullptr ? 0 : photo.markers_of_sheet.at(photo.sheet);
  // A glossy board that stands mirrors what of the sheet lies before it: up to as many markers as
  // the photo shows themselves.
  const int of_mirror = stand && (mat == nullptr || mat->stand) ? 2 * own : own;
  if (photo.mirrored_markers >= kMirroredCount && photo.mirrored_markers > of_mirror) {
    return "the sheet is printed mirrored: print it again without \"mirror\" or \"transfer\", at "
           "100 %";
  }
  if (mat == nullptr) {
    return "no marker of a printed sheet is seen: whole sheet in the frame, more light, hold "
           "still; the sheets come from lieflat sheet";
  }
  if (mat->stand != stand) {
    return fmt::format("shows the {}, not a {} sheet: {}",
                       mat->plain,
                       stand ? "stand" : "lay",
                       stand ? "stand the board on the stand sheet, or use --pose lying"
                             : "lay the board on the lay sheet, or use --pose standing");
  }
  return stand ? "" : WrongTogether(photo, printed, *mat);
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
  verdict.problem = WrongSheet(photo, printed, stand);
  if (!verdict.problem.empty()) return verdict;
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
  const int sides = SidesSeen(photo, *printed.Find(photo.sheet));
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
