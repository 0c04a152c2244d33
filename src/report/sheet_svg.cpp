// The board as a topographic sheet: to scale on a faint grid, contour lines, spot heights, parts
// hatched by their share.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/board/polygon.h"
#include "lieflat/report/html.h"

#include "report/edges.h"
#include "report/labels.h"
#include "report/sheet.h"
#include "report/sheet_model.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace report {
namespace {

constexpr double kWidth = 360.0;        // shown about 1 : 1 on a screen of 390 px
constexpr double kBoardWidth = 282.0;   // at most; the rest is for the names of the side stations
constexpr double kBoardHeight = 400.0;  // at most
constexpr double kAbove = 20.0;
constexpr double kBelow = 40.0;  // names, then the scale bar
constexpr double kMark = 2.6;    // radius of a station's mark

/// A contour's weight and dash: readable without colour.
const char* LineClass(double level, double interval) {
  if (std::abs(level) < 1e-9) return "zero";
  // Every fifth line is heavier (every second where they are half a millimetre apart): the whole
  // numbers.
  const double heavy = interval == 0.5 || interval == 5.0 ? 2.0 * interval : 5.0 * interval;
  const bool is_heavy = std::abs(level / heavy - std::round(level / heavy)) < 1e-6;
  if (level > 0.0) return is_heavy ? "above heavy" : "above";
  return is_heavy ? "below heavy" : "below";
}

std::string Signed(double value, int decimals) {
  const std::string text = Rounded(value, decimals);
  const bool is_zero = text.find_first_not_of("0.") == std::string::npos;
  return Typographic(value > 0.0 && !is_zero ? "+" + text : text);
}

class SheetPainter {
 public:
  explicit SheetPainter(const Assessment& assessment)
      : a_(assessment), model_(ModelSheet(assessment)), placer_({1.0, 1.0, kWidth - 1.0, 1.0}) {
    const auto [low, high] = a_.board.Box();
    low_ = low;
    size_ = high - low;
    scale_ = std::min(kBoardWidth / size_.x(), kBoardHeight / size_.y());
    left_ = 0.5 * (kWidth - scale_ * size_.x());
    height_ = kAbove + scale_ * size_.y() + kBelow;
    placer_ = LabelPlacer({1.0, 1.0, kWidth - 1.0, height_ - 1.0});
  }

  SheetDrawing Draw() {
    drawing_.interval_mm = model_.interval_mm;
    drawing_.all_shown = model_.all_shown;
    const std::string grid = Grid();
    const std::string lines = Lines();
    const std::string scale_bar = ScaleBar();
    const std::string marks = Marks();
    PlaceStationLabels();
    const std::string parts = Parts();
    PlaceContourLabels();
    PlaceInnerHeights();
    drawing_.svg = fmt::format(
        "<svg class=\"drawing\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"sheet-t\">\n"
        "<title id=\"sheet-t\">{}</title>\n<defs>{}<clipPath id=\"on-board\"><path d=\"{}\" "
        "clip-rule=\"evenodd\"/>"
        "</clipPath></defs>\n<g clip-path=\"url(#on-board)\">\n<path class=\"paper\" "
        "d=\"{}\"/>\n{}{}</g>\n{}{}{}{}",
        Px(kWidth),
        Px(height_),
        Escape(Title()),
        HatchPatterns(),
        Outline(),
        Outline(),
        grid,
        lines,
        parts,
        fmt::format("<path class=\"outline\" d=\"{}\"/>\n", Outline()),
        marks,
        scale_bar);
    for (const Label& label : placer_.placed()) drawing_.svg += label.Svg();
    drawing_.svg += "</svg>\n";
    return drawing_;
  }

 private:
  [[nodiscard]] Eigen::Vector2d ToPx(const Eigen::Vector2d& at_mm) const {
    const Eigen::Vector2d from = scale_ * (at_mm - low_);
    return {left_ + from.x(), kAbove + scale_ * size_.y() - from.y()};
  }
  [[nodiscard]] PxBox BoardBox() const {
    return {left_, kAbove, left_ + scale_ * size_.x(), kAbove + scale_ * size_.y()};
  }

  [[nodiscard]] std::vector<Eigen::Vector2d> ToPx(
      const std::vector<Eigen::Vector2d>& points) const {
    std::vector<Eigen::Vector2d> out;
    out.reserve(points.size());
    for (const auto& point : points) out.push_back(ToPx(point));
    return out;
  }

