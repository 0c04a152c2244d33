// The card for the pocket: what the limit means in gaps, for usual board sizes.

#include <fmt/format.h>

#include "lieflat/flatness/flatness.h"

#include "sheet/pages.h"

namespace lieflat::internal {
namespace {

constexpr double kRowMm = 6.0, kLettersMm = 2.6;
constexpr Ink kRule{0.6};

struct Row {
  std::string plain;
  double length = 0.0, width = 0.0, diagonal = 0.0, percent = 0.0;
};

std::vector<Row> UsualBoards(const Calib& calib) {
  std::vector<Row> rows;
  for (const std::string& name : PresetNames(calib)) {
    const auto board = PresetBoard(name, calib);
    LIEFLAT_CHECK(board.has_value(), "every preset makes a board");
    rows.push_back({calib.Text("presets", "/presets/" + name + "/plain"),
                    board->EdgeLength(Edge::kAB),
                    board->EdgeLength(Edge::kBC),
                    board->Diagonal(),
                    LimitOf(*board, calib).percent});
  }
  return rows;
}

}  // namespace

void DrawPocketCard(Canvas& canvas, const Paper& paper, const Calib& calib) {
  canvas.NewPage(paper.size_mm);
  double y = paper.size_mm.y() - 20.0;
  const double left = 20.0;
  const double columns[] = {
      left, left + 78.0, left + 112.0, left + 150.0, left + 188.0, left + 226.0};
  canvas.Text({left, y}, 4.0, "How far may a board be bent?");
  y -= 8.0;
  canvas.Text({left, y},
              kLettersMm,
              "The gap under a straightedge along the edge, the board held upright; the fourth "
              "corner's gap when three touch.");
  y -= 9.0;
  const char* const heads[] = {
      "board", "size mm", "limit", "gap, long edge", "gap, short edge", "fourth corner"};
  for (std::size_t i = 0; i < std::size(heads); ++i)
    canvas.Text({columns[i], y}, kLettersMm, heads[i]);
  canvas.Line({left, y - 2.0}, {columns[5] + 28.0, y - 2.0}, 0.2, kRule);
  for (const Row& row : UsualBoards(calib)) {
    y -= kRowMm;
    if (y < 24.0) break;
    // Bow: gap over length; twist: the fourth corner's gap over twice the diagonal
    // (IPC-TM-650 2.4.22).
    const double share = row.percent / 100.0;
    const std::string cells[] = {row.plain,
                                 fmt::format("{:.0f} x {:.0f}", row.length, row.width),
                                 fmt::format("{:g} %", row.percent),
                                 fmt::format("{:.1f} mm", share * row.length),
                                 fmt::format("{:.1f} mm", share * row.width),
                                 fmt::format("{:.1f} mm", 2.0 * share * row.diagonal)};
    for (std::size_t i = 0; i < std::size(cells); ++i)
      canvas.Text({columns[i], y}, kLettersMm, cells[i]);
  }
  canvas.Text({left, 14.0},
              kLettersMm,
              "0.75 % holds for boards with surface-mounted parts, 1.5 % for others. A board that "
              "works and need not be flat is left alone.");
}

}  // namespace lieflat::internal
