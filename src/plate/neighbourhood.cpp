#include "lieflat/plate/neighbourhood.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <utility>

#include "plate/contact.h"
#include "plate/describe.h"
#include "plate/hold_rows.h"
#include "plate/level.h"
#include "plate/newton.h"
#include "plate/parts.h"

namespace lieflat {
namespace {

constexpr int kMostChordSteps = 30;
/// More steps than this still ahead cost more than a solve of its own.
constexpr double kTooMany = 9.0;
/// Where a step leaves more than so many times the largest force, it is better to begin anew.
constexpr double kFarOff = 20.0;
constexpr int kMostOwnMatrices = 2;
/// Out of balance, of the largest force: far below what any sample is read to.
constexpr double kNearEnough = 1e-5;
constexpr double kLittle = 1e-4;

}  // namespace

struct Neighbourhood::Core {
  Core(Plate its_plate, Hold its_hold, const SolveOptions& its_options)
      : plate(std::move(its_plate)), hold(std::move(its_hold)), options(its_options) {}

  Plate plate;
  Hold hold;
  SolveOptions options;
  PlateSolution nominal;
  HoldRows rows;
  std::unique_ptr<Contact> contact;
  std::unique_ptr<Newton> newton;
  Eigen::VectorXd shape;
  std::optional<Plate> twin;

  /// A plate and a shape near the nominal ones, in the same hold.
  struct Case {
    const Plate::Parts& parts;
    Eigen::VectorXd nodal;  ///< its shape at the nodes
    HoldRows rows;
  };
  [[nodiscard]] Result<Case> CaseOf(const Plate* other, const HeightField& its_shape) const;

  bool Step(const Newton& with,
            const HoldRows& at,
            Contact& touching,
            const std::function<Eigen::VectorXd()>& out_of_balance,
            NewtonState& state,
            double& left) const;
  Result<const Plate*> Twin(const Plate* other);

