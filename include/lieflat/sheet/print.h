#pragma once
// The sheets to print, as PDF at true scale: 1 mm in the file is 1 mm on paper when printed at 100
// %.

#include <string>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/board/board.h"
#include "lieflat/sheet/layout.h"

namespace lieflat {

enum class SheetKind { kLay, kStand, kStickers, kPocketCard };
const char* Name(SheetKind kind);  ///< "lay" "stand" "stickers" "pocket-card"

/// The lay mat as so many pages side by side: its tiles, numbered along the rows from the upper
/// left.
struct TileGrid {
  int columns = 1, rows = 1;
  [[nodiscard]] int pages() const { return columns * rows; }
};

/// One page a kind, on the paper lying across; of a lay mat in tiles a page each. Mats carry two
/// rulers, their id and version, and the side that the camera stands on; tiles how to lay them.
/// @error kBadUse for an unknown paper, or more tiles than the paper has; kInternal when nothing
/// can be drawn.
Result<std::string> SheetsPdf(const std::vector<SheetKind>& kinds,
                              const std::string& paper,
                              const Calib& calib,
                              const Instant& now,
                              const TileGrid& grid = {});

/// The bench worksheet of one board: its outline as it lies (turned over when the component side is
/// down), the lettered points with a box each, the gaps along the edges, what to write down.
Result<std::string> WorksheetPdf(const Board& board,
                                 Side down,
                                 const std::string& paper,
                                 const Calib& calib,
                                 const Instant& now);

}  // namespace lieflat
