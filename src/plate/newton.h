#pragma once
// Newton's method for a plate under large deflection with contact: each step is a linear contact
// problem.

#include <vector>

#include <Eigen/Core>

#include "plate/contact.h"
#include "plate/hold_rows.h"
#include "plate/parts.h"

namespace lieflat {

struct NewtonState {
  Eigen::VectorXd x, q;
  ContactState contact;
  int steps = 0, factorisations = 0, columns = 0;
};

/// Gap of every row.
Eigen::VectorXd GapsOf(const HoldRows& hold, const NewtonState& state);
/// Largest nodal force out of balance once the contact forces are counted, as a share of the
/// largest force there is.
double Unbalanced(const HoldRows& hold,
                  const NewtonState& state,
                  const Eigen::VectorXd& out_of_balance);

class Newton {
 public:
  /// @param parts  of the plate whose matrix is decomposed; its factor is overwritten.
  /// @param shape       stress-free heights by node.
  Newton(const Plate::Parts& parts, const Eigen::VectorXd& shape, const SolveOptions& options);

  /// Brings `state` into equilibrium with the hold. False when it does not get there.
  bool Run(const HoldRows& hold, NewtonState& state);

  /// Decomposes the tangent at a state of equilibrium, for steps that keep it. False when it snaps
  /// through there.
  bool DecomposeAt(const HoldRows& hold, const NewtonState& state);
  /// One step with the matrix at hand.
  /// @param follow  keeps the rows in touch as they are (a derivative); else contact is found anew.
  /// @return false when contact found no end.
  bool KeptStep(const HoldRows& hold,
                const Eigen::VectorXd& out_of_balance,
                bool follow,
                Contact& contact,
                NewtonState& state) const;

 private:
  /// A first guess as a flat plate; then the membrane that belongs to it; then Newton, with new or
  /// with kept matrices.
  enum class Stage { kFlat, kMembrane, kNewton, kChord };

  bool Step(const HoldRows& hold,
            Stage stage,
            const Eigen::VectorXd& out_of_balance,
            Contact& contact,
            NewtonState& state);
  bool Decompose(const HoldRows& hold, Stage stage, const NewtonState& state);
  [[nodiscard]] Eigen::VectorXd OutOfBalance(const HoldRows& hold,
                                             const NewtonState& state,
                                             bool flat) const;

  const Plate::Parts& parts_;
  const Eigen::VectorXd& shape_;
  const SolveOptions& options_;
  double stiffener_ = 0.0;      ///< on rows in touch, N/mm
  std::vector<int> stiffened_;  ///< rows that have it
};

/// Contact rows added together lie at least so far apart.
double ContactSpread(const PlateModel& model);

}  // namespace lieflat
