// Numbered marks of damage on a drawing of the board.

#include <fmt/format.h>

#include "report/board_canvas.h"
#include "report/damage.h"
#include "report/svg.h"

namespace lieflat::report {

std::string BoardCanvas::Damage(const std::vector<JudgedMark>& marks) {
  std::string out;
  for (const JudgedMark& judged : marks) {
    const auto places = DamagePlaces(judged.mark, board_);
    if (places.empty()) continue;
    drawing.has_damage = true;
    const auto points = ToPx(places);
    if (points.size() > 1) {
      out += fmt::format("<path class=\"damage\" d=\"{}\"/>\n", Path(points, judged.mark.outline));
    }
    out += NumberAt(points.front(), judged.number);
  }
  return out;
}

/// Beside the mark rather than over it, and clear of the numbers before it.
std::string BoardCanvas::NumberAt(const Eigen::Vector2d& at, int number) {
  constexpr double kRadius = 7.0, kAside = 9.0;
  const auto box_at = [](const Eigen::Vector2d& centre) {
    return PxBox{
        centre.x() - kRadius, centre.y() - kRadius, centre.x() + kRadius, centre.y() + kRadius};
  };
  Eigen::Vector2d centre = at;
  for (const Eigen::Vector2d& step : {Eigen::Vector2d(-1.0, -1.0),
                                      Eigen::Vector2d(1.0, -1.0),
                                      Eigen::Vector2d(-1.0, 1.0),
                                      Eigen::Vector2d(1.0, 1.0),
                                      Eigen::Vector2d(0.0, -2.0),
                                      Eigen::Vector2d(0.0, 2.0)}) {
    centre = at + kAside * step;
    if (placer.IsFree(box_at(centre))) break;
  }
  placer.AddObstacle(box_at(centre));
  return fmt::format(
      "<path class=\"damage\" d=\"M{},{}L{},{}\"/><circle class=\"damage-number\" cx=\"{}\" "
      "cy=\"{}\" r=\"{}\"/>{}\n",
      Px(at.x()),
      Px(at.y()),
      Px(centre.x()),
      Px(centre.y()),
      Px(centre.x()),
      Px(centre.y()),
      Px(kRadius),
      Label{std::to_string(number), {centre.x(), centre.y() + 3.4}, Anchor::kMiddle, 9.5, true}
          .Svg());
}

}  // namespace lieflat::report
