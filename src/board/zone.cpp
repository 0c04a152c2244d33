// Minimum zone = best plane in the sense of the largest departure (Chebyshev). With three unknowns
// it is fixed by four of the points; the exchange method starts from four and swaps in the worst
// point until none is worse. Each step solves a 4 x 4 system and raises the zone, so it ends
// (points in general position). Source: E. W. Cheney, Introduction to Approximation Theory (1966),
// ch. 2.

#include "lieflat/board/zone.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>
#include <vector>

#include <Eigen/LU>

#include "lieflat/base/check.h"
#include "lieflat/base/random.h"

namespace lieflat {
namespace {

using Four = std::array<Eigen::Index, 4>;

struct Levelled {
  Eigen::Vector3d plane = Eigen::Vector3d::Zero();
  double departure = -1.0;  ///< of all four alike; negative when the four are no frame for a plane
};

/// The signs with which four points of the plane balance: sum l = 0, sum l x = 0, sum l y = 0.
Eigen::Vector4d Balance(const Eigen::MatrixX3d& design, const Four& four) {
  Eigen::Matrix<double, 3, 4> rows;
  for (int k = 0; k < 4; ++k)
    rows.col(k) = design.row(four[static_cast<std::size_t>(k)]).transpose();
  const Eigen::FullPivLU<Eigen::Matrix<double, 3, 4>> lu(rows);
  if (lu.dimensionOfKernel() != 1) return Eigen::Vector4d::Zero();
  return lu.kernel().col(0);
}

Levelled Level(const Eigen::MatrixX3d& design, const Eigen::VectorXd& z, const Four& four) {
  const Eigen::Vector4d balance = Balance(design, four);
  if (balance.isZero()) return {};
  Eigen::Matrix4d system;
  Eigen::Vector4d right;
  for (int k = 0; k < 4; ++k) {
    const Eigen::Index i = four[static_cast<std::size_t>(k)];
    const double sign = balance(k) > 0 ? 1.0 : (balance(k) < 0 ? -1.0 : 0.0);
    system.row(k) << design.row(i), sign;
    right(k) = z(i);
  }
  const Eigen::FullPivLU<Eigen::Matrix4d> lu(system);
  if (!lu.isInvertible()) return {};
  const Eigen::Vector4d solution = lu.solve(right);
  return {solution.head<3>(), std::abs(solution(3))};
}

/// Grids and plain shapes put many points in one plane or on one line, where the exchange could
/// stand still. Moved by a ten-millionth of the board they lie in general position; the zone is
/// then taken from the points as they are.
constexpr double kNudge = 1e-7;

/// Four points to start from: the extremes along both diagonals, filled up with others when they
/// coincide.
Four Start(const Eigen::MatrixX3d& design) {
  std::vector<Eigen::Index> chosen(4);
  (design.col(1) + design.col(2)).minCoeff(&chosen[0]);
  (design.col(1) - design.col(2)).maxCoeff(&chosen[1]);
  (design.col(1) + design.col(2)).maxCoeff(&chosen[2]);
  (design.col(1) - design.col(2)).minCoeff(&chosen[3]);
  Four four{};
  std::size_t filled = 0;
  for (Eigen::Index i = 0; i < design.rows(); ++i) chosen.push_back(i);
  for (const Eigen::Index i : chosen) {
    const auto end = four.begin() + static_cast<std::ptrdiff_t>(filled);
    if (filled < 4 && std::find(four.begin(), end, i) == end) four[filled++] = i;
  }
  return four;
}

/// The best swap of `worst` into the four: the one that raises the levelled departure most.
std::pair<Four, Levelled> Swap(const Eigen::MatrixX3d& design,
                               const Eigen::VectorXd& z,
                               const Four& four,
                               Eigen::Index worst) {
  std::pair<Four, Levelled> best{four, {}};
  for (std::size_t k = 0; k < 4; ++k) {
    Four trial = four;
    trial[k] = worst;
    const Levelled next = Level(design, z, trial);
    if (next.departure > best.second.departure) best = {trial, next};
  }
  return best;
}

}  // namespace

Zone MinimumZone(const Eigen::MatrixX3d& points_mm) {
  LIEFLAT_CHECK(points_mm.rows() >= 4, "a zone takes four points");
  const Eigen::Index n = points_mm.rows();
  // Centred and scaled coordinates keep the small systems well conditioned.
  const Eigen::RowVector3d mean = points_mm.colwise().mean();
  const double size =
      std::max((points_mm.leftCols<2>().rowwise() - mean.head<2>()).cwiseAbs().maxCoeff(), 1e-12);
  Eigen::MatrixX3d exact(n, 3);
  exact << Eigen::VectorXd::Ones(n), (points_mm.leftCols<2>().rowwise() - mean.head<2>()) / size;
  const Eigen::VectorXd z = points_mm.col(2).array() - mean(2);

  Random random(1);
  Eigen::MatrixX3d design = exact;
  Eigen::VectorXd nudged = z;
  const double height = std::max(z.cwiseAbs().maxCoeff(), 1e-12);
  for (Eigen::Index i = 0; i < n; ++i) {
    design(i, 1) += kNudge * random.Uniform(-1.0, 1.0);
    design(i, 2) += kNudge * random.Uniform(-1.0, 1.0);
    nudged(i) += kNudge * height * random.Uniform(-1.0, 1.0);
  }

  Four four = Start(design);
  Levelled levelled = Level(design, nudged, four);
  for (Eigen::Index step = 0; step < 50 * n; ++step) {
    Eigen::Index worst = 0;
    const double reach = (nudged - design * levelled.plane).cwiseAbs().maxCoeff(&worst);
    const auto [next_four, next] = Swap(design, nudged, four, worst);
    if (reach <= levelled.departure * (1.0 + 1e-12) || next.departure <= levelled.departure) {
      const Eigen::VectorXd residual = z - exact * levelled.plane;
      Zone zone;
      zone.plane << levelled.plane(0) + mean(2) -
                        levelled.plane.tail<2>().dot(mean.head<2>()) / size,
          levelled.plane.tail<2>() / size;
      zone.plane(0) += residual.minCoeff();
      zone.height_mm = residual.maxCoeff() - residual.minCoeff();
      for (std::size_t k = 0; k < four.size(); ++k)
        zone.touching[k] = {four[k],
                            residual(four[k]) > 0.5 * (residual.minCoeff() + residual.maxCoeff())};
      return zone;
    }
    four = next_four;
    levelled = next;
  }
  throw std::logic_error("the exchange of points did not end");
}

}  // namespace lieflat
