// The board as a topographic sheet: to scale on a faint grid, contour lines, spot heights, parts
// hatched by their share.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/report/html.h"

#include "report/board_canvas.h"
#include "report/edges.h"
#include "report/sheet.h"
#include "report/sheet_model.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace report {
namespace {

constexpr double kMark = 2.6;  // radius of a station's mark

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
  SheetPainter(const Assessment& assessment, const FacePicture* under)
      : a_(assessment),
        under_(under),
        model_(ModelSheet(assessment)),
        canvas_(assessment.board, assessment.parts, "sheet") {}

  SheetDrawing Draw() {
    SheetDrawing& drawing = canvas_.drawing;
    drawing.interval_mm = model_.interval_mm;
    drawing.all_shown = model_.all_shown;
    const std::string below = under_ == nullptr ? "" : canvas_.Face(*under_, "faint");
    const std::string on_board = below + canvas_.Grid() + Lines();
    const std::string scale_bar = canvas_.ScaleBar();
    const std::string marks = canvas_.Holes() + Marks();
    const std::string damage = canvas_.Damage(a_.marks);
    PlaceStationLabels();
    const std::string parts = canvas_.Parts();
    const int decimals = model_.interval_mm < 0.999 ? 1 : 0;
    canvas_.LabelLines(model_.lines, [decimals](double level) {
      return std::abs(level) < 1e-9 ? "0" : Signed(level, decimals);
    });
    PlaceInnerHeights();
    drawing.svg = canvas_.Svg(Title(), on_board, parts, marks + damage + scale_bar, true);
    return drawing;
  }

 private:
  [[nodiscard]] std::string Title() const {
    return fmt::format(
        "{} seen from the component side: contour lines every {} mm, from {} to {} mm over the "
        "best plane",
        a_.board.label.empty() ? "The board" : a_.board.label,
        Plainly(model_.interval_mm),
        Signed(model_.lowest_mm, 2),
        Signed(model_.highest_mm, 2));
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
                         Path(canvas_.ToPx(piece), false));
      from = to;
    }
    return out;
  }

  [[nodiscard]] std::string Lines() {
    std::string out;
    for (const ContourLine& line : model_.lines) {
      if (line.points_mm.size() < 2) continue;
      out += Line(line);
      if (line.level_mm > 1e-9) canvas_.drawing.has_above = true;
      if (line.level_mm < -1e-9) canvas_.drawing.has_below = true;
    }
    return out;
  }

  [[nodiscard]] std::string Marks() {
    std::string out;
    for (const Station& station : model_.stations) {
      const Eigen::Vector2d at = canvas_.ToPx(station.at_mm);
      const double radius = station.name.empty() ? 1.5 : kMark;
      out += fmt::format("<circle class=\"station{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n",
                         station.read ? " read" : "",
                         Px(at.x()),
                         Px(at.y()),
                         Px(radius));
      canvas_.placer.AddObstacle(
          {at.x() - radius, at.y() - radius, at.x() + radius, at.y() + radius});
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
    const PxBox box = canvas_.BoardBox();
    const Eigen::Vector2d centre(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom));
    const Eigen::Vector2d size(box.width(), box.height());
    for (const Station& station : model_.stations) {
      if (station.name.empty() || station.name == "M") continue;
      const Eigen::Vector2d at = canvas_.ToPx(station.at_mm);
      Eigen::Vector2d outward = (at - centre).cwiseQuotient(size);
      const bool corner = station.name.size() == 1;
      if (corner) outward.x() *= 0.9;  // a corner's name goes above or below, never beside
      const auto candidates = Around(at, station.name, HeightText(station), outward);
      // A corner of a board that is no rectangle may lie inside its box: then its name goes
      // wherever there is room.
      if (!canvas_.placer.Place(candidates, {canvas_.InnerBoard()}))
        canvas_.placer.Place(candidates);
    }
  }

  void PlaceInnerHeights() {
    for (const Station& station : model_.stations) {
      if (!station.name.empty() && station.name != "M") continue;
      if (!station.shown) continue;
      canvas_.placer.Place(
          Around(canvas_.ToPx(station.at_mm), station.name, HeightText(station), {0.0, -1.0}));
    }
  }

  const Assessment& a_;
  const FacePicture* under_;
  SheetModel model_;
  BoardCanvas canvas_;
};

}  // namespace

SheetDrawing DrawSheet(const Assessment& assessment, const FacePicture* under) {
  return SheetPainter(assessment, under).Draw();
}

}  // namespace report

std::string SheetSvg(const Assessment& assessment) {
  return assessment.surface ? report::DrawSheet(assessment).svg : "";
}

}  // namespace lieflat
