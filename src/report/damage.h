#pragma once
// Marks of damage in words, shared by terminal, page and sale text.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"

namespace lieflat::report {

/// "1, crack beside U1: defect; blocks pressing", one a mark.
std::vector<std::string> DamageLines(const Assessment& assessment, const Calib& calib);
/// "defect", or with the state: "defect; repaired".
std::string OutcomeWords(const JudgedMark& mark);
/// For a sale: "crack beside U1 (defect), scratch at 100, 120"; empty without marks that are open
/// or accepted.
std::string DamageForSale(const Assessment& assessment, const Calib& calib);
/// Its line or outline; else the middle of the part that it names; empty when no place is known.
std::vector<Eigen::Vector2d> DamagePlaces(const Mark& mark, const Board& board);
/// Where it is and how large: "100, 120 to 130, 125 mm, 30.4 mm long, component side".
std::string SizeWordsOf(const Mark& mark);

}  // namespace lieflat::report
