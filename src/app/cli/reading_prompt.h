#pragma once
// Readings typed at a prompt. Each answer goes through the same reader as a row of a sheet, so that
// both refuse alike.

#include <string>

#include "lieflat/board/board.h"
#include "lieflat/readings/gauge.h"

#include "app/cli/prompt.h"

namespace lieflat::cli {

/// A row of a sheet from its place (as the sheet's cells) and an answer: "3.42" (a gap or height),
/// "3.40 3.45" (thickest that goes in, thinnest that does not), "- 0.05" (none goes in). @error as
/// RowsFromSheet.
Result<GaugeRow> RowFromAnswer(const GaugeRow& place,
                               const std::string& answer,
                               const Gauge& held,
                               const Board& board);

/// How the board was held, then each usual place in turn.
Result<void> AskReadings(Gauge& gauge, const Board& board);
/// The places of `old` again, without showing a value.
Result<void> AskAgain(Gauge& gauge, const Gauge& old, const Board& board);

/// What to call the place of a row: "AB, solder side", "C", "x 61 y 49".
std::string PlaceInWords(const GaugeRow& row);

}  // namespace lieflat::cli
