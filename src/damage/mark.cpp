#include "lieflat/damage/mark.h"

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/base/check.h"
#include "lieflat/base/text.h"
#include "lieflat/board/polygon.h"

namespace lieflat {

const std::vector<std::string> kDepthWords = {"coating", "copper", "laminate", "through"};

const char* Name(MarkState state) {
  switch (state) {
    case MarkState::kOpen:
      return "open";
    case MarkState::kRepaired:
      return "repaired";
    case MarkState::kAccepted:
      return "accepted";
  }
  LIEFLAT_CHECK(false, "a state is one of three");
}

bool Mark::Has(std::string_view aspect) const {
  return std::find(aspects.begin(), aspects.end(), aspect) != aspects.end();
}

double Mark::DrawnLength() const {
  double length = 0.0;
  for (std::size_t i = 1; i < at_mm.size(); ++i) length += (at_mm[i] - at_mm[i - 1]).norm();
  if (outline && at_mm.size() > 2) length += (at_mm.front() - at_mm.back()).norm();
  return length;
}

std::vector<std::string> DamageKinds(const Calib& calib) {
  return calib.Keys("damage_criteria", "/kinds");
}

std::vector<std::string> DamageMeasures(const Calib& calib) {
  return calib.Keys("damage_criteria", "/measures");
}

std::vector<std::string> DamageAspects(const Calib& calib) {
  return calib.Document("damage_criteria").at("aspects").get<std::vector<std::string>>();
}

Result<void> CheckMark(const Mark& mark, const Board& board, const std::string& where) {
  for (const std::string& ref : mark.near) {
    if (board.FindPart(ref) != nullptr) continue;
    std::vector<std::string> refs;
    for (const Part& part : board.parts) refs.push_back(part.ref);
    return Error{ErrorCode::kRefused,
                 where + ", near",
                 fmt::format("no part is named {}", Quoted(ref)),
                 refs.empty() ? "the board has no parts yet; give --at X,Y or --region"
                              : "its parts: " + Join(refs, ", ")};
  }
  constexpr double kRimMm = 1.0;  // a mark on the edge is drawn at it, and readings are rough
  for (const Eigen::Vector2d& at : mark.at_mm) {
    if (OnBoard(board, at) || DistanceToBoundary(board.outline_mm, at) <= kRimMm) continue;
    const auto [low, high] = board.Box();
    return Error{
        ErrorCode::kRefused,
        where + ", at_mm",
        fmt::format("{:g},{:g} lies off the board", at.x(), at.y()),
        fmt::format("x from {:g} to {:g}, y from {:g} to {:g} mm, from corner A, component "
                    "side seen",
                    low.x(),
                    high.x(),
                    low.y(),
                    high.y())};
  }
  return {};
}

void Apply(const MarkChange& change, const Calib& calib, Mark& mark) {
  for (const auto& [name, measure] : change.measures) mark.measures[name] = measure;
  if (!change.depth.empty()) mark.depth = change.depth;
  const auto take_out = [&](const std::string& aspect) { std::erase(mark.aspects, aspect); };
  for (const std::string& aspect : change.aspects) {
    for (const auto& [name, criterion] : calib.Document("damage_criteria").at("criteria").items()) {
      if (!criterion.contains("no_aspect")) continue;
      const std::string yes = criterion.at("aspect"), no = criterion.at("no_aspect");
      if (aspect == yes) take_out(no);
      if (aspect == no) take_out(yes);
    }
    if (!mark.Has(aspect)) mark.aspects.push_back(aspect);
  }
  if (change.state) {
    mark.state = *change.state;
    mark.state_note = change.note;
  }
}

}  // namespace lieflat
