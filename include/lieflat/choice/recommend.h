#pragma once
// What to do now, by plain rules that a person can read in the output: a first set, which the later work on pressing grows.

#include <string>
#include <vector>

#include "lieflat/damage/effect.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/rating.h"

namespace lieflat {

struct Recommendation {
  std::string name;                  ///< measure-further leave use-as-is ...
  std::vector<std::string> because;  ///< plain sentences, the deciding one first
  std::vector<std::string> cautions; ///< heat, batteries, lead, glass, ESD; "be careful"; local codes and licensed practice
};

/// `need` and `works` come first: works and no need: leave, whatever the bend. What marks of damage
/// block is named in `because`, with the parts that they weaken.
Recommendation Recommend(const Board& board,
                         const std::string& works_now,
                         const Flatness& flatness,
                         const std::vector<PartRating>& parts,
                         const std::vector<JudgedMark>& marks = {},
                         const Calib& calib = Calib::Embedded());

}  // namespace lieflat
