#include "lieflat/assess/preview.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace lieflat {
namespace {

bool HasPart(const Board& board, const char* part_class) {
  return std::any_of(board.parts.begin(), board.parts.end(), [&](const Part& part) {
    return part.part_class == part_class;
  });
}

bool HasTallPart(const Board& board, Side side) {
  return std::any_of(
      board.parts.begin(), board.parts.end(), [&](const Part& part) { return part.side == side; });
}

std::vector<std::string> CautionsFor(const Preview& preview, const Calib& calib) {
  const Board& board = preview.basis.board;
  const Side down = preview.up == Side::kComponent ? Side::kSolder : Side::kComponent;
  const bool mount = std::holds_alternative<OnStandOffs>(preview.way);
  std::vector<std::string> cautions;
  for (const JudgedMark& mark : preview.basis.marks) {
    for (const Block& block : mark.blocks)
      cautions.push_back(fmt::format("Mark {}, {}, stands against pressing: {}.",
                                     mark.number,
                                     MarkWords(mark, calib),
                                     block.why));
  }
  if (!mount) {
    if (HasTallPart(board, down)) {
      cautions.emplace_back(
          "Parts stand on the face below: a flat table is worked with here. Lay the board on "
          "strips of one height that are clear of them.");
    }
    if (std::holds_alternative<BetweenPlates>(preview.way) && HasTallPart(board, preview.up)) {
      cautions.emplace_back(
          "The upper plate is taken to touch the board itself. Press on strips between the parts, "
          "never on a part.");
    }
    if (board.mounting != "smt" && down == Side::kSolder) {
      cautions.emplace_back(
          "Lead tails stand out below: put card or felt under the board, so that no tail carries "
          "the load.");
    }
    cautions.emplace_back("Glass can break under a load: eye protection, edges taped.");
  }
  if (HasPart(board, "battery"))
    cautions.emplace_back("Take the battery off first: a bent one can leak or short.");
  cautions.emplace_back(
      "Ground yourself and the bench. Local rules and licensed practice come before this.");
  return cautions;
}

/// A night and a week at room temperature, a day as warm as the parts allow; of the figure that is
/// the larger, bow or twist.
std::vector<LastingRow> LastingRows(const Assessment& basis,
                                    const Calib& calib,
                                    const Instant& now) {
  const auto number = [&](const char* key) {
    return calib.Number("choice", std::string("/options/") + key).value;
  };
  const double room_c = number("press_cold/temperature_c");
  const double warm_c =
      std::min(CapOf(basis.board, calib).cap_c, number("press_warm/temperature_c"));
  const std::vector<std::pair<const char*, HoldTime>> holds = {
      {"a night", {number("night/hours"), room_c}},
      {"a week", {number("press_cold/hours"), room_c}},
      {"a day", {number("press_warm/hours"), std::max(room_c, warm_c)}}};
  const double rest_hours = calib.Number("creep", "/plan/rest_hours").value;
  const bool by_bow = basis.flatness.bow_percent >= basis.flatness.twist_percent;
  std::vector<LastingRow> rows;
  for (const auto& [name, time] : holds) {
    const Outlook outlook =
        OutlookOf(LaminateOf(basis.board, calib, now),
                  time,
                  rest_hours,
                  std::nullopt,
                  calib,
                  static_cast<std::uint64_t>(calib.Number("choice", "/seed").value));
    const KeptTriple& kept = (by_bow ? outlook.bow : outlook.twist).kept;
    rows.push_back({fmt::format("{} at {:.0f} C", name, time.temperature_c),
                    time,
                    kept.rested,
                    kept.at_release});
  }
  return rows;
}

}  // namespace

Result<Preview> MakePreview(const BoardFolder::State& state,
                            const Bench& bench,
                            const Calib& calib,
                            const Instant& now,
                            const PressWay& way,
                            const PreviewOptions& options) {
  if (auto sound = CheckWay(way, state.board); !sound) return sound.error();
  AssessOptions quick;
  quick.press_flat = false;
  auto basis = Assess(state, bench, calib, now, quick);
  if (!basis) return basis.error();
  if (!basis->surface || !basis->curvature_known) {
    return Error{ErrorCode::kNoFigure,
                 "readings",
                 "how the board is bent is not known yet, along and across",
                 basis->flatness.next_reading.empty() ? "read its four edges"
                                                      : basis->flatness.next_reading};
  }
  Preview preview;
  preview.way = way;
  preview.own_weight = options.press.own_weight;
  preview.up = options.press.up;
  PressOptions press = options.press;
  press.limits.clear();
  for (const PartRating& part : basis->parts) press.limits.push_back(LimitOf(part));
  if (options.optimise) {
    auto optimised = OptimiseWay(basis->board, *basis->surface, way, calib, press);
    if (!optimised) return optimised.error();
    preview.way = optimised->way;
    preview.optimised = std::move(*optimised);
  }
  auto pressing = PressBoard(basis->board, *basis->surface, preview.way, calib, press);
  if (!pressing) return pressing.error();
  preview.pressing = std::move(*pressing);
  preview.basis = std::move(*basis);
  preview.cautions = CautionsFor(preview, calib);
  if (!std::holds_alternative<OnStandOffs>(preview.way))
    preview.lasting = LastingRows(preview.basis, calib, now);
  return preview;
}

}  // namespace lieflat
