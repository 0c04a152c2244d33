#include "lieflat/sheet/print.h"

#include "sheet/pages.h"

namespace lieflat {

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
                              const Instant& now) {
  const auto paper = PaperNamed(calib, paper_name);
  if (!paper) return paper.error();
  internal::Canvas canvas("lieflat sheets", now.Iso());
  const MarkerFamily mat = MarkerFamilyOf(calib, "mat");
  for (const SheetKind kind : kinds) {
    switch (kind) {
      case SheetKind::kLay:
      case SheetKind::kStand:
        internal::DrawMat(
            canvas, MatFor(calib, paper_name, kind == SheetKind::kStand), *paper, mat);
        break;
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
