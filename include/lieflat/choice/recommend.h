#pragma once
// What to do now, by plain rules that a person can read in the output.

#include <string>
#include <vector>

#include "lieflat/choice/options.h"
#include "lieflat/damage/effect.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/rating.h"

namespace lieflat {

struct Recommendation {
  std::string name;                   ///< measure-further leave use-as-is ...
  std::vector<std::string> because;   ///< plain sentences, the deciding one first
  std::vector<std::string> cautions;  ///< heat, batteries, lead, glass, ESD; "be careful"; local
                                      ///< codes and licensed practice
};

/// `need` and `works` come first. Rules, the first that fits decides:
///   1 works and nothing needs it flat: leave
///   2 over the limit, not needed flat: use-as-is
///   3 not measured far enough; needed flat and too close to call: measure-further
///   4 not over the limit: leave
///   5 over, needed flat: the first of press-cold, press-warm, strip-and-bake against which nothing
///     speaks (AgainstPressing) and that brings it within the limit (WouldStayOver)
///   6 else mount on washers, unless blocked: it loads no joint
///   7 else the first press against which nothing speaks, though it stays over
///   8 else sell, when it is for sale or works and is no rare or scarce board; set-aside when it is
///     rare or scarce, was not found dead, or when the bench can rework it; else spares
/// What marks of damage block is named in `because`, with the parts that they weaken.
Recommendation Recommend(const Board& board,
                         const std::string& works_now,
                         const Flatness& flatness,
                         const std::vector<PartRating>& parts,
                         const std::vector<JudgedMark>& marks,
                         const std::vector<Option>& options,
                         const std::vector<std::string>& skills,
                         const Calib& calib);

}  // namespace lieflat
