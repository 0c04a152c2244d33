#pragma once
// The readings as linear functionals of the surface, the ladder of prior scales, and how well each
// scale explains them.

#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include "lieflat/shape/surface.h"

namespace lieflat {

/// One rung: how far the board warps, how much of it goes into higher terms, how large the local
/// departures are.
struct Scales {
  double warp_mm = 1.0;
  double higher_share = 0.1;
  double local_mm = 0.01;
};
std::vector<Scales> LadderOfScales(const Calib& calib);

/// Length over which a local departure fades. mm.
double LocalLength(const Board& board, const Calib& calib);
/// exp(-d^2 / 2 l^2) between two sets of points.
Eigen::MatrixXd LocalKernel(const std::vector<Eigen::Vector2d>& a,
                            const std::vector<Eigen::Vector2d>& b,
                            double length_mm);

/// The readings, freed of the plane: m = n - rank(plane) contrasts.
struct Contrasts {
  std::vector<Eigen::Vector2d> places;  ///< distinct points of all terms
  Eigen::MatrixXd null_space;           ///< n x m, orthonormal, annihilates the plane
  Eigen::VectorXd values;               ///< m
  Eigen::MatrixXd smooth;               ///< m x basis size
  Eigen::MatrixXd local;                ///< m x places
  Eigen::MatrixXd noise;                ///< m x m covariance of the errors
  // Covariance of the contrasts by source, each for unit scale.
  Eigen::MatrixXd from_bows, from_higher, from_local;

  [[nodiscard]] Eigen::Index count() const { return values.size(); }
  [[nodiscard]] Eigen::MatrixXd Covariance(const Scales& scales) const;
};
Contrasts MakeContrasts(const SurfaceBasis& basis,
                        const SampleSet& samples,
                        double local_length_mm);

/// Prior covariance of the coefficients: warp^2 for bows and twist, (share warp)^2 times inverse
/// energy for higher terms.
Eigen::MatrixXd PriorCovariance(const SurfaceBasis& basis, const Scales& scales);
/// Inverse of the energy of the higher functions, zero elsewhere.
Eigen::MatrixXd InverseEnergy(const SurfaceBasis& basis);

/// Posterior weights of the rungs (sum 1), equal beforehand. Rasmussen & Williams (2006), eq. 2.30
/// and 2.45.
std::vector<double> WeighScales(const Contrasts& contrasts, const std::vector<Scales>& ladder);

/// Readings that the others contradict, the worst first, each found after the worse ones were left
/// out. Rasmussen & Williams (2006), eq. 5.10 to 5.12, averaged over the ladder.
std::vector<Outlier> FindOutliers(const SurfaceBasis& basis,
                                  const SampleSet& samples,
                                  const std::vector<Scales>& ladder,
                                  double local_length_mm,
                                  double chance);

}  // namespace lieflat
