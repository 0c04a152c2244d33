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
  return preview;
}

}  // namespace lieflat
