#pragma once
// Cholesky factor of a stiffness matrix on a grid, by fronts along a nested dissection of the grid.
//
// Why our own: contact needs many columns of the inverse at single points. Along the dissection's
// tree such a column costs one path to the root, a twentieth of a whole solve, and every front is a
// dense matrix that Eigen multiplies at full speed. tests/plate holds it against
// Eigen::SimplicialLDLT; tests/bench times both.
//
// Sources: George, SIAM J. Numer. Anal. 10 (1973) 345 (nested dissection); Duff & Reid, ACM Trans.
// Math. Softw. 9 (1983) 302 (multifrontal elimination).

#include <functional>
#include <memory>
#include <span>
#include <vector>

#include <Eigen/Core>

namespace lieflat {

/// A symmetric contribution to the matrix: unknowns it touches (some may be fixed).
struct Item {
  std::vector<int> unknowns;
};

/// What stands at a grid point.
struct GridPoint {
  int i = 0, j = 0;
  std::vector<int> unknowns;
};

/// A sparse row over the unknowns.
struct SparseRow {
  std::vector<int> unknowns;
  std::vector<double> values;
};

class Factor {
 public:
  /// The order of elimination and who meets whom. Unknowns of neighbouring grid points meet; items
  /// touch no others.
  /// @param fixed  unknowns that stay 0 and are no part of the matrix.
  Factor(int unknowns,
         const std::vector<GridPoint>& points,
         const std::vector<Item>& items,
         const std::vector<int>& fixed);

  /// Fills the matrix of item `number` (square, in the order of its unknowns; both halves).
  using Fill = std::function<void(int number, Eigen::Ref<Eigen::MatrixXd> matrix)>;
  /// Terms weight x row row^T beside the items; a row's unknowns must lie in one cell.
  struct Extra {
    SparseRow row;
    double weight = 0.0;
  };
  /// @return false when the matrix is not positive definite.
  [[nodiscard]] bool Decompose(const Fill& fill, const std::vector<Extra>& extras = {});

  /// K^-1 b over the free unknowns; entries of fixed unknowns come back 0.
  [[nodiscard]] Eigen::VectorXd Solve(const Eigen::VectorXd& b) const;

  /// Half a column of the inverse: L^-1 row^T, kept only where it is not zero.
  struct HalfColumn {
    std::vector<int> fronts;  ///< rising
    std::vector<Eigen::Index> starts;
    Eigen::VectorXd values;
  };
  [[nodiscard]] HalfColumn Half(const SparseRow& row) const;
  [[nodiscard]] static double Dot(const HalfColumn& a, const HalfColumn& b);
  /// K^-1 applied to the sum of weighted rows, given their halves.
  [[nodiscard]] Eigen::VectorXd Finish(std::span<const HalfColumn* const> halves,
                                       const Eigen::VectorXd& weights) const;

  /// Numbers kept in the factor.
  [[nodiscard]] std::size_t entries() const;

 private:
  struct Front {
    int first = 0, pivots = 0;  ///< in the order of elimination
    std::vector<int> boundary;  ///< orders of the rows below, rising
    int parent = -1;
    std::vector<int> children, items;
    Eigen::MatrixXd lower;  ///< (pivots + boundary) x pivots
  };

  int Dissect(const std::vector<GridPoint>& points, std::vector<int> chosen);
  void FindBoundaries(const std::vector<GridPoint>& points);
  // A front's dense matrix, lower half; `local` is where an order stands in it.
  static void NumberRows(const Front& front, std::vector<int>& local);
  void AddItems(const Front& front,
                const Fill& fill,
                const std::vector<int>& local,
                Eigen::MatrixXd& dense) const;
  void AddExtra(const Extra& extra, const std::vector<int>& local, Eigen::MatrixXd& dense) const;
  void AddChildren(const Front& front,
                   const std::vector<int>& local,
                   std::vector<Eigen::MatrixXd>& updates,
                   Eigen::MatrixXd& dense) const;
  [[nodiscard]] static bool Eliminate(Eigen::Index pivots, Eigen::MatrixXd& dense);
  [[nodiscard]] bool DecomposeFront(int number,
                                    const Fill& fill,
                                    const std::vector<std::vector<const Extra*>>& extras,
                                    std::vector<int>& local,
                                    std::vector<Eigen::MatrixXd>& updates);
  [[nodiscard]] int FrontOf(std::span<const int> unknowns) const;
  void Backward(Eigen::VectorXd& x) const;

  std::vector<Item> items_;
  std::vector<int> order_;       ///< by unknown: place in the elimination, -1 when fixed
  std::vector<int> unknown_of_;  ///< by order
  std::vector<int> front_of_;    ///< by order
  std::vector<Front> fronts_;    ///< children before parents
};

}  // namespace lieflat
