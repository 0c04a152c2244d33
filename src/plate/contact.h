#pragma once
// Contact of an elastic board with rigid bodies, as a small dense problem: find forces and
// positions such that
//   gap >= 0,  force >= 0,  force x gap = 0   at every one-sided row,   gap = 0 at every two-sided
//   row,
// and every rigid body is in balance. By an active set that adds the worst gaps and drops what
// would pull; exact, without a penalty. Source: Lawson & Hanson, Solving Least Squares Problems
// (1974), ch. 23 (the active set of NNLS).

#include <map>
#include <memory>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "plate/factor.h"

namespace lieflat {

/// gap = start + row x + body_row q, growing with the row's force.
struct ContactRow {
  SparseRow row;
  double start = 0.0;
  int body = -1;  ///< first of the body's unknowns in q; -1: the ground
  Eigen::Vector3d body_row = Eigen::Vector3d::Zero();  ///< over the body's unknowns
  bool two_sided = false;
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
};

struct ContactState {
  std::vector<int> active;  ///< numbers of rows
  Eigen::VectorXd force;    ///< by row
};

class Contact {
 public:
  /// @param bodies  number of unknowns of rigid bodies.
  /// @param balance what each body's unknown must carry (sum of force x body_row).
  /// @param spread_mm  rows added together lie at least so far apart.
  Contact(const std::vector<ContactRow>& rows, Eigen::VectorXd balance, double spread_mm)
      : rows_(rows), balance_(std::move(balance)), spread_mm_(spread_mm) {}

  /// Springs (of stiffness `anchor_n_per_mm` at single unknowns) that the factor holds so that a
  /// free board can be decomposed; their forces are taken out again here. Forgets what was kept of
  /// another factor.
  void Use(const Factor& factor, const std::vector<int>& anchors, double anchor_n_per_mm);

  struct Step {
    Eigen::VectorXd x, q;  ///< increments
    int rounds = 0;
  };
  /// One linear step from the gaps at hand.
  /// @param open       K^-1 of the forces out of balance, contact left out.
  /// @param gaps       by row, now.
  /// @param state      in: where to start; out: the answer.
  /// @return nothing when the active rows do not hold the board, or no end was found.
  std::optional<Step> Solve(const Eigen::VectorXd& open,
                            const Eigen::VectorXd& gaps,
                            ContactState& state);

  /// The same with the active rows kept as they are, whatever their forces: a derivative.
  std::optional<Step> Follow(const Eigen::VectorXd& open,
                             const Eigen::VectorXd& gaps,
                             ContactState& state);
  /// What each body's unknown must carry from now on.
  void Carry(const Eigen::VectorXd& balance) { balance_ = balance; }

  [[nodiscard]] int columns() const { return static_cast<int>(kept_.size()); }
  static constexpr double kTightMm = 4e-6;  ///< deepest gap that is left

 private:
  struct Kept {
    int row = 0;
    Factor::HalfColumn half;
  };
  int ColumnOf(int row);
  struct Solution {
    Eigen::VectorXd force, held, q;
  };
  std::optional<Solution> SolveActive(const std::vector<int>& active,
                                      const Eigen::VectorXd& open,
                                      const Eigen::VectorXd& gaps);
  Step StepOf(const std::vector<int>& active,
              const Solution& solution,
              const Eigen::VectorXd& open) const;
  /// Forces under this are rounding: of stiffness times gap.
  [[nodiscard]] double NoForce(const Eigen::VectorXd& gaps) const;
  bool MoveForces(const Eigen::VectorXd& wanted,
                  double none,
                  const std::vector<int>& stuck,
                  ContactState& state,
                  std::vector<int>& dropped) const;
  bool AddWorst(const Step& step,
                const Eigen::VectorXd& gaps,
                std::size_t most,
                ContactState& state) const;

  const std::vector<ContactRow>& rows_;
  Eigen::VectorXd balance_;
  double spread_mm_;

  const Factor* factor_ = nullptr;
  std::vector<int> anchors_;
  double anchor_n_per_mm_ = 0.0;
  std::vector<Factor::HalfColumn> anchor_halves_;
  Eigen::MatrixXd anchor_block_;
  std::vector<Kept> kept_;
  std::map<int, int> column_of_;
  Eigen::MatrixXd compliance_, to_anchors_;  ///< between kept columns; kept columns to anchors
};

double Value(const SparseRow& row, const Eigen::VectorXd& x);

}  // namespace lieflat
