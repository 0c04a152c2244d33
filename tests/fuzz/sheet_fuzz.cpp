// Any bytes as a sheet of readings, taken as lying in each of the ways a board can be held: rows or
// an error that names the place, never a crash. Rows that were accepted must survive the log.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "lieflat/readings/gauge.h"

#include "require.h"

namespace {

using lieflat::fuzz::Require;

const lieflat::Board& AnyBoard() {
  static const lieflat::Board board =
      *lieflat::RectangularBoard(305, 244, lieflat::Calib::Embedded());
  return board;
}

void CheckError(const lieflat::Error& error) {
  Require(error.where.starts_with("up.csv"), "an error names the file: " + error.Text());
  Require(!error.message.empty(), "an error has a message");
  Require(lieflat::IsUtf8(error.Text()), "an error can be printed");
}

void CheckRows(const lieflat::Sheet& sheet, lieflat::Rest rest, lieflat::Side down, bool as_seen) {
  auto rows = lieflat::RowsFromSheet(sheet, rest, down, as_seen, AnyBoard());
  if (!rows) return CheckError(rows.error());
  lieflat::Gauge gauge;
  gauge.rest = rest;
  gauge.down = down;
  gauge.rows = *rows;
  const lieflat::Json saved = lieflat::ToJson(gauge);
  const auto back = lieflat::ParseGauge(saved, "saved");
  if (!back) return;  // rows may still break a rule that only the whole entry shows
  Require(lieflat::ToJson(*back) == saved, "a reading survives its saved form");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(data, data + size);
  const auto sheet = lieflat::ParseSheet(text, "up.csv");
  if (!sheet) {
    CheckError(sheet.error());
    return 0;
  }
  for (const auto rest : {lieflat::Rest::kUpright,
                          lieflat::Rest::kPoints,
                          lieflat::Rest::kTable,
                          lieflat::Rest::kFree}) {
    CheckRows(*sheet, rest, lieflat::Side::kSolder, false);
    CheckRows(*sheet, rest, lieflat::Side::kComponent, true);
  }
  return 0;
}