  [[nodiscard]] NewtonState Start() const {
    NewtonState state;
    state.x = nominal.displacement;
    state.q = nominal.bodies;
    state.contact = {nominal.active, nominal.forces};
    return state;
  }
};

Neighbourhood::Neighbourhood(std::unique_ptr<Core> core) : core_(std::move(core)) {}
Neighbourhood::~Neighbourhood() = default;
Neighbourhood::Neighbourhood(Neighbourhood&&) noexcept = default;
Neighbourhood& Neighbourhood::operator=(Neighbourhood&&) noexcept = default;

Result<Neighbourhood> Neighbourhood::Make(Plate plate,
                                          HeightField shape,
                                          Hold hold,
                                          const SolveOptions& options) {
  auto core = std::make_unique<Core>(std::move(plate), std::move(hold), options);
  auto nominal = core->plate.Solve(shape, core->hold, options);
  if (!nominal) return nominal.error();
  core->nominal = std::move(*nominal);
  const Plate::Parts& parts = core->plate.parts();
  const HeightField lying = AsItLies(parts, shape, core->hold);
  core->shape = NodalShapeOf(parts, lying);
  auto rows = MakeHoldRows(parts.mesh, parts.stiffness, lying, core->shape, core->hold, {});
  if (!rows) return rows.error();
  core->rows = std::move(*rows);
  core->newton = std::make_unique<Newton>(parts, core->shape, core->options);
  if (!core->newton->DecomposeAt(core->rows, core->Start())) {
    return Error{ErrorCode::kNoFigure,
                 "pressing",
                 "the board is about to snap through where it was solved",
                 "press it less far, or support it differently"};
  }
  core->contact =
      std::make_unique<Contact>(core->rows.rows, core->rows.balance, ContactSpread(parts.model));
  core->contact->Use(parts.factor(), parts.anchors, parts.anchor_n_per_mm);
  return Neighbourhood(std::move(core));
}

const Plate& Neighbourhood::plate() const { return core_->plate; }
const PlateSolution& Neighbourhood::nominal() const { return core_->nominal; }

Result<Neighbourhood::Core::Case> Neighbourhood::Core::CaseOf(const Plate* other,
                                                              const HeightField& its_shape) const {
  const Plate::Parts& parts = (other != nullptr ? *other : plate).parts();
  if (parts.mesh.unknowns() != plate.unknowns())
    return Error{ErrorCode::kRefused,
                 "plate",
                 "its mesh is another one",
                 "make it from the same board and cells"};
  const HeightField lying = AsItLies(parts, its_shape, hold);
  Eigen::VectorXd nodal = NodalShapeOf(parts, lying);
  auto its_rows = MakeHoldRows(parts.mesh, parts.stiffness, lying, nodal, hold, {});
  if (!its_rows) return its_rows.error();
  return Case{parts, std::move(nodal), std::move(*its_rows)};
}

Result<PlateSolution> Neighbourhood::Linear(const Plate* other, const HeightField& shape) {
  const auto near = core_->CaseOf(other, shape);
  if (!near) return near.error();
  const Plate::Parts& parts = near->parts;
  const Eigen::VectorXd& nodal = near->nodal;
  const HoldRows& rows = near->rows;
  NewtonState state = core_->Start();
  const bool large = core_->options.large_deflection;
  Eigen::VectorXd forces = parts.stiffness.Forces(state.x, core_->shape, large);
  if (nodal != core_->shape) {
    // The derivative along the change of shape, not its whole step: membrane forces grow with the
    // square of a change, and far more steeply than anything else.
    const Plate::Parts& own = core_->plate.parts();
    const Eigen::VectorXd little = core_->shape + kLittle * (nodal - core_->shape);
    forces += (own.stiffness.Forces(state.x, little, large) -
               own.stiffness.Forces(state.x, core_->shape, large)) /
              kLittle;
  }
  if (!core_->newton->KeptStep(rows, rows.load - forces, /*follow=*/true, *core_->contact, state)) {
    return Error{ErrorCode::kNoFigure,
                 "pressing",
                 "the board tips when its numbers change a little",
                 "support it further out"};
  }
  return Describe(parts, rows, core_->hold, nodal, core_->options, std::move(state));
}

/// Steps with a matrix that is kept, until the forces balance. False when that leads nowhere soon;
/// the state is then the best of those met, and `left` what it leaves out of balance.
bool Neighbourhood::Core::Step(const Newton& with,
                               const HoldRows& at,
                               Contact& touching,
                               const std::function<Eigen::VectorXd()>& out_of_balance,
                               NewtonState& state,
                               double& left) const {
  NewtonState best = state;
  left = std::numeric_limits<double>::infinity();
  double last = left;
  Eigen::VectorXd forces = out_of_balance();
  for (int step = 0; step < kMostChordSteps; ++step) {
    if (!with.KeptStep(at, forces, /*follow=*/false, touching, state)) break;
    forces = out_of_balance();
    const double rest = Unbalanced(at, state, forces);
    if (rest <= kNearEnough) return true;
    if (!std::isfinite(rest)) break;
    if (rest < left) {
      left = rest;
      best = state;
    }
    const double rate = rest / last;
    if (step > 1 && !(rate < 1.0 && std::log(kNearEnough / rest) / std::log(rate) < kTooMany))
      break;
    last = rest;
  }
  state = std::move(best);
  return false;
}

/// A plate beside the nominal one, whose matrix must stay.
Result<const Plate*> Neighbourhood::Core::Twin(const Plate* other) {
  if (!twin) {
    auto made = Plate::Make(plate.model());
    if (!made) return made.error();
    twin.emplace(std::move(*made));
  }
  if (other == nullptr) return &*twin;
  other->parts().ShareFactorOf(twin->parts());
  return other;
}

Result<PlateSolution> Neighbourhood::Full(const Plate* other, const HeightField& shape) {
  const auto near = core_->CaseOf(other, shape);
  if (!near) return near.error();
  const Plate::Parts& parts = near->parts;
  const Eigen::VectorXd& nodal = near->nodal;
  const HoldRows& rows = near->rows;
  NewtonState state = core_->Start();
  const auto out_of_balance = [&]() -> Eigen::VectorXd {
    return rows.load - parts.stiffness.Forces(state.x, nodal, core_->options.large_deflection);
  };
  const auto answer = [&] {
    return Describe(parts, rows, core_->hold, nodal, core_->options, std::move(state));
  };
  double left = 0.0;
  if (core_->Step(*core_->newton, rows, *core_->contact, out_of_balance, state, left))
    return answer();
  const auto beside = core_->Twin(other);
  if (!beside) return beside.error();
  const Plate::Parts& own = (*beside)->parts();
  SolveOptions near_enough = core_->options;
  near_enough.residual_tolerance = std::max(near_enough.residual_tolerance, kNearEnough);
  Newton newton(own, nodal, near_enough);
  // Too far for the nominal matrix, near enough for one of its own.
  Contact contact(rows.rows, rows.balance, ContactSpread(own.model));
  for (int matrix = 0; matrix < kMostOwnMatrices && left < kFarOff; ++matrix) {
    if (!newton.DecomposeAt(rows, state)) break;
    contact.Use(own.factor(), own.anchors, own.anchor_n_per_mm);
    if (core_->Step(newton, rows, contact, out_of_balance, state, left)) return answer();
  }
  // Farther: Newton's method from the nominal case, and at last from nothing.
  state = core_->Start();
  if (newton.Run(rows, state)) return answer();
  return (*beside)->Solve(shape, core_->hold, core_->options);
}

}  // namespace lieflat
