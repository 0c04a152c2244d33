#pragma once
// How age and thickness change what a class of part stands.

#include "lieflat/base/calib.h"
#include "lieflat/board/board.h"

namespace lieflat {

/// Acts on the allowed strain and on the median alike.
double LimitFactor(const Board& board, int year_now, const Calib& calib);

}  // namespace lieflat
