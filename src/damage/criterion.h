#pragma once
// A criterion of calib/damage_criteria.json by its name.

#include <string>

#include "lieflat/damage/mark.h"

namespace lieflat::damage {

inline constexpr const char* kFile = "damage_criteria";

inline const Json& Criterion(const std::string& name, const Calib& calib) {
  return calib.Document(kFile).at("criteria").at(name);
}

inline std::string ClassKey(const Board& board) { return std::to_string(board.acceptance_class); }

/// The part that the mark is on: the first that it names; null when it names none.
inline const Part* FirstPart(const Mark& mark, const Board& board) {
  return mark.near.empty() ? nullptr : board.FindPart(mark.near.front());
}

}  // namespace lieflat::damage
