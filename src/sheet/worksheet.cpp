// The bench worksheet: the board as it lies, a box at each point.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sheet/pages.h"

namespace lieflat::internal {
namespace {

constexpr Ink kBlack{0.0}, kGrey{0.6};
constexpr double kBoxWide = 22.0, kBoxHigh = 8.0, kLetters = 3.0;

/// From the board's frame to the page.
struct View {
  const Board& board;
  bool turned = false;  ///< the component side is down: seen from behind
  double scale = 1.0;
  Eigen::Vector2d low_left;

  [[nodiscard]] Eigen::Vector2d operator()(const Eigen::Vector2d& at) const {
    const auto [low, high] = board.Box();
    const double x = turned ? high.x() - at.x() : at.x() - low.x();
    return low_left + scale * Eigen::Vector2d(x, at.y() - low.y());
  }
};

View FittedView(const Board& board, Side down, const Paper& paper) {
  const auto [low, high] = board.Box();
  const Eigen::Vector2d size = high - low;
  const Eigen::Vector2d room(paper.size_mm.x() - 90.0, paper.size_mm.y() - 84.0);
  const double scale = std::min({1.0, room.x() / size.x(), room.y() / size.y()});
  const Eigen::Vector2d start(0.5 * (paper.size_mm.x() - scale * size.x()),
                              16.0 + kBoxHigh + 0.5 * (room.y() - scale * size.y()) + 14.0);
  return {board, down == Side::kComponent, scale, start};
}

void DrawPolygon(Canvas& canvas, const View& view, const std::vector<Eigen::Vector2d>& polygon) {
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    canvas.Line(view(polygon[i]), view(polygon[(i + 1) % polygon.size()]), 0.3, kBlack);
  }
}

/// The point, its letter, and a box outside the board to write in.
void DrawPoint(Canvas& canvas,
               const View& view,
               const std::string& name,
               const Eigen::Vector2d& at,
               const Eigen::Vector2d& outwards) {
  const Eigen::Vector2d place = view(at);
  canvas.Circle(place, 1.0, 0.3, kBlack);
  const Eigen::Vector2d away(outwards.x() * (kBoxWide / 2.0 + 4.0),
                             outwards.y() * (kBoxHigh / 2.0 + 3.0));
  const Eigen::Vector2d centre = place + away;
  const Eigen::Vector2d half(kBoxWide / 2.0, kBoxHigh / 2.0);
  canvas.Frame(centre - half, centre + half, 0.2, kGrey);
  canvas.Text(centre - half + Eigen::Vector2d(1.0, 2.4), kLetters, name);
}

void DrawPoints(Canvas& canvas, const View& view) {
  const Board& board = view.board;
  const auto [low, high] = board.Box();
  const Eigen::Vector2d middle = 0.5 * (low + high), half = 0.5 * (high - low);
  const auto outwards = [&](const Eigen::Vector2d& at) {
    Eigen::Vector2d out = (at - middle).cwiseQuotient(half);
    if (view.turned) out.x() = -out.x();
    const auto whole = [](double share) {
      return std::abs(share) < 0.5 ? 0.0 : std::copysign(1.0, share);
    };
    return Eigen::Vector2d(whole(out.x()), whole(out.y()));
  };
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d at = board.corners_mm[i];
    DrawPoint(canvas, view, std::string(1, static_cast<char>('A' + i)), at, outwards(at));
  }
  for (const Edge edge : kEdges) {
    const Eigen::Vector2d at = 0.5 * (board.EdgeStart(edge) + board.EdgeEnd(edge));
    DrawPoint(canvas, view, Name(edge), at, outwards(at));
  }
  DrawPoint(canvas, view, "M", middle, {0.0, -1.0});
}

void DrawParts(Canvas& canvas, const View& view) {
  for (const Part& part : view.board.parts) {
    if (!part.has_place()) continue;
    const auto corners = part.Footprint();
    for (std::size_t i = 0; i < corners.size(); ++i) {
      canvas.Line(view(corners[i]), view(corners[(i + 1) % corners.size()]), 0.15, kGrey);
    }
    canvas.Text(view(*part.centre_mm), 2.0, part.ref, Align::kCentre);
  }
}

}  // namespace

void DrawWorksheet(Canvas& canvas, const Board& board, Side down, const Paper& paper) {
  canvas.NewPage(paper.size_mm);
  const View view = FittedView(board, down, paper);
  const double top = paper.size_mm.y() - 12.0;
  canvas.Text({12.0, top},
              3.5,
              fmt::format("{}   {} side up",
                          board.label.empty() ? "board" : board.label,
                          down == Side::kComponent ? "solder" : "component"));
  canvas.Text({12.0, top - 7.0},
              2.4,
              "held  [ ] upright  [ ] on points at ____________  [ ] on a table      tool "
              "____________   room ____ C   fitted ____________");
  canvas.Text({12.0, top - 12.0},
              2.4,
              "upright: the gap in mm under the straightedge at AB, BC, CD, DA, and the face it "
              "touches.  else: the height in mm at each point.");
  DrawPolygon(canvas, view, board.outline_mm);
  for (const auto& cutout : board.cutouts_mm) DrawPolygon(canvas, view, cutout);
  DrawParts(canvas, view);
  DrawPoints(canvas, view);
  canvas.Text({12.0, 8.0},
              2.2,
              view.scale > 0.999
                  ? "the board is drawn at its own size"
                  : fmt::format("the board is drawn at {:.0f} % of its size", 100.0 * view.scale));
}

}  // namespace lieflat::internal
