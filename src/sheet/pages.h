#pragma once
// One function a page.

#include "lieflat/board/board.h"
#include "lieflat/sheet/print.h"

#include "sheet/canvas.h"

namespace lieflat::internal {

/// @param grid  how the tiles are laid, for a layout that is one of them.
void DrawMat(Canvas& canvas,
             const MatLayout& layout,
             const Paper& paper,
             const MarkerFamily& family,
             const TileGrid& grid);
void DrawStickers(Canvas& canvas,
                  const StickerLayout& layout,
                  const Paper& paper,
                  const MarkerFamily& family);
void DrawPocketCard(Canvas& canvas, const Paper& paper, const Calib& calib);
void DrawWorksheet(Canvas& canvas, const Board& board, Side down, const Paper& paper);

/// A marker with its border, black on the white of the paper.
void DrawMarker(Canvas& canvas,
                const MarkerFamily& family,
                int id,
                const Eigen::Vector2d& centre_mm,
                double size_mm);

}  // namespace lieflat::internal
