#pragma once
// Draws of everything that is read at the parts, at the moments of a way that count.

#include <functional>
#include <map>
#include <string>
#include <vector>

#include "lieflat/joints/plate_draws.h"

namespace lieflat {

struct DrawAt {
  const PlateInputs& inputs;
  const PartReadout& readout;
  double cell_mm, fine_mm;
  const HeightField& heights;
  SolveOptions solving;
  const Calib& calib;
};

struct DrawnMoments {
  std::map<std::size_t, Eigen::MatrixXd> figures;  ///< by moment; draws without an answer left out
  std::string note;                                ///< empty when each draw has an answer
};

/// @param nominal  figures of each moment as solved.
/// @param full     each draw solved anew instead of by derivatives.
/// @error as Neighbourhood; kNoFigure when too many draws have no answer; "stopped".
Result<DrawnMoments> DrawMoments(const DrawAt& at,
                                 std::vector<std::size_t> moments,
                                 const std::vector<Eigen::VectorXd>& nominal,
                                 const std::function<Hold(std::size_t moment)>& hold_of,
                                 bool full,
                                 const Tell& tell);

}  // namespace lieflat
