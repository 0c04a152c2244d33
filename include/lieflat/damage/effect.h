#pragma once
// What marks of damage do to the decision: they lower what the parts beside them stand, and they
// block ways of pressing.
//
// Cracks, layers apart, burns, corrosion and earlier repairs halve the allowed strain of the parts
// beside them, once, however many there are (calib/part_classes.json, "damage"). A mark that was
// repaired keeps that factor, for it is an earlier repair now, and blocks nothing; one that was
// accepted is as it was.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/damage/judge.h"

namespace lieflat {

/// exx, eyy, exy that pressing flat adds at a place on a face; nothing where it is not known.
using StrainWhenFlat =
    std::function<std::optional<Eigen::Vector3d>(const Eigen::Vector2d& at_mm, Side face)>;

struct Block {
  std::vector<std::string> options;  ///< "press-cold" ...
  std::string why;                   ///< "pressing flat stretches across it by 80 microstrain, ..."
};

struct JudgedMark {
  int number = 0;  ///< on the sheet, from 1
  Mark mark;
  Judgement judgement;
  std::vector<std::string> beside;  ///< parts named, and those whose outline lies near
  double limit_factor = 1.0;        ///< on the allowed strain of the parts beside it
  std::vector<Block> blocks;
  std::string procedure;
  std::vector<std::string> tests;
};

/// Parts that the mark names, then those whose outline lies within calib "reach/near_mm" of it on
/// whichever side.
std::vector<std::string> PartsBeside(const Mark& mark, const Board& board, const Calib& calib);

/// What the mark blocks: a laminate crack that pressing stretches across its line (unknown
/// directions and unmeasured bends count as across); a lifted land with a part on it; a ceramic
/// part that is cracked. Repaired marks block nothing.
std::vector<Block> BlocksOf(const Mark& mark,
                            const Board& board,
                            const StrainWhenFlat& strain,
                            const Calib& calib);

std::vector<JudgedMark> JudgeMarks(const std::vector<Mark>& marks,
                                   const Board& board,
                                   const std::string& works_now,
                                   const StrainWhenFlat& strain,
                                   const Calib& calib);

/// The factor of each part that a mark weakens, by reference.
std::map<std::string, double> LimitFactors(const std::vector<JudgedMark>& marks);

/// "crack beside U1", "scratch at 100, 120", "broken latch of J4".
std::string MarkWords(const JudgedMark& mark, const Calib& calib);

/// One row of "marks" in the documents.
Json ToJson(const JudgedMark& mark);

}  // namespace lieflat
