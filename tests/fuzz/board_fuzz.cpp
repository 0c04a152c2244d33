// Any bytes as board.json: a board or an error, never a crash; an accepted board survives a round
// trip, and its masses are found or refused.

#include <cstddef>
#include <cstdint>
#include <string>

#include "lieflat/base/text.h"
#include "lieflat/board/board.h"
#include "lieflat/board/mass.h"

#include "require.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using lieflat::fuzz::Require;
  const std::string text(data, data + size);
  const auto json = lieflat::ParseJson(text, "board.json");
  if (!json) {
    Require(lieflat::IsUtf8(json.error().Text()), "an error can be printed");
    return 0;
  }
  const auto& calib = lieflat::Calib::Embedded();
  const auto board = lieflat::ParseBoard(*json, "board.json", calib);
  if (!board) {
    Require(board.error().where.starts_with("board.json"), "an error names the file");
    Require(lieflat::IsUtf8(board.error().Text()), "an error can be printed");
    return 0;
  }
  const std::string saved = lieflat::DumpJson(lieflat::ToJson(*board));
  const auto saved_json = lieflat::ParseJson(saved, "saved");
  Require(saved_json.has_value(), "what is saved is JSON");
  const auto again = lieflat::ParseBoard(*saved_json, "saved", calib);
  Require(again.has_value(), again ? "" : "what is saved is read again: " + again.error().Text());
  Require(lieflat::DumpJson(lieflat::ToJson(*again)) == saved, "a board survives its saved form");
  if (const auto mass = lieflat::DistributeMass(*board, calib)) {
    Require(mass->total_g.value > 0.0, "a board weighs something");
  }
  return 0;
}
