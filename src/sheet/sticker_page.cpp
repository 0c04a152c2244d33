#include <fmt/format.h>

#include "sheet/pages.h"

namespace lieflat::internal {
namespace {

constexpr Ink kCut{0.75};
constexpr double kMarginMm = 10.0, kPitchMm = 19.0;

/// Lays stickers out in rows from the top left.
class Rows {
 public:
  Rows(const Paper& paper, double top_mm) : paper_(paper), at_(kMarginMm, top_mm) {}
  /// Lower left of the next place.
  Eigen::Vector2d Next() {
    if (at_.x() + kPitchMm > paper_.size_mm.x() - kMarginMm) NewRow();
    const Eigen::Vector2d place(at_.x(), at_.y() - kPitchMm);
    at_.x() += kPitchMm;
    return place;
  }
  void NewRow() { at_ = {kMarginMm, at_.y() - kPitchMm}; }
  [[nodiscard]] bool Full() const { return at_.y() - kPitchMm < kMarginMm; }

 private:
  const Paper& paper_;
  Eigen::Vector2d at_;
};

void DrawSticker(Canvas& canvas,
                 const StickerLayout& layout,
                 const MarkerFamily& family,
                 int id,
                 double size,
                 const Eigen::Vector2d& place) {
  const double outer = size + 2.0 * layout.rim_mm;
  const Eigen::Vector2d centre = place + Eigen::Vector2d(kPitchMm / 2.0, 4.5 + outer / 2.0);
  const Eigen::Vector2d half(outer / 2.0, outer / 2.0);
  canvas.Frame(centre - half, centre + half, 0.1, kCut);
  DrawMarker(canvas, family, id, centre, size);
  canvas.Text({centre.x(), place.y() + 1.2}, 2.2, layout.NameOf(id), Align::kCentre);
}

}  // namespace

void DrawStickers(Canvas& canvas,
                  const StickerLayout& layout,
                  const Paper& paper,
                  const MarkerFamily& family) {
  canvas.NewPage(paper.size_mm);
  const double top = paper.size_mm.y() - kMarginMm;
  canvas.Text({kMarginMm, top - 2.5},
              2.4,
              fmt::format("stickers version 1   print at 100 % on matt labels, cut along the grey "
                          "lines: the white rim stays"));
  canvas.Text({kMarginMm, top - 6.5},
              2.2,
              "A B C D into the corners, AB BC CD DA against the middles of the edges, M in the "
              "middle; flat on the board, on no part.");
  Rows rows(paper, top - 8.0);
  const int lettered = static_cast<int>(layout.lettered.size());
  for (std::size_t i = 0; i < layout.sizes_mm.size(); ++i) {
    const int count = i == 0 ? layout.count : lettered;
    for (int id = 0; id < count && !rows.Full(); ++id) {
      DrawSticker(canvas, layout, family, id, layout.sizes_mm[i], rows.Next());
    }
  }
}

}  // namespace lieflat::internal