  [[nodiscard]] std::string Title() const {
    return fmt::format(
        "{} seen from the component side: contour lines every {} mm, from {} to {} mm over the "
        "best plane",
        a_.board.label.empty() ? "The board" : a_.board.label,
        Plainly(model_.interval_mm),
        Signed(model_.lowest_mm, 2),
        Signed(model_.highest_mm, 2));
  }

  [[nodiscard]] std::string Outline() const {
    std::string path = Path(ToPx(a_.board.outline_mm), true);
    for (const auto& cutout : a_.board.cutouts_mm) path += Path(ToPx(cutout), true);
    return path;
  }

  [[nodiscard]] std::string Grid() {
    drawing_.grid_mm = NiceStep(scale_, 4.0);
    std::string fine;
    std::string coarse;
    const PxBox box = BoardBox();
    for (int i = 1; i * drawing_.grid_mm < size_.x(); ++i) {
      (i % 5 == 0 ? coarse : fine) += fmt::format(
          "M{},{}V{}", Px(left_ + i * drawing_.grid_mm * scale_), Px(box.top), Px(box.bottom));
    }
    for (int i = 1; i * drawing_.grid_mm < size_.y(); ++i) {
      (i % 5 == 0 ? coarse : fine) += fmt::format(
          "M{},{}H{}", Px(box.left), Px(box.bottom - i * drawing_.grid_mm * scale_), Px(box.right));
    }
    return fmt::format(
        "<path class=\"grid\" d=\"{}\"/>\n<path class=\"grid fifth\" d=\"{}\"/>\n", fine, coarse);
  }

  /// A line in the pieces that the readings show and those that they do not.
  [[nodiscard]] std::string Line(const ContourLine& line) const {
    std::vector<Eigen::Vector2d> points = line.points_mm;
    if (line.closed) points.push_back(points.front());
    const auto shown = [&](const Eigen::Vector2d& at) {
      return model_.u95.At(at) <= model_.interval_mm;
    };
    std::string out;
    for (std::size_t from = 0; from + 1 < points.size();) {
      const bool is_shown = shown(points[from]);
      std::size_t to = from + 1;
      while (to + 1 < points.size() && shown(points[to]) == is_shown) ++to;
      const std::vector<Eigen::Vector2d> piece(
          points.begin() + static_cast<std::ptrdiff_t>(from),
          points.begin() + static_cast<std::ptrdiff_t>(to) + 1);
      out += fmt::format("<path class=\"contour {}{}\" d=\"{}\"/>\n",
                         LineClass(line.level_mm, model_.interval_mm),
                         is_shown ? "" : " doubt",
                         Path(ToPx(piece), false));
      from = to;
    }
    return out;
  }

  [[nodiscard]] std::string Lines() {
    std::string out;
    for (const ContourLine& line : model_.lines) {
      if (line.points_mm.size() < 2) continue;
      out += Line(line);
      if (line.level_mm > 1e-9) drawing_.has_above = true;
      if (line.level_mm < -1e-9) drawing_.has_below = true;
    }
    return out;
  }

  [[nodiscard]] std::string ScaleBar() {
    const double step = NiceStep(scale_, 40.0);
    const double length = step * scale_;
    const double y = height_ - 10.0;
    const double x = BoardBox().left;
    const Label label{Plainly(step) + " mm",
                      {x + length + 5.0, y + 3.0},
                      Anchor::kStart,
                      9.5,
                      false,
                      false,
                      "soft"};
    placer_.AddObstacle({x - 2.0, y - 4.0, x + length + 2.0, y + 4.0});
    placer_.Place({{label}});
    return fmt::format("<path class=\"scale\" d=\"M{0},{1}v6M{0},{2}h{3}m0,-3v6\"/>\n",
                       Px(x),
                       Px(y - 3.0),
                       Px(y),
                       Px(length));
  }

  [[nodiscard]] std::string Marks() {
    std::string out;
    for (const Hole& hole : a_.board.holes) {
      const Eigen::Vector2d at = ToPx(hole.centre_mm);
      out += fmt::format("<path class=\"hole\" d=\"{}\"/>\n",
                         HolePath(at, 0.5 * hole.diameter_mm * scale_));
      drawing_.has_holes = true;
    }
    for (const Station& station : model_.stations) {
      const Eigen::Vector2d at = ToPx(station.at_mm);
      const double radius = station.name.empty() ? 1.5 : kMark;
      out += fmt::format("<circle class=\"station{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n",
                         station.read ? " read" : "",
                         Px(at.x()),
                         Px(at.y()),
                         Px(radius));
      placer_.AddObstacle({at.x() - radius, at.y() - radius, at.x() + radius, at.y() + radius});
    }
    return out;
  }

