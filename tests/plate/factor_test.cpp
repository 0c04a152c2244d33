// The factor against Eigen's own sparse Cholesky on the same matrix, and its half columns against
// the dense inverse.

#include "plate/factor.h"

#include <Eigen/Cholesky>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

namespace lieflat {
namespace {

constexpr int kPerPoint = 3;

/// A random positive definite matrix on a grid with a hole, cell by cell.
struct Grid {
  std::vector<GridPoint> points;
  std::vector<Item> items;
  std::vector<Eigen::MatrixXd> matrices;
  int unknowns = 0;
};

Grid RandomGrid(int columns, int rows, Random& random) {
  Grid grid;
  std::vector<int> number(static_cast<std::size_t>((columns + 1) * (rows + 1)), -1);
  const auto point = [&](int i, int j) {
    int& p = number[static_cast<std::size_t>(j * (columns + 1) + i)];
    if (p < 0) {
      p = static_cast<int>(grid.points.size());
      GridPoint at{i, j, {}};
      for (int k = 0; k < kPerPoint; ++k) at.unknowns.push_back(grid.unknowns++);
      grid.points.push_back(at);
    }
    return p;
  };
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      if (i > columns / 3 && i < columns / 2 && j > rows / 3 && j < 2 * rows / 3) continue;
      Item item;
      for (const int p : {point(i, j), point(i + 1, j), point(i + 1, j + 1), point(i, j + 1)}) {
        const auto& own = grid.points[static_cast<std::size_t>(p)].unknowns;
        item.unknowns.insert(item.unknowns.end(), own.begin(), own.end());
      }
      const auto n = static_cast<Eigen::Index>(item.unknowns.size());
      Eigen::MatrixXd root(n, n);
      for (Eigen::Index k = 0; k < root.size(); ++k) root.data()[k] = random.Normal();
      grid.matrices.emplace_back(root * root.transpose() + 0.1 * Eigen::MatrixXd::Identity(n, n));
      grid.items.push_back(std::move(item));
    }
  }
  return grid;
}

Eigen::SparseMatrix<double> Assembled(const Grid& grid, const std::vector<int>& fixed) {
  std::vector<Eigen::Triplet<double>> entries;
  const auto is_fixed = [&](int u) {
    return std::find(fixed.begin(), fixed.end(), u) != fixed.end();
  };
  for (std::size_t k = 0; k < grid.items.size(); ++k) {
    const std::vector<int>& touched = grid.items[k].unknowns;
    for (std::size_t i = 0; i < touched.size(); ++i) {
      for (std::size_t j = 0; j < touched.size(); ++j) {
        if (is_fixed(touched[i]) || is_fixed(touched[j])) continue;
        entries.emplace_back(
            touched[i],
            touched[j],
            grid.matrices[k](static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)));
      }
    }
  }
  for (const int u : fixed) entries.emplace_back(u, u, 1.0);
  Eigen::SparseMatrix<double> matrix(grid.unknowns, grid.unknowns);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

Factor Decomposed(const Grid& grid, const std::vector<int>& fixed) {
  Factor factor(grid.unknowns, grid.points, grid.items, fixed);
  EXPECT_TRUE(factor.Decompose([&](int item, Eigen::Ref<Eigen::MatrixXd> matrix) {
    matrix = grid.matrices[static_cast<std::size_t>(item)];
  }));
  return factor;
}

constexpr double kRounding = 1e-9;  // condition numbers of a few thousand

TEST(Factor, SolvesLikeEigensSparseCholesky) {
  for (const auto& [columns, rows] : {std::pair{1, 1}, {7, 5}, {23, 31}}) {
    Random random(static_cast<std::uint64_t>(columns));
    const Grid grid = RandomGrid(columns, rows, random);
    const std::vector<int> fixed = {0, 5, grid.unknowns - 1};
    const Factor factor = Decomposed(grid, fixed);
    const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> reference(Assembled(grid, fixed));
    Eigen::VectorXd b(grid.unknowns);
    for (Eigen::Index k = 0; k < b.size(); ++k) b(k) = random.Normal();
    for (const int u : fixed) b(u) = 0.0;
    const Eigen::VectorXd wanted = reference.solve(b);
    EXPECT_LT((factor.Solve(b) - wanted).cwiseAbs().maxCoeff(),
              kRounding * wanted.cwiseAbs().maxCoeff());
  }
}

TEST(Factor, HalfColumnsMultiplyToTheInverse) {
  Random random(11);
  const Grid grid = RandomGrid(9, 8, random);
  const Factor factor = Decomposed(grid, {0});
  const Eigen::MatrixXd inverse =
      Eigen::MatrixXd(Assembled(grid, {0}))
          .llt()
          .solve(Eigen::MatrixXd::Identity(grid.unknowns, grid.unknowns));
  const std::vector<SparseRow> rows = {
      {{7}, {1.0}}, {{grid.unknowns - 2}, {-2.0}}, {{40, 41, 44}, {0.5, -1.5, 2.0}}};
  std::vector<Factor::HalfColumn> halves;
  std::vector<Eigen::VectorXd> dense;
  for (const SparseRow& row : rows) {
    halves.push_back(factor.Half(row));
    dense.emplace_back(Eigen::VectorXd::Zero(grid.unknowns));
    for (std::size_t k = 0; k < row.unknowns.size(); ++k)
      dense.back()(row.unknowns[k]) = row.values[k];
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t j = 0; j < rows.size(); ++j)
      EXPECT_NEAR(Factor::Dot(halves[i], halves[j]), dense[i].dot(inverse * dense[j]), kRounding);
  }
  const Eigen::Vector3d weights(1.0, -2.0, 0.3);
  const std::vector<const Factor::HalfColumn*> all = {&halves[0], &halves[1], &halves[2]};
  const Eigen::VectorXd wanted = inverse * (dense[0] - 2.0 * dense[1] + 0.3 * dense[2]);
  EXPECT_LT((factor.Finish(all, weights) - wanted).cwiseAbs().maxCoeff(), kRounding);
}

TEST(Factor, SaysWhenAMatrixIsNotPositive) {
  Random random(3);
  Grid grid = RandomGrid(6, 6, random);
  grid.matrices.front() -= 1e4 * Eigen::MatrixXd::Identity(12, 12);
  Factor factor(grid.unknowns, grid.points, grid.items, {});
  EXPECT_FALSE(factor.Decompose([&](int item, Eigen::Ref<Eigen::MatrixXd> matrix) {
    matrix = grid.matrices[static_cast<std::size_t>(item)];
  }));
}

}  // namespace
}  // namespace lieflat
