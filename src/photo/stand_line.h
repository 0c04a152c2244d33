#pragma once
// The thin grey line at which a board is stood. Where its edge runs beside it, the line darkens the
// paper right before the edge and would draw the edge found towards it by up to a tenth of a
// millimetre; so what it takes of the light is learnt where it lies clear of the board, and given
// back along the edge.

#include <optional>
#include <utility>
#include <vector>

#include "photo/edge_band.h"

namespace lieflat::internal {

class StandLine {
 public:
  /// @param path  row of the edge in each column; @param extent  first and last column of the
  /// board;
  /// @param line_y  where the line is printed.
  /// @return nothing where no such line is seen clear of the board.
  static std::optional<StandLine> Find(const EdgeBand& band,
                                       const std::vector<int>& path,
                                       std::pair<int, int> extent,
                                       double line_y);
  /// Share of the paper's light that it takes at a row, only its part before `edge` (a row)
  /// showing.
  [[nodiscard]] double Taken(double row, double column, double edge) const;

 private:
  double row_ = 0.0, slope_ = 0.0;  ///< its middle: row at column 0, rows a column
  double depth_ = 0.0;              ///< share of the paper's light that the unblurred line takes
  double sigma_ = 1.0;              ///< of the blur, rows
};

}  // namespace lieflat::internal
