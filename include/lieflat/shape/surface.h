#pragma once
// The surface that explains the samples, with what it does not know.
//
//   z(x, y) = plane + two bows and twist + higher terms held down by their bending energy + small
//   local departures
//
// The plane is free. The other amplitudes have a prior whose scales (overall warp, share of higher
// terms) are weighed by evidence, not chosen; the posterior is a mixture over those scales, handed
// on as draws. Measurement errors enter the draws by their true laws (JCGM 101:2008), not as k u.
// How wrong it can be: see the coverage figures in DEVELOPERS.md. What no sample shows comes back
// with the prior's width: the caller looks at the intervals, not at the mean alone.
//
// Sources: Rasmussen & Williams, Gaussian Processes for Machine Learning (2006), 2.2, 2.7 and 5.4
// (regression with explicit basis functions, evidence, leave-one-out); JCGM 101:2008, 5 and 7.

#include <string>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/statistics.h"
#include "lieflat/board/board.h"
#include "lieflat/readings/sample.h"

namespace lieflat {

struct SurfaceOptions {
  int draws = 6000;         ///< of the edges and the twist
  int surface_draws = 600;  ///< of the whole surface (the first of them)
  std::uint64_t seed = 20260302;
};

/// A smooth surface by its coefficients, over a board's box. z in mm, positive towards the
/// component side.
class SurfaceBasis {
 public:
  explicit SurfaceBasis(const Board& board);
  [[nodiscard]] int size() const;  ///< number of functions; the plane is not among them
  /// Values at a point, 1 x size.
  [[nodiscard]] Eigen::RowVectorXd Row(const Eigen::Vector2d& at_mm) const;
  /// Second derivatives zxx, zyy, zxy at a point, 3 x size, 1/mm2 per mm of coefficient.
  [[nodiscard]] Eigen::Matrix<double, 3, Eigen::Dynamic> SecondDerivatives(
      const Eigen::Vector2d& at_mm) const;
  /// Bending energy of the higher functions, made dimensionless (see surface.cpp); 0 for bows and
  /// twist.
  [[nodiscard]] const Eigen::MatrixXd& energy() const { return energy_; }
  [[nodiscard]] bool IsHigher(int function) const;

 private:
  Eigen::Vector2d centre_, half_;
  Eigen::MatrixXd energy_;
};

struct Outlier {
  std::string name, where;
  double value_mm = 0.0, others_suggest_mm = 0.0, others_sd_mm = 0.0;
  double chance = 0.0;  ///< that a good reading lies so far off, over all readings
};

struct Surface {
  explicit Surface(SurfaceBasis smooth) : basis(std::move(smooth)) {}

  SurfaceBasis basis;
  Eigen::VectorXd mean;               ///< coefficients
  Eigen::MatrixXd coefficient_draws;  ///< size x surface_draws
  /// Heights over the plane-free surface at fixed places on the edges, one row a place, one column
  /// a draw; and their mean.
  std::vector<Eigen::Vector2d>
      edge_places_mm;  ///< kEdgePlaces per edge, ends included, edges in order
  Eigen::MatrixXd edge_draws;
  Eigen::VectorXd edge_mean;
  std::string order;  ///< in words: "plane, two bows and twist", "... and higher terms"
  std::vector<Outlier> outliers;
  double residual_rms_mm = 0.0;
  static constexpr int kEdgePlaces = 13;

  [[nodiscard]] double Height(const Eigen::Vector2d& at_mm) const {
    return basis.Row(at_mm) * mean;
  }
};

/// @param samples  n >= 1; as many as 1 000.
/// @error kNoFigure without samples; kRefused over 1 000.
Result<Surface> FitSurface(const Board& board,
                           const SampleSet& samples,
                           const Calib& calib,
                           const SurfaceOptions& options = {});

}  // namespace lieflat