  [[nodiscard]] static std::string HeightText(const Station& station) {
    if (!station.shown) return "?";
    return Signed(station.height_mm, DecimalsFor(station.u95_mm, 1, 2));
  }

  /// Above, below, left or right of a point, in that spirit: the wanted place first.
  [[nodiscard]] static std::vector<LabelGroup> Around(const Eigen::Vector2d& at,
                                                      const std::string& name,
                                                      const std::string& height,
                                                      Eigen::Vector2d outward) {
    const std::string both = name.empty() ? height : name + " " + height;
    const auto one = [&](double x, double y, Anchor anchor) {
      return LabelGroup{Label{both, {x, y}, anchor, 9.5, false, false, "spot"}};
    };
    const double above = at.y() - 7.0;
    const double below = at.y() + 14.0;
    const auto two = [&](double x, Anchor anchor) {
      return LabelGroup{Label{name, {x, at.y() - 2.0}, anchor, 9.5, true, false, "spot"},
                        Label{height, {x, at.y() + 10.0}, anchor, 9.5, false, false, "spot"}};
    };
    std::vector<LabelGroup> out;
    if (std::abs(outward.x()) > std::abs(outward.y()) && !name.empty()) {
      const bool right = outward.x() > 0.0;
      out.push_back(two(at.x() + (right ? 6.0 : -6.0), right ? Anchor::kStart : Anchor::kEnd));
    }
    const double y = outward.y() > 0.0 ? below : above;
    const double other = outward.y() > 0.0 ? above : below;
    const Anchor inwards = outward.x() < -0.1  ? Anchor::kStart
                           : outward.x() > 0.1 ? Anchor::kEnd
                                               : Anchor::kMiddle;
    out.push_back(one(at.x() - (inwards == Anchor::kStart ? kMark
                                : inwards == Anchor::kEnd ? -kMark
                                                          : 0.0),
                      y,
                      inwards));
    out.push_back(one(at.x(), y, inwards == Anchor::kStart ? Anchor::kEnd : Anchor::kStart));
    out.push_back(one(at.x(), y, Anchor::kMiddle));
    for (const double side : {-1.0, 1.0}) {
      out.push_back(
          one(at.x() + side * 6.0, at.y() + 3.5, side > 0.0 ? Anchor::kStart : Anchor::kEnd));
      out.push_back(one(at.x() + side * 6.0, y, side > 0.0 ? Anchor::kStart : Anchor::kEnd));
      out.push_back(one(at.x() + side * 6.0, other, side > 0.0 ? Anchor::kStart : Anchor::kEnd));
    }
    out.push_back(one(at.x(), other, Anchor::kMiddle));
    return out;
  }

  /// Corners and edge middles, outside the board.
  void PlaceStationLabels() {
    const Eigen::Vector2d centre = 0.5 * (ToPx(low_) + ToPx(Eigen::Vector2d(low_ + size_)));
    for (const Station& station : model_.stations) {
      if (station.name.empty() || station.name == "M") continue;
      const Eigen::Vector2d at = ToPx(station.at_mm);
      Eigen::Vector2d outward = (at - centre).cwiseQuotient(scale_ * size_);
      const bool corner = station.name.size() == 1;
      if (corner) outward.x() *= 0.9;  // a corner's name goes above or below, never beside
      const auto candidates = Around(at, station.name, HeightText(station), outward);
      // A corner of a board that is no rectangle may lie inside its box: then its name goes
      // wherever there is room.
      if (!placer_.Place(candidates, {InnerBoard()})) placer_.Place(candidates);
    }
  }

  /// The board without its rim: names of its corners stay outside.
  [[nodiscard]] PxBox InnerBoard() const { return BoardBox().Grown(-1.0); }

  [[nodiscard]] const PartRating* RatingOf(const Part& part) const {
    for (const PartRating& rating : a_.parts) {
      if (rating.ref == part.ref) return &rating;
    }
    return nullptr;
  }

  struct DrawnPart {
    const Part* part;
    const PartRating* rating;
    std::vector<Eigen::Vector2d> corners;
    PxBox box;
  };

