#pragma once
// A sheet may be several pages (tiles): each lies on the table as it was put down, side by side
// with gaps and small turns. Where each lies is found from the photos that show two of them.

#include <optional>

#include "lieflat/photo/bundle.h"
#include "lieflat/photo/seen.h"

namespace lieflat::internal {

struct LaidPage {
  const MatLayout* mat = nullptr;
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< of the chessboard's origin, in the world
  double turned_rad = 0.0;                          ///< of its x axis

  [[nodiscard]] Eigen::Vector2d ToWorld(const Eigen::Vector2d& on_page) const;
  [[nodiscard]] Eigen::Vector2d Place(const SeenCorner& corner) const {
    return ToWorld(mat->Corner(corner.column, corner.row));
  }
  [[nodiscard]] SheetPage AsStart() const;
};
/// Where the solved page lies.
LaidPage Solved(const MatLayout& mat, const SheetPage& page);

/// Which page a corner is on; nothing when it is on none of them.
std::optional<std::size_t> PageOf(const std::vector<LaidPage>& pages, const SeenCorner& corner);

/// The pages of a sheet that used photos show, roughly as they lie, the one with the most corners
/// first: its frame is the world's. Pages that no photo shows well are left out.
/// @error kNoFigure naming the tiles that no photo shows together with the others.
Result<std::vector<LaidPage>> LayPages(const std::vector<SeenPhoto>& photos,
                                       const std::vector<bool>& used,
                                       const std::string& sheet,
                                       const Printed& printed);

}  // namespace lieflat::internal
