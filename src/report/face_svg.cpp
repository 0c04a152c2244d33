// A face's picture to scale, with the marks of damage on it by their numbers.

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/report/html.h"

#include "report/board_canvas.h"
#include "report/damage.h"
#include "report/svg.h"

namespace lieflat {
namespace report {

std::string BoardCanvas::Face(const FacePicture& picture, const std::string& css) const {
  const Eigen::Vector2d low = ToPx(picture.low_mm), high = ToPx(picture.high_mm);
  return fmt::format(
      "<image class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" "
      "preserveAspectRatio=\"none\" href=\"{}\"/>\n",
      css,
      Px(low.x()),
      Px(high.y()),
      Px(high.x() - low.x()),
      Px(low.y() - high.y()),
      picture.data_uri);
}

SheetDrawing DrawFace(const Assessment& assessment, const FacePicture& picture) {
  BoardCanvas canvas(
      assessment.board, assessment.parts, fmt::format("face-{}", Name(picture.side)));
  std::vector<JudgedMark> marks;
  for (const JudgedMark& judged : assessment.marks) {
    // What goes through shows on both faces; what names no side, on either.
    const bool here =
        !judged.mark.side || *judged.mark.side == picture.side || judged.mark.depth == "through";
    if (here) marks.push_back(judged);
  }
  const std::string scale_bar = canvas.ScaleBar();
  const std::string damage = canvas.Damage(marks);
  const PxBox box = canvas.BoardBox();
  for (const auto& [name, x, y] : {std::tuple("A", box.left, box.bottom + 11.0),
                                   std::tuple("B", box.right, box.bottom + 11.0),
                                   std::tuple("C", box.right, box.top - 5.0),
                                   std::tuple("D", box.left, box.top - 5.0)})
    canvas.placer.Place({{Label{name, {x, y}, Anchor::kMiddle, 9.5, true, false, "spot"}}});
  const std::string title =
      fmt::format("{}: the {} side to scale, with its marks of damage",
                  assessment.board.label.empty() ? "The board" : assessment.board.label,
                  Name(picture.side));
  canvas.drawing.svg = canvas.Svg(title,
                                  canvas.Face(picture, "face"),
                                  "",
                                  "<g class=\"fine\">\n" + damage + "</g>\n" + scale_bar,
                                  false);
  return canvas.drawing;
}

}  // namespace report

std::string FaceSvg(const Assessment& assessment, const FacePicture& picture) {
  return report::DrawFace(assessment, picture).svg;
}

}  // namespace lieflat
