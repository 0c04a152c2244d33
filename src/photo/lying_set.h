#pragma once
// The photos of one set as one bundle problem.

#include <array>
#include <map>

#include "lieflat/photo/bundle.h"
#include "lieflat/photo/seen.h"

#include "photo/laid_pages.h"

namespace lieflat::internal {

/// Which point of the problem is which.
struct SetIndex {
  std::vector<std::array<int, 3>> corners;     ///< page, column, row of the sheet points
  std::map<std::array<int, 3>, int> point_of;  ///< and back
  std::vector<int> stickers;  ///< ids, in order; their corners follow the sheet points, four each
  [[nodiscard]] int StickerPoint(std::size_t sticker, int corner) const {
    return static_cast<int>(corners.size() + 4 * sticker) + corner;
  }
};

struct SetProblem {
  SetIndex index;
  BundleProblem bundle;
  std::vector<std::size_t> photo_of_shot;
};

/// The photo as the sensor saw it lying across: a portrait one turned by a quarter.
SeenPhoto Landscape(SeenPhoto photo);

/// @param photos   all of one size, all of one sheet, each with its plane homography.
/// @param used     which of them take part.
/// @param stickers ids that take part; each seen in two used photos at least.
/// @param pages    of the sheet, as they lie; corners of other pages are passed over.
SetProblem BuildProblem(const std::vector<SeenPhoto>& photos,
                        const std::vector<bool>& used,
                        const std::vector<int>& stickers,
                        const std::vector<LaidPage>& pages,
                        const Calib& calib);

/// The same without one shot; stickers then seen less than twice stay, held by nothing, and are to
/// be passed over (see SightingsOf).
BundleProblem WithoutShot(const BundleProblem& problem, const Bundle& solved, int shot);

/// How many shots see all four corners of a sticker, outliers left out.
int ShotsOf(const BundleProblem& problem,
            const std::vector<bool>& used,
            const SetIndex& index,
            std::size_t sticker);

}  // namespace lieflat::internal
