#include "lieflat/readings/gauge.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace lieflat {
namespace {

constexpr std::array<const char*, 4> kRestNames = {"upright", "points", "table", "free"};

Result<Support> SupportFromWord(const std::string& word,
                                const Board& board,
                                const std::string& where) {
  if (const auto place = StationPlace(word, board)) {
    return Support{word, *place};
  }
  const auto colon = word.find(':');
  if (colon == std::string::npos) {
    return Error{
        ErrorCode::kBadUse,
        where,
        fmt::format("\"{}\" is no rest point", word),
        "give letters (A B C D AB BC CD DA M) or x:y in mm, as in A,B,CD or 61:49,244:49,152:195"};
  }
  Support support;
  for (const Eigen::Index axis : {0, 1}) {
    const std::string part = axis == 0 ? word.substr(0, colon) : word.substr(colon + 1);
    const auto length = ParseLength(part, where, false);
    if (!length) {
      Error error = length.error();
      error.code = ErrorCode::kBadUse;
      return error;
    }
    support.at_mm(axis) = *length;
  }
  return support;
}

}  // namespace

const char* Name(Rest rest) { return kRestNames.at(static_cast<std::size_t>(rest)); }

std::optional<Rest> RestNamed(std::string_view name) {
  for (std::size_t i = 0; i < kRestNames.size(); ++i) {
    if (name == kRestNames.at(i)) {
      return static_cast<Rest>(i);
    }
  }
  return std::nullopt;
}

std::optional<Eigen::Vector2d> StationPlace(std::string_view station, const Board& board) {
  constexpr std::string_view kCorners = "ABCD";
  if (station.size() == 1 && kCorners.find(station[0]) != std::string_view::npos) {
    return board.corners_mm.at(kCorners.find(station[0]));
  }
  if (const auto edge = EdgeNamed(station)) {
    return Eigen::Vector2d(0.5 * (board.EdgeStart(*edge) + board.EdgeEnd(*edge)));
  }
  if (station == "M") {
    Eigen::Vector2d middle = Eigen::Vector2d::Zero();
    for (const auto& corner : board.corners_mm) {
      middle += 0.25 * corner;
    }
    return middle;
  }
  return std::nullopt;
}

Result<std::vector<Support>> SupportsFromText(std::string_view text,
                                              const Board& board,
                                              const std::string& where) {
  std::vector<Support> supports;
  for (const auto& word : SplitWords(text)) {
    auto support = SupportFromWord(word, board, where);
    if (!support) {
      return support.error();
    }
    supports.push_back(*support);
  }
  return supports;
}

Result<BladeStack> ParseBladeStack(std::string_view text,
                                   const std::string& where,
                                   bool comma_is_decimal) {
  BladeStack stack{0.0, 0};
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t plus = std::min(text.find('+', from), text.size());
    const auto blade = ParseLength(text.substr(from, plus - from), where, comma_is_decimal);
    if (!blade) {
      return blade.error();
    }
    stack.total_mm += *blade;
    ++stack.blades;
    from = plus + 1;
  }
  return stack;
}

}  // namespace lieflat
