#pragma once
// Which place of the board a sticker lies at: by its letter or by a table; the rest found from
// those.

#include <map>
#include <string>
#include <vector>

#include "lieflat/board/board.h"
#include "lieflat/sheet/layout.h"

namespace lieflat::internal {

struct Measured {
  int id = 0;
  Eigen::Vector2d at_mm;  ///< along the board's own plane, handedness of the side that is up
  double size_mm = 0.0;   ///< of the black square
};

struct Placing {
  double scale = 1.0, scale_u = 1.0;    ///< board's length over measured; its uncertainty
  std::vector<Eigen::Vector2d> places;  ///< by sticker, board frame
  std::vector<std::string> doubts;      ///< lettered stickers far from their place
};

/// @param rulers_scale  true over nominal when the rulers were measured: taken as it is.
/// @error kRefused: stickers the other way round, too few with a place, a scale that is off.
Result<Placing> PlaceOnBoard(const std::vector<Measured>& stickers,
                             const Board& board,
                             Side down,
                             const std::map<std::string, Eigen::Vector2d>& table,
                             const StickerLayout& layout,
                             std::optional<double> rulers_scale,
                             const Calib& calib);

}  // namespace lieflat::internal
