// The frame of a drawing of the board: place on the page, outline, grid, scale, holes, lines.

#include "report/board_canvas.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "lieflat/board/polygon.h"

#include "report/edges.h"
#include "report/words.h"

namespace lieflat::report {
namespace {

constexpr double kWidth = 360.0;        // shown about 1 : 1 on a screen of 390 px
constexpr double kBoardWidth = 282.0;   // at most; the rest is for the names of the side stations
constexpr double kBoardHeight = 400.0;  // at most
constexpr double kAbove = 20.0;
constexpr double kBelow = 40.0;  // names, then the scale bar

}  // namespace

BoardCanvas::BoardCanvas(const Board& board,
                         const std::vector<PartRating>& ratings,
                         std::string name)
    : placer({1.0, 1.0, kWidth - 1.0, 1.0}),
      board_(board),
      ratings_(ratings),
      name_(std::move(name)) {
  const auto [low, high] = board_.Box();
  low_ = low;
  size_ = high - low;
  scale_ = std::min(kBoardWidth / size_.x(), kBoardHeight / size_.y());
  left_ = 0.5 * (kWidth - scale_ * size_.x());
  height_ = kAbove + scale_ * size_.y() + kBelow;
  placer = LabelPlacer({1.0, 1.0, kWidth - 1.0, height_ - 1.0});
}

Eigen::Vector2d BoardCanvas::ToPx(const Eigen::Vector2d& at_mm) const {
  const Eigen::Vector2d from = scale_ * (at_mm - low_);
  return {left_ + from.x(), kAbove + scale_ * size_.y() - from.y()};
}
Eigen::Vector2d BoardCanvas::size_px() const { return {kWidth, height_}; }
PxBox BoardCanvas::BoardBox() const {
  return {left_, kAbove, left_ + scale_ * size_.x(), kAbove + scale_ * size_.y()};
}

std::vector<Eigen::Vector2d> BoardCanvas::ToPx(const std::vector<Eigen::Vector2d>& points) const {
  std::vector<Eigen::Vector2d> out;
  out.reserve(points.size());
  for (const auto& point : points) out.push_back(ToPx(point));
  return out;
}

std::string BoardCanvas::Outline() const {
  std::string path = Path(ToPx(board_.outline_mm), true);
  for (const auto& cutout : board_.cutouts_mm) path += Path(ToPx(cutout), true);
  return path;
}

std::string BoardCanvas::Grid() {
  drawing.grid_mm = NiceStep(scale_, 4.0);
  std::string fine;
  std::string coarse;
  const PxBox box = BoardBox();
  for (int i = 1; i * drawing.grid_mm < size_.x(); ++i) {
    (i % 5 == 0 ? coarse : fine) += fmt::format(
        "M{},{}V{}", Px(left_ + i * drawing.grid_mm * scale_), Px(box.top), Px(box.bottom));
  }
  for (int i = 1; i * drawing.grid_mm < size_.y(); ++i) {
    (i % 5 == 0 ? coarse : fine) += fmt::format(
        "M{},{}H{}", Px(box.left), Px(box.bottom - i * drawing.grid_mm * scale_), Px(box.right));
  }
  return fmt::format(
      "<path class=\"grid\" d=\"{}\"/>\n<path class=\"grid fifth\" d=\"{}\"/>\n", fine, coarse);
}

std::string BoardCanvas::ScaleBar() {
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
  placer.AddObstacle({x - 2.0, y - 4.0, x + length + 2.0, y + 4.0});
  placer.Place({{label}});
  return fmt::format("<path class=\"scale\" d=\"M{0},{1}v6M{0},{2}h{3}m0,-3v6\"/>\n",
                     Px(x),
                     Px(y - 3.0),
                     Px(y),
                     Px(length));
}

std::string BoardCanvas::Holes() {
  std::string out;
  for (const Hole& hole : board_.holes) {
    out += fmt::format("<path class=\"hole\" d=\"{}\"/>\n",
                       HolePath(ToPx(hole.centre_mm), 0.5 * hole.diameter_mm * scale_));
    drawing.has_holes = true;
  }
  return out;
}

void BoardCanvas::LabelLines(const std::vector<ContourLine>& lines,
                             const std::function<std::string(double level)>& text) {
  std::vector<const ContourLine*> order;
  for (const ContourLine& line : lines) order.push_back(&line);
  std::stable_sort(order.begin(), order.end(), [](const ContourLine* a, const ContourLine* b) {
    return a->Length() > b->Length();
  });
  for (const ContourLine* line : order) {
    if (line->Length() * scale_ < 40.0) continue;
    std::vector<LabelGroup> candidates;
    for (const double along : {0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.27, 0.73, 0.12, 0.88}) {
      const auto index =
          static_cast<std::size_t>(along * static_cast<double>(line->points_mm.size() - 1));
      const Eigen::Vector2d at = ToPx(line->points_mm[index]);
      const Label label{text(line->level_mm),
                        {at.x(), at.y() + 3.4},
                        Anchor::kMiddle,
                        9.5,
                        false,
                        false,
                        "level"};
      if (IsClear(label.Box(), lines, *line)) candidates.push_back({label});
    }
    placer.Place(candidates);
  }
}

bool BoardCanvas::IsClear(const PxBox& box,
                          const std::vector<ContourLine>& lines,
                          const ContourLine& own) const {
  for (const Eigen::Vector2d& corner : {Eigen::Vector2d(box.left, box.top),
                                        Eigen::Vector2d(box.right, box.top),
                                        Eigen::Vector2d(box.left, box.bottom),
                                        Eigen::Vector2d(box.right, box.bottom)}) {
    const Eigen::Vector2d mm(low_.x() + (corner.x() - left_) / scale_,
                             low_.y() + (BoardBox().bottom - corner.y()) / scale_);
    if (!OnBoard(board_, mm)) return false;
  }
  for (const ContourLine& line : lines) {
    if (&line == &own) continue;
    for (const Eigen::Vector2d& point : line.points_mm) {
      if (box.Holds(ToPx(point))) return false;
    }
  }
  return true;
}

std::string BoardCanvas::Svg(const std::string& title,
                             const std::string& on_board,
                             const std::string& parts,
                             const std::string& over,
                             bool with_patterns) {
  const std::string outline = Outline();
  std::string out = fmt::format(
      "<svg class=\"drawing\" viewBox=\"0 0 {0} {1}\" role=\"img\" "
      "aria-labelledby=\"{2}-t\">\n<title id=\"{2}-t\">{3}</title>\n<defs>{4}<clipPath "
      "id=\"{2}-board\"><path d=\"{5}\" clip-rule=\"evenodd\"/></clipPath></defs>\n<g "
      "clip-path=\"url(#{2}-board)\">\n<path class=\"paper\" d=\"{5}\"/>\n{6}</g>\n{7}<path "
      "class=\"outline\" d=\"{5}\"/>\n{8}",
      Px(kWidth),
      Px(height_),
      name_,
      Escape(title),
      with_patterns ? HatchPatterns() : "",
      outline,
      on_board,
      parts,
      over);
  for (const Label& label : placer.placed()) out += label.Svg();
  return out + "</svg>\n";
}

}  // namespace lieflat::report
