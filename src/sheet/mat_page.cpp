// The mats: chessboard, markers, rulers, what to do.

#include <algorithm>

#include <fmt/format.h>

#include "sheet/pages.h"

namespace lieflat::internal {
namespace {

constexpr Ink kBlack{0.0}, kWhite{1.0}, kGrey{0.72};
constexpr double kPenMm = 0.2;
constexpr double kEdgeMm = 7.0;  // printers leave up to 5 mm blank at the paper's edge

/// A straight bar as a filled rectangle: programs that show a PDF may shift thin strokes to whole
/// pixels, never areas.
void DrawBar(Canvas& canvas, const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  const Eigen::Vector2d half(kPenMm / 2.0, kPenMm / 2.0);
  canvas.Rectangle(from.cwiseMin(to) - half, from.cwiseMax(to) + half, kBlack);
}

/// Ticks every 10 mm from `start` along `along`; those at the ends are longer.
void DrawRuler(Canvas& canvas,
               const Eigen::Vector2d& start,
               const Eigen::Vector2d& along,
               double length) {
  const Eigen::Vector2d across(-along.y(), along.x());
  DrawBar(canvas, start, start + length * along);
  for (double at = 0.0; at <= length + 1e-9; at += 10.0) {
    const bool end = at < 1e-9 || at > length - 1e-9;
    const Eigen::Vector2d tick = start + at * along;
    DrawBar(canvas, tick, tick + (end ? 3.0 : 1.5) * across);
  }
}

void DrawRulers(Canvas& canvas, const MatLayout& layout, const Paper& paper) {
  const double length = layout.ruler_mm;
  const double left = layout.origin_on_page_mm.x();
  const double low = layout.origin_on_page_mm.y();
  DrawRuler(canvas, {left, kEdgeMm}, Eigen::Vector2d::UnitX(), length);
  canvas.Text(
      {left + length + 4.0, kEdgeMm}, 2.2, fmt::format("{:g} mm: I measure ________ mm", length));
  // Its ticks point to the left, away from the chessboard.
  DrawRuler(canvas, {kEdgeMm + 3.0, low}, Eigen::Vector2d::UnitY(), length);
  canvas.Text({kEdgeMm + 2.0, low + length + 3.0},
              2.2,
              length + 32.0 < paper.size_mm.y() - low ? "____ mm" : "",
              Align::kLeft,
              90.0);
}

void DrawWords(Canvas& canvas, const MatLayout& layout, const Paper& paper) {
  const double left = layout.origin_on_page_mm.x();
  const double top = layout.origin_on_page_mm.y() + layout.height_mm() + 3.0;
  canvas.Text({left, top},
              2.4,
              fmt::format("{} version {}   print at 100 %, matt paper; tape it to glass or a flat "
                          "{}",
                          layout.id,
                          layout.version,
                          layout.tile == 0 ? "plate" : "table"));
  canvas.Text({paper.size_mm.x() - left, layout.origin_on_page_mm.y() - 4.5},
              2.4,
              layout.stand ? "camera this side, looking down steeply" : "",
              Align::kRight);
}

/// Which tile the page is, in words and in a small plan of all, itself filled.
void DrawTilePlan(Canvas& canvas,
                  const MatLayout& layout,
                  const Paper& paper,
                  const TileGrid& grid) {
  constexpr double kHighMm = 7.0, kWideMm = 30.0;
  const Eigen::Vector2d low =
      layout.origin_on_page_mm + Eigen::Vector2d(0.0, layout.height_mm() + 2.5);
  canvas.Text(
      low + Eigen::Vector2d(0.0, 4.3),
      2.4,
      fmt::format("tile {} of {}: lay the tiles side by side as drawn on the right; gaps of "
                  "millimetres and small turns do no harm; then leave them as they lie",
                  layout.tile,
                  grid.pages()));
  const double share = std::min(kHighMm / (grid.rows * paper.size_mm.y()),
                                kWideMm / (grid.columns * paper.size_mm.x()));
  const Eigen::Vector2d cell = share * paper.size_mm;
  const double right = low.x() + layout.width_mm();
  for (int i = 0; i < grid.pages(); ++i) {
    const int column = i % grid.columns, row = i / grid.columns;
    const Eigen::Vector2d at(right - (grid.columns - column) * cell.x(),
                             low.y() + (grid.rows - 1 - row) * cell.y());
    if (i + 1 == layout.tile) canvas.Rectangle(at, at + cell, kGrey);
    canvas.Frame(at, at + cell, 0.2, kBlack);
    const double letters = std::min(2.4, 0.7 * cell.y());
    canvas.Text(at + Eigen::Vector2d(0.5 * cell.x(), 0.5 * cell.y() - 0.36 * letters),
                letters,
                fmt::format("{}", i + 1),
                Align::kCentre);
  }
}

void DrawBand(Canvas& canvas, const MatLayout& layout) {
  const Band& band = *layout.band;
  const Eigen::Vector2d origin = layout.origin_on_page_mm;
  const double y = origin.y() + layout.LineY();
  const double from = origin.x() + band.from_column * layout.square_mm;
  const double to = origin.x() + band.to_column * layout.square_mm;
  canvas.Line({from + 1.0, y}, {to - 1.0, y}, 0.15, kGrey);
}

}  // namespace

void DrawMarker(Canvas& canvas,
                const MarkerFamily& family,
                int id,
                const Eigen::Vector2d& centre_mm,
                double size_mm) {
  const int cells = family.bits + 2;
  const double cell = size_mm / cells;
  const Eigen::Vector2d corner = centre_mm + Eigen::Vector2d(-size_mm / 2.0, size_mm / 2.0);
  const Eigen::Vector2d half(size_mm / 2.0, size_mm / 2.0);
  canvas.Rectangle(centre_mm - half, centre_mm + half, kBlack);
  for (int row = 0; row < cells; ++row) {
    for (int column = 0; column < cells; ++column) {
      if (!family.White(id, row, column)) continue;
      canvas.Rectangle(corner + Eigen::Vector2d(column * cell, -(row + 1) * cell),
                       corner + Eigen::Vector2d((column + 1) * cell, -row * cell),
                       kWhite);
    }
  }
}

void DrawMat(Canvas& canvas,
             const MatLayout& layout,
             const Paper& paper,
             const MarkerFamily& family,
             const TileGrid& grid) {
  canvas.NewPage(paper.size_mm);
  const Eigen::Vector2d origin = layout.origin_on_page_mm;
  const Eigen::Vector2d square(layout.square_mm, layout.square_mm);
  for (int row = 0; row < layout.rows; ++row) {
    for (int column = 0; column < layout.columns; ++column) {
      if (!layout.Black(column, row)) continue;
      const Eigen::Vector2d low = origin + layout.Corner(column, row);
      canvas.Rectangle(low, low + square, kBlack);
    }
  }
  for (const MatMarker& marker : layout.Markers()) {
    DrawMarker(canvas, family, marker.id, origin + marker.centre_mm, layout.marker_mm);
  }
  if (layout.band) DrawBand(canvas, layout);
  DrawRulers(canvas, layout, paper);
  DrawWords(canvas, layout, paper);
  if (layout.tile != 0) DrawTilePlan(canvas, layout, paper, grid);
}

}  // namespace lieflat::internal
