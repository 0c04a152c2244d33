// Whole-surface flatness: about the least-squares plane, and the minimum zone.
//
// Minimum zone = best plane in the sense of the largest departure (Chebyshev). With three unknowns it is fixed by four of
// the points; the exchange method starts from four and swaps in the worst point until none is worse. Each step solves a
// 4 x 4 system and raises the zone, so it ends. Source: E. W. Cheney, Introduction to Approximation Theory (1966), ch. 2.

#include <Eigen/LU>
#include <Eigen/QR>
#include <algorithm>
#include <array>
#include <cmath>

#include "lieflat/base/check.h"
#include "lieflat/flatness/flatness.h"

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
  for (int k = 0; k < 4; ++k) rows.col(k) = design.row(four[static_cast<std::size_t>(k)]).transpose();
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

}  // namespace

double LeastSquaresFlatness(const Eigen::MatrixX3d& points_mm) {
  LIEFLAT_CHECK(points_mm.rows() >= 3, "a plane takes three points");
  Eigen::MatrixX3d design(points_mm.rows(), 3);
  design << Eigen::VectorXd::Ones(points_mm.rows()), points_mm.leftCols<2>();
  const Eigen::VectorXd z = points_mm.col(2);
  const Eigen::VectorXd residual = z - design * design.colPivHouseholderQr().solve(z);
  return residual.maxCoeff() - residual.minCoeff();
}

double MinimumZoneFlatness(const Eigen::MatrixX3d& points_mm) {
  LIEFLAT_CHECK(points_mm.rows() >= 4, "a zone takes four points");
  // Centred and scaled coordinates keep the small systems well conditioned.
  const Eigen::RowVector3d mean = points_mm.colwise().mean();
  const double size = std::max((points_mm.leftCols<2>().rowwise() - mean.head<2>()).cwiseAbs().maxCoeff(), 1e-12);
  Eigen::MatrixX3d design(points_mm.rows(), 3);
  design << Eigen::VectorXd::Ones(points_mm.rows()), (points_mm.leftCols<2>().rowwise() - mean.head<2>()) / size;
  const Eigen::VectorXd z = points_mm.col(2).array() - mean(2);

  // Start from the least-squares plane's worst points, spread so that they frame a plane.
  Eigen::Vector3d plane = design.colPivHouseholderQr().solve(z);
  Four four{};
  bool framed = false;
  const Eigen::Index n = points_mm.rows();
  const Four corners = [&] {
    Four best{};
    (design.col(1) + design.col(2)).minCoeff(&best[0]);
    (design.col(1) - design.col(2)).maxCoeff(&best[1]);
    (design.col(1) + design.col(2)).maxCoeff(&best[2]);
    (design.col(1) - design.col(2)).minCoeff(&best[3]);
    return best;
  }();
  Levelled levelled = Level(design, z, corners);
  if (levelled.departure >= 0.0) {
    four = corners;
    framed = true;
  }
  if (!framed) return LeastSquaresFlatness(points_mm);  // all on a line: no zone to turn

  const double tolerance = 1e-12 * std::max(1.0, z.cwiseAbs().maxCoeff());
  for (Eigen::Index step = 0; step < 50 * n; ++step) {
    plane = levelled.plane;
    const Eigen::VectorXd residual = z - design * plane;
    Eigen::Index worst = 0;
    const double reach = residual.cwiseAbs().maxCoeff(&worst);
    if (reach <= levelled.departure + tolerance) return 2.0 * levelled.departure;
    // Of the four ways to swap the worst point in, the one that raises the zone most is the dual step.
    Levelled best;
    Four best_four = four;
    for (std::size_t k = 0; k < 4; ++k) {
      Four trial = four;
      trial[k] = worst;
      const Levelled next = Level(design, z, trial);
      if (next.departure > best.departure) {
        best = next;
        best_four = trial;
      }
    }
    if (best.departure <= levelled.departure) return 2.0 * reach;  // rounding: no swap raises it any more
    levelled = best;
    four = best_four;
  }
  throw std::logic_error("the exchange of points did not end");
}

}  // namespace lieflat