  [[nodiscard]] std::string Parts() {
    std::string out;
    std::vector<DrawnPart> drawn;
    for (const Part& part : a_.board.parts) {
      if (!part.has_place()) {
        drawing_.unplaced.push_back(part.region.empty()
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
    PlacePartLabels(drawn);
    for (const DrawnPart& one : drawn) placer_.AddObstacle(one.box);
    return out;
  }

  [[nodiscard]] std::string PartShape(const DrawnPart& one) {
    const int hatch = HatchOf(one.rating);
    if (std::find(drawing_.hatchings.begin(), drawing_.hatchings.end(), hatch) ==
        drawing_.hatchings.end()) {
      drawing_.hatchings.push_back(hatch);
    }
    const bool other = one.part->side == Side::kSolder;
    drawing_.other_side = drawing_.other_side || other;
    const std::string path = Path(one.corners, true);
    return fmt::format(
        "<path class=\"part-paper\" d=\"{0}\"/><path class=\"part h{1}{2}\" d=\"{0}\"/>\n",
        path,
        hatch,
        other ? " other" : "");
  }

  /// Large parts first: theirs are the names that matter, and they have room inside.
  void PlacePartLabels(std::vector<DrawnPart>& drawn) {
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
        AddPartCandidates(
            *one,
            fmt::format("{} {} %", ref, PrintShare(one->rating->share, one->rating->share95).value),
            candidates);
      }
      AddPartCandidates(*one, ref, candidates);
      if (!placer_.Place(candidates, others)) drawing_.unlabelled.push_back(one->part->ref);
    }
  }

  void AddPartCandidates(const DrawnPart& one,
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

  /// Along each line, the long ones first: the first place where the number is free, on the board,
  /// and not on another line.
  void PlaceContourLabels() {
    std::vector<const ContourLine*> order;
    for (const ContourLine& line : model_.lines) order.push_back(&line);
    std::stable_sort(order.begin(), order.end(), [](const ContourLine* a, const ContourLine* b) {
      return a->Length() > b->Length();
    });
    const int decimals = model_.interval_mm < 0.999 ? 1 : 0;
    for (const ContourLine* line : order) {
      if (line->Length() * scale_ < 40.0) continue;
      std::vector<LabelGroup> candidates;
      for (const double along : {0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.27, 0.73, 0.12, 0.88}) {
        const auto index =
            static_cast<std::size_t>(along * static_cast<double>(line->points_mm.size() - 1));
        const Eigen::Vector2d at = ToPx(line->points_mm[index]);
        const bool zero = std::abs(line->level_mm) < 1e-9;
        const Label label{zero ? "0" : Signed(line->level_mm, decimals),
                          {at.x(), at.y() + 3.4},
                          Anchor::kMiddle,
                          9.5,
                          false,
                          false,
                          "level"};
        if (IsClear(label.Box(), *line)) candidates.push_back({label});
      }
      placer_.Place(candidates);
    }
  }

  [[nodiscard]] bool IsClear(const PxBox& box, const ContourLine& own) const {
    for (const Eigen::Vector2d& corner : {Eigen::Vector2d(box.left, box.top),
                                          Eigen::Vector2d(box.right, box.top),
                                          Eigen::Vector2d(box.left, box.bottom),
                                          Eigen::Vector2d(box.right, box.bottom)}) {
      const Eigen::Vector2d mm(low_.x() + (corner.x() - left_) / scale_,
                               low_.y() + (BoardBox().bottom - corner.y()) / scale_);
      if (!OnBoard(a_.board, mm)) return false;
    }
    for (const ContourLine& line : model_.lines) {
      if (&line == &own) continue;
      for (const Eigen::Vector2d& point : line.points_mm) {
        if (box.Holds(ToPx(point))) return false;
      }
    }
    return true;
  }

  void PlaceInnerHeights() {
    for (const Station& station : model_.stations) {
      if (!station.name.empty() && station.name != "M") continue;
      if (!station.shown) continue;
      placer_.Place(Around(ToPx(station.at_mm), station.name, HeightText(station), {0.0, -1.0}));
    }
  }

  const Assessment& a_;
  SheetModel model_;
  Eigen::Vector2d low_, size_;
  double scale_ = 1.0, left_ = 0.0, height_ = 0.0;
  LabelPlacer placer_;
  SheetDrawing drawing_;
};

}  // namespace

SheetDrawing DrawSheet(const Assessment& assessment) { return SheetPainter(assessment).Draw(); }

}  // namespace report

std::string SheetSvg(const Assessment& assessment) {
  return assessment.surface ? report::DrawSheet(assessment).svg : "";
}

}  // namespace lieflat
