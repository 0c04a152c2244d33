#pragma once
// Boards bent in ways that the surface fit does not know: bows, twist, cubic and quartic terms,
// local kinks, none of them drawn from the fit's own prior; and a person who reads them with
// blades, a rule or an indicator.

#include <array>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/random.h"
#include "lieflat/readings/sample.h"

namespace lieflat::testing {

struct Bump {
  Eigen::Vector2d at_mm;
  double height_mm, width_mm;
};

struct TrueShape {
  Eigen::Vector2d size_mm;
  double bow_x = 0.0, bow_y = 0.0, twist = 0.0;  ///< heights of the middle, and of the corners' +-
  std::array<double, 4> cubic{};                 ///< of u^3 - u, v^3 - v, u (1 - v^2), v (1 - u^2)
  std::array<double, 3> quartic{};  ///< of u^2 (1 - u^2), v^2 (1 - v^2), (1 - u^2)(1 - v^2)
  std::vector<Bump> bumps;

  [[nodiscard]] double Height(const Eigen::Vector2d& at_mm) const;
  /// Largest departure of an edge from its chord over 201 places, mm, signed.
  [[nodiscard]] double EdgeBow(const Board& board, Edge edge) const;
  [[nodiscard]] double BowPercent(const Board& board) const;
  [[nodiscard]] double TwistQ(const Board& board) const;
};

/// Shares of the bow that the terms beyond bow and twist may reach, and kinks beside. Chosen for
/// what boards show when they are mapped (common practice): a board is mostly bow and twist; a
/// connector row or a slot leaves a kink of a few hundredths.
struct Roughness {
  double cubic_share = 0.12, quartic_share = 0.08, bump_mm = 0.02, bump_share = 0.01;
};

/// @param bow_percent  what its largest edge bow shall be, about (kinks come on top).
TrueShape RandomShape(const Board& board,
                      double bow_percent,
                      Random& random,
                      const Roughness& rough = {});

enum class Stations { kMids, kMidsRule, kMidsThrice, kEight, kNine, kGrid25 };
const char* Name(Stations stations);

/// What a person writes down. Upright: straightedge at mid-edge and strips; else heights at the
/// stations.
Gauge TakeReadings(
    const Board& board, const TrueShape& shape, Rest rest, Stations stations, Random& random);

/// A brute-force interval in the sense of JCGM 101:2008 on the same readings: each reading less a
/// draw of its error, a polynomial through the stations of each edge, and between them terms drawn
/// from the law that RandomShape uses.
struct BruteForce {
  double bow_width_percent, twist_width_percent;
};
BruteForce BruteForceWidths(const Board& board,
                            const SampleSet& samples,
                            int draws,
                            Random& random,
                            const Roughness& rough = {});

}  // namespace lieflat::testing
