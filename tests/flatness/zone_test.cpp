// Whole-board flatness against an independent library, the definition worked out over every
// quadruple, and closed forms.

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/LU>
#include <gsl/gsl_multifit.h>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"
#include "lieflat/flatness/flatness.h"

namespace lieflat {
namespace {

Eigen::MatrixX3d RandomPoints(int n, Random& random) {
  Eigen::MatrixX3d points(n, 3);
  for (Eigen::Index i = 0; i < n; ++i)
    points.row(i) << random.Uniform(0, 300), random.Uniform(0, 200), random.Normal();
  return points;
}

/// Least-squares flatness with the GNU Scientific Library 2.7 as the independent solver.
double GslFlatness(const Eigen::MatrixX3d& points) {
  const auto n = static_cast<std::size_t>(points.rows());
  gsl_matrix* x = gsl_matrix_alloc(n, 3);
  gsl_vector* y = gsl_vector_alloc(n);
  gsl_vector* c = gsl_vector_alloc(3);
  gsl_vector* residual = gsl_vector_alloc(n);
  gsl_matrix* covariance = gsl_matrix_alloc(3, 3);
  for (std::size_t i = 0; i < n; ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    gsl_matrix_set(x, i, 0, 1.0);
    gsl_matrix_set(x, i, 1, points(row, 0));
    gsl_matrix_set(x, i, 2, points(row, 1));
    gsl_vector_set(y, i, points(row, 2));
  }
  double chi2 = 0.0;
  gsl_multifit_linear_workspace* work = gsl_multifit_linear_alloc(n, 3);
  gsl_multifit_linear(x, y, c, covariance, &chi2, work);
  gsl_multifit_linear_residuals(x, y, c, residual);
  const double flatness = gsl_vector_max(residual) - gsl_vector_min(residual);
  gsl_multifit_linear_free(work);
  gsl_matrix_free(covariance);
  gsl_vector_free(residual);
  gsl_vector_free(c);
  gsl_vector_free(y);
  gsl_matrix_free(x);
  return flatness;
}

/// The minimum zone from its definition: the best plane levels four points, so the largest levelled
/// departure over all quadruples is the half zone (de la Vallee Poussin's bound; Cheney,
/// Introduction to Approximation Theory, 1966, ch. 2).
double ZoneByAllQuadruples(const Eigen::MatrixX3d& p) {
  double best = 0.0;
  const Eigen::Index n = p.rows();
  for (Eigen::Index a = 0; a < n; ++a) {
    for (Eigen::Index b = a + 1; b < n; ++b) {
      for (Eigen::Index c = b + 1; c < n; ++c) {
        for (Eigen::Index d = c + 1; d < n; ++d) {
          // Null vector of the 3 x 4 system by cofactors.
          Eigen::Matrix<double, 3, 4> m;
          const std::array<Eigen::Index, 4> four = {a, b, c, d};
          for (int k = 0; k < 4; ++k)
            m.col(k) << 1.0, p(four[static_cast<std::size_t>(k)], 0),
                p(four[static_cast<std::size_t>(k)], 1);
          double top = 0.0, sum = 0.0;
          for (int k = 0; k < 4; ++k) {
            Eigen::Matrix3d minor;
            for (int j = 0, col = 0; j < 4; ++j) {
              if (j != k) minor.col(col++) = m.col(j);
            }
            const double cofactor = (k % 2 == 0 ? 1.0 : -1.0) * minor.determinant();
            top += cofactor * p(four[static_cast<std::size_t>(k)], 2);
            sum += std::abs(cofactor);
          }
          if (sum > 0.0) best = std::max(best, std::abs(top) / sum);
        }
      }
    }
  }
  return 2.0 * best;
}

TEST(Zone, LeastSquaresAgreesWithGsl) {
  Random random(11);
  for (int i = 0; i < 50; ++i) {
    const Eigen::MatrixX3d points = RandomPoints(4 + random.Below(40), random);
    constexpr double kTolSolver = 1e-9;  // two solvers on a well-conditioned system of size 1
    EXPECT_NEAR(LeastSquaresFlatness(points), GslFlatness(points), kTolSolver);
  }
}

TEST(Zone, MinimumAgreesWithAllQuadruples) {
  Random random(12);
  for (int i = 0; i < 60; ++i) {
    SCOPED_TRACE(i);
    const Eigen::MatrixX3d points = RandomPoints(4 + random.Below(14), random);
    constexpr double kTolNudge =
        1e-5;  // the points are moved by 1e-7 of their spread (see zone.cpp), heights up to 3
    EXPECT_NEAR(MinimumZoneFlatness(points), ZoneByAllQuadruples(points), kTolNudge);
    EXPECT_LE(MinimumZoneFlatness(points), LeastSquaresFlatness(points) + 1e-12);
  }
}

// Closed form: corners +-h in turn (a twist) lie in no better zone than 2 h; a plane has none.
TEST(Zone, TwistAndPlane) {
  Eigen::MatrixX3d points(4, 3);
  points << 0, 0, 0.5, 300, 0, -0.5, 300, 200, 0.5, 0, 200, -0.5;
  EXPECT_NEAR(MinimumZoneFlatness(points), 1.0, 1e-6);
  EXPECT_NEAR(LeastSquaresFlatness(points), 1.0, 1e-12);
  for (Eigen::Index i = 0; i < 4; ++i)
    points(i, 2) = 3.0 + 0.01 * points(i, 0) - 0.02 * points(i, 1);
  EXPECT_NEAR(MinimumZoneFlatness(points), 0.0, 1e-5);
}

TEST(Zone, GridsWithManyEqualPointsEnd) {
  Eigen::MatrixX3d points(81, 3);
  for (int k = 0; k < 81; ++k) {
    const double u = k % 9 / 4.0 - 1.0, v = k / 9 / 4.0 - 1.0;
    points.row(k) << 150 * u, 100 * v, 1.0 - u * u;
  }
  // A cylinder of height 1: the zone is its height.
  EXPECT_NEAR(MinimumZoneFlatness(points), 1.0, 1e-6);
}

// Over the whole board, its plane taken out: c u^2 with u from -1 to 1 along it stands c high over
// the plane through its mean, whichever way it is tilted.
TEST(Warp, OfACylinder) {
  const Board board = RectangularBoard(300, 200, Calib::Embedded()).value();
  const auto tilted = [](const Eigen::Vector2d& at) {
    const double u = at.x() / 150.0 - 1.0;
    return 2.5 * u * u + 0.01 * at.x() - 0.02 * at.y() + 4.0;
  };
  EXPECT_NEAR(Warp(board, tilted), 2.5, 1e-9);
}

}  // namespace
}  // namespace lieflat
