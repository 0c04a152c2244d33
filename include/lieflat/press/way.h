#pragma once
// Ways of holding a bent board flat: between two plates, under weights, under clamped bars along
// its edges, screwed to stand-offs. Lengths in mm, loads in N, masses in kg.

#include <map>
#include <optional>
#include <variant>
#include <vector>

#include <Eigen/Core>

#include "lieflat/board/board.h"
#include "lieflat/plate/solve.h"

namespace lieflat {

/// Two stiff flat plates: held parallel at a gap (the height that is left of the board's
/// mid-surface), or the upper one lying on it with a load and free to tilt.
struct BetweenPlates {
  std::optional<double> gap_mm;
  double load_n = 0.0;
};

/// Bottles, books, sandbags on a board that lies on a flat table.
struct UnderWeights {
  struct Weight {
    double mass_kg = 0.0;
    Eigen::Vector2d at_mm;    ///< its middle
    Eigen::Vector2d size_mm;  ///< its footprint, along x and y
    bool rigid = false;       ///< a hard flat bottom; else it gives, and presses evenly
  };
  std::vector<Weight> weights;
};

/// A stiff bar along each of these edges, drawn down towards a flat table.
struct UnderBars {
  std::vector<Edge> edges;
  double load_n = 0.0;  ///< of each bar
};

/// Screwed to stand-offs of one height at the board's mounting holes (Hole::use "mount").
struct OnStandOffs {
  std::map<int, double> shims_mm;  ///< by number of the hole, from 1 in the board's order; else 0
};

using PressWay = std::variant<BetweenPlates, UnderWeights, UnderBars, OnStandOffs>;
const char* Name(const PressWay& way);  ///< "plates", "weights", "clamps", "mount"

/// Numbers of the holes that take a screw, from 1 in the board's order.
std::vector<int> MountHoles(const Board& board);

/// @error kRefused naming the field: a gap below 0, a load or mass that is not above 0, a weight
/// whose middle is off the board, no weight, no bar or one twice, a shim at a hole that takes no
/// screw or outside +-20 mm, fewer than three holes (kNoFigure: two screws do not hold a board).
Result<void> CheckWay(const PressWay& way, const Board& board);

/// The hold at a share of the way from lying free (0) to all of it (1).
/// @param heights  stress-free; the plates start at `warp_mm`, screws where the board lies free.
Hold HoldAt(const PressWay& way,
            const Board& board,
            const HeightField& heights,
            double warp_mm,
            double share,
            Side up,
            const Calib& calib);

/// Lying on bare stand-offs of one height, no screw in.
Hold UnforcedOnStandOffs(const Board& board, Side up);

}  // namespace lieflat
