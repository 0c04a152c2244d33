#include "plate/newton.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace lieflat {
namespace {

/// A step this much better than the last one, and already this near, needs no new matrix.
constexpr double kChordRate = 0.1;
constexpr double kChordBelow = 1e-3;
constexpr double kSpreadCells = 4.0;
/// Where forces are small beside the stiffness, rounding keeps the balance from getting better than
/// this.
constexpr double kRoundingFloor = 5e-7;
constexpr double kNoBetter = 0.3;
/// Stiffness added on rows in touch while the membrane is pressed past buckling, N/mm.
constexpr std::array<double, 5> kStiffeners = {0.0, 1.0, 10.0, 100.0, 1000.0};

void Spread(const SparseRow& row, double force, Eigen::VectorXd& on) {
  for (std::size_t k = 0; k < row.unknowns.size(); ++k)
    on(row.unknowns[k]) += row.values[k] * force;
}

}  // namespace

double ContactSpread(const PlateModel& model) {
  return kSpreadCells * std::max(model.cell_mm, model.fine_mm);
}

Eigen::VectorXd GapsOf(const HoldRows& hold, const NewtonState& state) {
  Eigen::VectorXd gaps(static_cast<Eigen::Index>(hold.rows.size()));
  for (std::size_t k = 0; k < hold.rows.size(); ++k) {
    const ContactRow& row = hold.rows[k];
    double gap = row.start + Value(row.row, state.x);
    if (row.body >= 0) {
      for (int b = 0; b < 3 && row.body + b < state.q.size(); ++b)
        gap += row.body_row(b) * state.q(row.body + b);
    }
    gaps(static_cast<Eigen::Index>(k)) = gap;
  }
  return gaps;
}

double Unbalanced(const HoldRows& hold,
                  const NewtonState& state,
                  const Eigen::VectorXd& out_of_balance) {
  Eigen::VectorXd rest = out_of_balance;
  double largest = hold.load.cwiseAbs().maxCoeff();
  for (const int row : state.contact.active) {
    const double force = state.contact.force(row);
    largest = std::max(largest, std::abs(force));
    Spread(hold.rows[static_cast<std::size_t>(row)].row, force, rest);
  }
  constexpr double kNothing = 0.1;  // N: where hardly anything acts, rounding is held against this
  return rest.cwiseAbs().maxCoeff() / std::max(largest, kNothing);
}

Newton::Newton(const Plate::Parts& parts, const Eigen::VectorXd& shape, const SolveOptions& options)
    : parts_(parts), shape_(shape), options_(options) {}

Eigen::VectorXd Newton::OutOfBalance(const HoldRows& hold,
                                     const NewtonState& state,
                                     bool flat) const {
  return hold.load - parts_.stiffness.Forces(state.x, shape_, options_.large_deflection && !flat);
}

bool Newton::Run(const HoldRows& hold, NewtonState& state) {
  Contact contact(hold.rows, hold.balance, ContactSpread(parts_.model));
  stiffener_ = 0.0;
  Stage stage = state.x.isZero(0.0) || !options_.large_deflection ? Stage::kFlat : Stage::kNewton;
  Eigen::VectorXd out_of_balance = OutOfBalance(hold, state, stage == Stage::kFlat);
  double last = std::numeric_limits<double>::infinity();
  for (int step = 0; step < options_.most_newton_steps; ++step) {
    if (!Step(hold, stage, out_of_balance, contact, state)) return false;
    out_of_balance = OutOfBalance(hold, state, false);
    const double rest = Unbalanced(hold, state, out_of_balance);
    if (!std::isfinite(rest)) return false;
    if (rest <= options_.residual_tolerance) return true;
    if (rest <= kRoundingFloor && rest > kNoBetter * last) return true;
    const bool near = rest < kChordBelow && rest < kChordRate * last;
    stage = stage == Stage::kFlat ? Stage::kMembrane : near ? Stage::kChord : Stage::kNewton;
    last = rest;
  }
  return false;
}

bool Newton::Step(const HoldRows& hold,
                  Stage stage,
                  const Eigen::VectorXd& out_of_balance,
                  Contact& contact,
                  NewtonState& state) {
  if (stage != Stage::kChord) {
    if (!Decompose(hold, stage, state)) return false;
    contact.Use(parts_.factor(), parts_.anchors, parts_.anchor_n_per_mm);
    ++state.factorisations;
  }
  return KeptStep(hold, out_of_balance, /*follow=*/false, contact, state);
}

bool Newton::DecomposeAt(const HoldRows& hold, const NewtonState& state) {
  stiffener_ = 0.0;
  return Decompose(hold, options_.large_deflection ? Stage::kNewton : Stage::kFlat, state);
}

bool Newton::KeptStep(const HoldRows& hold,
                      const Eigen::VectorXd& out_of_balance,
                      bool follow,
                      Contact& contact,
                      NewtonState& state) const {
  ++state.steps;
  Eigen::VectorXd force = out_of_balance;
  const Eigen::VectorXd gaps = GapsOf(hold, state);
  for (const int row : stiffened_)
    Spread(hold.rows[static_cast<std::size_t>(row)].row, -stiffener_ * gaps(row), force);
  const Eigen::VectorXd open = parts_.factor().Solve(force);
  if (hold.rows.empty()) {
    state.x += open;
    return true;
  }
  contact.Carry(hold.balance);
  const auto moved =
      follow ? contact.Follow(open, gaps, state.contact) : contact.Solve(open, gaps, state.contact);
  state.columns = std::max(state.columns, contact.columns());
  if (!moved) return false;
  state.x += moved->x;
  state.q += moved->q;
  return true;
}

/// Past buckling the matrix is made positive definite by springs on the rows in touch, which the
/// solution does not feel.
bool Newton::Decompose(const HoldRows& hold, Stage stage, const NewtonState& state) {
  for (const double trial : kStiffeners) {
    if (trial < stiffener_) continue;  // what was needed once is needed again
    stiffener_ = trial;
    stiffened_.clear();
    std::vector<Factor::Extra> extras;
    for (const int anchor : parts_.anchors)
      extras.push_back({{{anchor}, {1.0}}, parts_.anchor_n_per_mm});
    if (stiffener_ > 0.0) {
      for (const int row : state.contact.active) {
        if (hold.rows[static_cast<std::size_t>(row)].body >= 0) continue;
        stiffened_.push_back(row);
        extras.push_back({hold.rows[static_cast<std::size_t>(row)].row, stiffener_});
      }
    }
    const bool large = options_.large_deflection && stage != Stage::kFlat;
    const bool geometric = stage == Stage::kNewton;
    const bool done = parts_.factor().Decompose(
        [&](int item, Eigen::Ref<Eigen::MatrixXd> matrix) {
          parts_.stiffness.Tangent(item, state.x, shape_, large, geometric, matrix);
        },
        extras);
    if (done) return true;
  }
  return false;
}

}  // namespace lieflat
