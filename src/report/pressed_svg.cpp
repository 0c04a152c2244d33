// The board pressed flat: lines of equal bend, and where plate and table carry the load.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/check.h"

#include "report/board_canvas.h"
#include "report/pressed.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {
namespace {

constexpr double kMicro = 1e6;

/// 20, 50, 100, 200, 500 ...: the smallest step that draws at most six lines.
double StepOfLines(double largest_ue) {
  constexpr int kMostLines = 6;
  for (double ten = 10.0;; ten *= 10.0) {
    for (const double step : {2.0 * ten, 5.0 * ten, 10.0 * ten}) {
      if (largest_ue / step <= kMostLines) return step;
    }
  }
}

/// Contacts nearer than this are one mark: a picture, not the mesh.
constexpr double kOneMarkPx = 9.0;

struct Mark {
  Eigen::Vector2d at;  ///< pixels, weighted by force
  double force_n = 0.0;
  bool above = false;  ///< pressed from the component side
};

std::vector<Mark> MarksOf(const BendField& field, const BoardCanvas& canvas) {
  std::vector<Mark> marks;
  for (const ContactForce& contact : field.contacts) {
    const bool above = contact.up_n < 0.0;
    const double force_n = std::abs(contact.up_n);
    if (force_n == 0.0) continue;
    const Eigen::Vector2d at = canvas.ToPx(contact.at_mm);
    const auto near = std::find_if(marks.begin(), marks.end(), [&](const Mark& mark) {
      return mark.above == above && (mark.at - at).norm() < kOneMarkPx;
    });
    if (near == marks.end()) {
      marks.push_back({at, force_n, above});
      continue;
    }
    near->at = (near->force_n * near->at + force_n * at) / (near->force_n + force_n);
    near->force_n += force_n;
  }
  return marks;
}

/// Area in proportion to force: filled where it is pressed, open where it is carried.
std::string DrawMarks(const std::vector<Mark>& marks, PressedDrawing& drawing) {
  double most_n = 0.0;
  for (const Mark& mark : marks) most_n = std::max(most_n, mark.force_n);
  std::string out;
  constexpr double kLargest = 6.5, kLeastShown = 0.01;
  for (const Mark& mark : marks) {
    if (mark.force_n < kLeastShown * most_n) continue;
    out += fmt::format("<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n",
                       mark.above ? "presses" : "carries",
                       Px(mark.at.x()),
                       Px(mark.at.y()),
                       Px(kLargest * std::sqrt(mark.force_n / most_n)));
    (mark.above ? drawing.presses : drawing.carries) = true;
  }
  return out;
}

std::string DrawLoads(const std::vector<PressedLoad>& loads, BoardCanvas& canvas) {
  std::string out;
  for (const PressedLoad& load : loads) {
    const std::vector<Eigen::Vector2d> outline = canvas.ToPx(load.outline_mm);
    out += fmt::format("<path class=\"load\" d=\"{}\"/>\n", Path(outline, true));
    PxBox box{1e9, 1e9, -1e9, -1e9};
    for (const Eigen::Vector2d& point : outline)
      box = {std::min(box.left, point.x()),
             std::min(box.top, point.y()),
             std::max(box.right, point.x()),
             std::max(box.bottom, point.y())};
    const double middle = 0.5 * (box.left + box.right);
    std::vector<LabelGroup> candidates;
    for (const double y : {0.5 * (box.top + box.bottom) + 3.4, box.bottom + 10.5, box.top - 4.0})
      candidates.push_back(
          {Label{load.words, {middle, y}, Anchor::kMiddle, 9.5, true, false, "part-name"}});
    canvas.placer.Place(candidates);
  }
  return out;
}

}  // namespace

PressedDrawing DrawPressed(const Board& board,
                           const std::vector<PartRating>& ratings,
                           const BendField& field,
                           bool alone,
                           const std::string& how,
                           const std::vector<PressedLoad>& loads) {
  PressedDrawing drawing;
  drawing.largest_ue = kMicro * field.strain.maxCoeff();
  drawing.step_ue = StepOfLines(drawing.largest_ue);
  BoardCanvas canvas(board, ratings, "pressed");
  const HeightGrid grid{field.origin_mm, field.step_mm, kMicro * field.strain};
  std::string lines;
  std::vector<ContourLine> drawn;
  for (double level = drawing.step_ue; level < drawing.largest_ue; level += drawing.step_ue) {
    for (ContourLine& line : Contours(grid, level)) {
      if (line.points_mm.size() < 2) continue;
      const auto heavy = std::lround(level / drawing.step_ue) % 2 == 0;
      lines += fmt::format("<path class=\"contour bend{}\" d=\"{}\"/>\n",
                           heavy ? " heavy" : "",
                           Path(canvas.ToPx(line.points_mm), line.closed));
      drawn.push_back(std::move(line));
    }
  }
  const std::string on_board = canvas.Grid() + lines;
  const std::string scale_bar = canvas.ScaleBar();
  const std::string pressing = DrawLoads(loads, canvas);
  const std::string parts = canvas.Parts();
  canvas.LabelLines(drawn, [](double level) { return fmt::format("{:.0f}", level); });
  drawing.grid_mm = canvas.drawing.grid_mm;
  drawing.width_px = canvas.size_px().x();
  drawing.height_px = canvas.size_px().y();
  drawing.svg = canvas.Svg(
      fmt::format("{} {}, seen from the component side: lines of equal bend every {:.0f} "
                  "microstrain",
                  board.label.empty() ? "The board" : board.label,
                  how,
                  drawing.step_ue),
      on_board,
      parts,
      pressing + canvas.Holes() + DrawMarks(MarksOf(field, canvas), drawing) + scale_bar,
      alone);
  return drawing;
}

}  // namespace lieflat::report
