#include "lieflat/plate/neighbourhood.h"

#include <cmath>
#include <limits>
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
/// Chord steps that gain less than this are given up for a solve of its own.
constexpr double kSlowRate = 0.6;
/// Out of balance, of the largest force: far below what any sample is read to.
constexpr double kNearEnough = 1e-6;
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
  core->contact->Use(*parts.factor, parts.anchors, parts.anchor_n_per_mm);
  return Neighbourhood(std::move(core));
}

const Plate& Neighbourhood::plate() const { return core_->plate; }
const PlateSolution& Neighbourhood::nominal() const { return core_->nominal; }

Result<PlateSolution> Neighbourhood::Linear(const Plate* other, const HeightField& shape) {
  const Plate& plate = other != nullptr ? *other : core_->plate;
  const Plate::Parts& parts = plate.parts();
  if (parts.mesh.unknowns() != core_->plate.unknowns())
    return Error{ErrorCode::kRefused,
                 "plate",
                 "its mesh is another one",
                 "make it from the same board and cells"};
  const HeightField lying = AsItLies(parts, shape, core_->hold);
  const Eigen::VectorXd nodal = NodalShapeOf(parts, lying);
  auto rows = MakeHoldRows(parts.mesh, parts.stiffness, lying, nodal, core_->hold, {});
  if (!rows) return rows.error();
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
  if (!core_->newton->KeptStep(
          *rows, rows->load - forces, /*follow=*/true, *core_->contact, state)) {
    return Error{ErrorCode::kNoFigure,
                 "pressing",
                 "the board tips when its numbers change a little",
                 "support it further out"};
  }
  return Describe(parts, *rows, core_->hold, nodal, core_->options, std::move(state));
}

Result<PlateSolution> Neighbourhood::Full(const Plate* other, const HeightField& shape) {
  const Plate& plate = other != nullptr ? *other : core_->plate;
  const Plate::Parts& parts = plate.parts();
  if (parts.mesh.unknowns() != core_->plate.unknowns())
    return Error{ErrorCode::kRefused,
                 "plate",
                 "its mesh is another one",
                 "make it from the same board and cells"};
  const HeightField lying = AsItLies(parts, shape, core_->hold);
  const Eigen::VectorXd nodal = NodalShapeOf(parts, lying);
  auto rows = MakeHoldRows(parts.mesh, parts.stiffness, lying, nodal, core_->hold, {});
  if (!rows) return rows.error();
  NewtonState state = core_->Start();
  double last = std::numeric_limits<double>::infinity();
  Eigen::VectorXd out_of_balance =
      rows->load - parts.stiffness.Forces(state.x, nodal, core_->options.large_deflection);
  for (int step = 0; step < kMostChordSteps; ++step) {
    if (!core_->newton->KeptStep(*rows, out_of_balance, /*follow=*/false, *core_->contact, state))
      break;
    out_of_balance =
        rows->load - parts.stiffness.Forces(state.x, nodal, core_->options.large_deflection);
    const double rest = Unbalanced(*rows, state, out_of_balance);
    if (!std::isfinite(rest)) break;
    if (rest <= kNearEnough)
      return Describe(parts, *rows, core_->hold, nodal, core_->options, std::move(state));
    if (step > 1 && rest > kSlowRate * last) break;
    last = rest;
  }
  if (other != nullptr) return other->Solve(shape, core_->hold, core_->options, &core_->nominal);
  // The nominal plate's matrix must stay: a twin does the solve.
  auto twin = Plate::Make(plate.model());
  if (!twin) return twin.error();
  return twin->Solve(shape, core_->hold, core_->options, &core_->nominal);
}

}  // namespace lieflat
