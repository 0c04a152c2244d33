#include "lieflat/sheet/print.h"

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "sheet/pages.h"

namespace lieflat {
namespace {

/// The pages of a kind of mat.
Result<std::vector<MatLayout>> PagesOf(SheetKind kind,
                                       const std::string& paper,
                                       const Calib& calib,
                                       const TileGrid& grid) {
  if (kind != SheetKind::kLay || grid.pages() == 1)
    return std::vector<MatLayout>{MatFor(calib, paper, kind == SheetKind::kStand)};
  auto tiles = TilesFor(calib, paper);
  if (tiles.empty()) {
    std::vector<std::string> others;
    for (const auto& name : PaperNames(calib)) {
      if (!TilesFor(calib, name).empty()) others.push_back(name);
    }
    return Error{ErrorCode::kBadUse,
                 "--tiles",
                 fmt::format("the paper {} has none", paper),
                 "--paper " + Join(others, " or ")};
  }
  const auto pages = static_cast<std::size_t>(grid.pages());
  if (pages > tiles.size()) {
    return Error{ErrorCode::kBadUse,
                 "--tiles",
                 fmt::format("{}x{} are {} pages, and there are {} tiles",
                             grid.columns,
                             grid.rows,
                             pages,
                             tiles.size()),
                 "fewer columns or rows: 2x1, 1x2, 2x2"};
  }
  tiles.resize(pages);
  return tiles;
}

}  // namespace

const char* Name(SheetKind kind) {
  switch (kind) {
    case SheetKind::kLay:
      return "lay";
    case SheetKind::kStand:
      return "stand";
    case SheetKind::kStickers:
      return "stickers";
    case SheetKind::kPocketCard:
      break;
  }
  return "pocket-card";
}

Result<std::string> SheetsPdf(const std::vector<SheetKind>& kinds,
                              const std::string& paper_name,
                              const Calib& calib,
                              const Instant& now,
                              const TileGrid& grid) {
  const auto paper = PaperNamed(calib, paper_name);
  if (!paper) return paper.error();
  internal::Canvas canvas("lieflat sheets", now.Iso());
  const MarkerFamily mat = MarkerFamilyOf(calib, "mat");
  for (const SheetKind kind : kinds) {
    switch (kind) {
      case SheetKind::kLay:
      case SheetKind::kStand: {
        const auto pages = PagesOf(kind, paper_name, calib, grid);
        if (!pages) return pages.error();
        for (const MatLayout& page : *pages) internal::DrawMat(canvas, page, *paper, mat, grid);
        break;
      }
      case SheetKind::kStickers:
        internal::DrawStickers(
            canvas, StickerLayoutOf(calib), *paper, MarkerFamilyOf(calib, "sticker"));
        break;
      case SheetKind::kPocketCard:
        internal::DrawPocketCard(canvas, *paper, calib);
        break;
    }
  }
  return canvas.Finish();
}

Result<std::string> WorksheetPdf(const Board& board,
                                 Side down,
                                 const std::string& paper_name,
                                 const Calib& calib,
                                 const Instant& now) {
  const auto paper = PaperNamed(calib, paper_name);
  if (!paper) return paper.error();
  internal::Canvas canvas("lieflat worksheet " + board.label, now.Iso());
  internal::DrawWorksheet(canvas, board, down, *paper);
  return canvas.Finish();
}

}  // namespace lieflat
