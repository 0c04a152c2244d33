// The parts on a drawing of the board: shapes hatched by their share, and names where there is
// room.

#include <algorithm>

#include <fmt/format.h>

#include "report/board_canvas.h"
#include "report/words.h"

namespace lieflat::report {

const PartRating* BoardCanvas::RatingOf(const Part& part) const {
  for (const PartRating& rating : ratings_) {
    if (rating.ref == part.ref) return &rating;
  }
  return nullptr;
}

std::string BoardCanvas::Parts() {
  std::string out;
  std::vector<DrawnPart> drawn;
  for (const Part& part : board_.parts) {
    if (!part.has_place()) {
      drawing.unplaced.push_back(part.region.empty()
                                     ? part.ref + " (place not known)"
                                     : fmt::format("{} ({})", part.ref, part.region));
      continue;
    }
    const auto footprint = part.Footprint();
    DrawnPart one{&part,
                  RatingOf(part),
                  ToPx(std::vector<Eigen::Vector2d>(footprint.begin(), footprint.end())),
                  {}};
    one.box = {1e9, 1e9, -1e9, -1e9};
    for (const auto& corner : one.corners) {
      one.box = {std::min(one.box.left, corner.x()),
                 std::min(one.box.top, corner.y()),
                 std::max(one.box.right, corner.x()),
                 std::max(one.box.bottom, corner.y())};
    }
    out += PartShape(one);
    drawn.push_back(std::move(one));
  }
  BoardCanvas::PlacePartLabels(drawn);
  for (const DrawnPart& one : drawn) placer.AddObstacle(one.box);
  return out;
}

std::string BoardCanvas::PartShape(const DrawnPart& one) {
  const int hatch = HatchOf(one.rating);
  if (std::find(drawing.hatchings.begin(), drawing.hatchings.end(), hatch) ==
      drawing.hatchings.end()) {
    drawing.hatchings.push_back(hatch);
  }
  const bool other = one.part->side == Side::kSolder;
  drawing.other_side = drawing.other_side || other;
  const std::string path = Path(one.corners, true);
  return fmt::format(
      "<path class=\"part-paper\" d=\"{0}\"/><path class=\"part h{1}{2}\" d=\"{0}\"/>\n",
      path,
      hatch,
      other ? " other" : "");
}

void BoardCanvas::PlacePartLabels(std::vector<DrawnPart>& drawn) {
  std::vector<const DrawnPart*> order;
  order.reserve(drawn.size());
  for (const DrawnPart& one : drawn) order.push_back(&one);
  std::stable_sort(order.begin(), order.end(), [](const DrawnPart* a, const DrawnPart* b) {
    return (a->rating != nullptr ? a->rating->share : 0.0) >
           (b->rating != nullptr ? b->rating->share : 0.0);
  });
  for (const DrawnPart* one : order) {
    std::vector<PxBox> others;
    for (const DrawnPart& other : drawn) {
      if (&other != one) others.push_back(other.box.Grown(-0.5));
    }
    const std::string ref = Printable(one->part->ref);
    std::vector<LabelGroup> candidates;
    if (one->rating != nullptr && one->rating->measured) {
      BoardCanvas::AddPartCandidates(
          *one,
          fmt::format("{} {} %", ref, PrintShare(one->rating->share, one->rating->share95).value),
          candidates);
    }
    AddPartCandidates(*one, ref, candidates);
    if (!placer.Place(candidates, others)) drawing.unlabelled.push_back(one->part->ref);
  }
}

void BoardCanvas::AddPartCandidates(const DrawnPart& one,
                                    const std::string& text,
                                    std::vector<LabelGroup>& out) const {
  const PxBox& box = one.box;
  const Eigen::Vector2d middle(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom));
  const auto add = [&](double x, double y, Anchor anchor, bool upright, bool inside) {
    const Label label{text, {x, y}, anchor, 9.5, true, upright, "part-name"};
    const PxBox room = inside ? box.Grown(-1.0) : BoardBox().Grown(-1.0);
    if (room.Holds(label.Box())) out.push_back({label});
  };
  add(middle.x(), middle.y() + 3.4, Anchor::kMiddle, false, true);
  add(middle.x() + 3.4, middle.y(), Anchor::kMiddle, true, true);
  add(middle.x(), box.bottom + 10.5, Anchor::kMiddle, false, false);
  add(middle.x(), box.top - 4.0, Anchor::kMiddle, false, false);
  add(box.right + 3.0, middle.y() + 3.4, Anchor::kStart, false, false);
  add(box.left - 3.0, middle.y() + 3.4, Anchor::kEnd, false, false);
  add(box.left, box.bottom + 10.5, Anchor::kStart, false, false);
  add(box.right, box.bottom + 10.5, Anchor::kEnd, false, false);
  add(box.left, box.top - 4.0, Anchor::kStart, false, false);
  add(box.right, box.top - 4.0, Anchor::kEnd, false, false);
}

}  // namespace lieflat::report
