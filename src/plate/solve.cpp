#include "lieflat/plate/solve.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "plate/contact.h"
#include "plate/describe.h"
#include "plate/hold_rows.h"
#include "plate/level.h"
#include "plate/newton.h"
#include "plate/parts.h"

namespace lieflat {
namespace {

constexpr int kMostUnknowns = 400000;
constexpr double kLeastProgress = 1.0 / 128.0;

/// Three grid points far apart: the one nearest a corner, the farthest from it, the one that spans
/// most with both.
std::array<int, 3> FarApart(const Mesh& mesh) {
  std::array<int, 3> best{};
  const auto at = [&](int node) { return mesh.At(mesh.point_of[static_cast<std::size_t>(node)]); };
  const auto furthest = [&](const auto& measure) {
    int chosen = 0;
    double most = -std::numeric_limits<double>::infinity();
    for (int node = 0; node < mesh.nodes && mesh.layer_of[static_cast<std::size_t>(node)] == 0;
         ++node) {
      if (const double value = measure(at(node)); value > most) {
        most = value;
        chosen = node;
      }
    }
    return chosen;
  };
  best[0] = furthest([](const Eigen::Vector2d& p) { return -p.x() - p.y(); });
  best[1] = furthest([&](const Eigen::Vector2d& p) { return (p - at(best[0])).norm(); });
  const Eigen::Vector2d along = at(best[1]) - at(best[0]);
  best[2] = furthest([&](const Eigen::Vector2d& p) {
    const Eigen::Vector2d arm = p - at(best[0]);
    return std::abs(along.x() * arm.y() - along.y() * arm.x());
  });
  return best;
}

/// Without any support the loads must balance one another.
Result<void> CheckBalance(const Mesh& mesh, const HoldRows& hold) {
  if (!hold.rows.empty()) return {};
  double sum = 0.0, all = 0.0;
  Eigen::Vector2d moment = Eigen::Vector2d::Zero();
  for (int node = 0; node < mesh.nodes; ++node) {
    const auto first = static_cast<Eigen::Index>(kUnknownsOfNode) * node;
    const double force = hold.load(first + kW);
    const Eigen::Vector2d at = mesh.At(mesh.point_of[static_cast<std::size_t>(node)]);
    sum += force;
    all += std::abs(force) * (1.0 + at.norm());
    moment += force * at + Eigen::Vector2d(hold.load(first + kSlopeX), hold.load(first + kSlopeY));
  }
  constexpr double kBalanced = 1e-9;
  if (std::abs(sum) <= kBalanced * all && moment.norm() <= kBalanced * all) return {};
  return Error{ErrorCode::kNoFigure,
               "support",
               "nothing holds the board and its loads do not balance",
               "lay it on a table, on rests or on screws"};
}

/// As it lies, nothing pushing.
NewtonState AtRest(const HoldRows& rows, int unknowns) {
  NewtonState state;
  state.x = Eigen::VectorXd::Zero(unknowns);
  state.q = rows.start_q;
  state.contact.force = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(rows.rows.size()));
  return state;
}

bool IsUntouched(const HoldRows& rows, int unknowns) {
  constexpr double kRoundingMm = 1e-9;
  return GapsOf(rows, AtRest(rows, unknowns)).minCoeff() >= -kRoundingMm;
}

}  // namespace

Eigen::VectorXd NodalShapeOf(const Plate::Parts& parts, const HeightField& shape) {
  const Mesh& mesh = parts.mesh;
  Eigen::VectorXd by_point(mesh.grid_points());
  for (int point = 0; point < mesh.grid_points(); ++point)
    by_point(point) = mesh.layers.front().node_at[static_cast<std::size_t>(point)] >= 0
                          ? shape(mesh.At(point))
                          : 0.0;
  return parts.stiffness.NodalShape(by_point);
}

PlateSolution Describe(const Plate::Parts& parts,
                       const HoldRows& hold,
                       const Hold& how,
                       const Eigen::VectorXd& shape,
                       const SolveOptions& options,
                       NewtonState state) {
  PlateSolution solution;
  solution.up = how.up;
  solution.large_deflection = options.large_deflection;
  solution.shape = shape;
  const double up = how.up == Side::kComponent ? 1.0 : -1.0;
  solution.highest_mm = -std::numeric_limits<double>::infinity();
  solution.lowest_mm = std::numeric_limits<double>::infinity();
  for (int node = 0;
       node < parts.mesh.nodes && parts.mesh.layer_of[static_cast<std::size_t>(node)] == 0;
       ++node) {
    const double height =
        up * (shape(node) + state.x(static_cast<Eigen::Index>(kUnknownsOfNode) * node + kW));
    solution.highest_mm = std::max(solution.highest_mm, height);
    solution.lowest_mm = std::min(solution.lowest_mm, height);
  }
  const Eigen::VectorXd gaps = GapsOf(hold, state);
  for (std::size_t k = 0; k < hold.rows.size(); ++k) {
    if (!hold.rows[k].two_sided)
      solution.worst_gap_mm = std::min(solution.worst_gap_mm, gaps(static_cast<Eigen::Index>(k)));
  }
  std::sort(state.contact.active.begin(), state.contact.active.end());
  for (const int active : state.contact.active) {
    const auto k = static_cast<std::size_t>(active);
    const double force = state.contact.force(active);
    solution.contacts.push_back(
        {hold.touch[k], hold.number[k], hold.rows[k].at_mm, hold.up_sign[k] * force});
    if (hold.touch[k] == Touch::kPlate) solution.plate_force_n += force;
  }
  solution.load_n = hold.load_n;
  if (how.plate && how.plate->gap_mm) solution.load_n += solution.plate_force_n;
  std::tie(solution.bending_energy_n_mm, solution.membrane_energy_n_mm) =
      parts.stiffness.BoardEnergy(state.x, shape, options.large_deflection);
  solution.newton_steps = state.steps;
  solution.factorisations = state.factorisations;
  solution.columns = state.columns;
  solution.displacement = std::move(state.x);
  solution.active = std::move(state.contact.active);
  solution.forces = std::move(state.contact.force);
  solution.bodies = std::move(state.q);
  return solution;
}

Plate::Parts::Parts(PlateModel its_model, Mesh its_mesh)
    : model(std::move(its_model)), mesh(std::move(its_mesh)), stiffness(mesh, model) {
  const std::array<int, 3> far = FarApart(mesh);
  for (const int node : far) anchors.push_back(kUnknownsOfNode * node + kW);
  const double span = std::max(mesh.x.back() - mesh.x.front(), mesh.y.back() - mesh.y.front());
  const Eigen::Matrix3d bending = model.board.Bending();
  anchor_n_per_mm = 50.0 * std::max(bending(0, 0), bending(1, 1)) /
                    (span * span);  // as stiff as the board itself
  // In its plane the board rests on three unknowns that carry nothing: no load acts in the plane.
  fixed_ = {kUnknownsOfNode * far[0] + kU,
            kUnknownsOfNode * far[0] + kV,
            kUnknownsOfNode * far[1] +
                (std::abs((mesh.At(mesh.point_of[static_cast<std::size_t>(far[1])]) -
                           mesh.At(mesh.point_of[static_cast<std::size_t>(far[0])]))
                              .x()) > 0.5 * span
                     ? kV
                     : kU)};
  for (int node = 0; node < mesh.nodes && mesh.layer_of[static_cast<std::size_t>(node)] == 0;
       ++node)
    points.push_back(mesh.At(mesh.point_of[static_cast<std::size_t>(node)]));
}

Factor& Plate::Parts::factor() const {
  if (!factor_)
    factor_ = std::make_shared<Factor>(
        mesh.unknowns(), stiffness.GridPoints(), stiffness.items(), fixed_);
  return *factor_;
}

void Plate::Parts::ShareFactorOf(const Parts& other) const {
  (void)other.factor();
  factor_ = other.factor_;
}

Plate::Plate(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
Plate::~Plate() = default;
Plate::Plate(Plate&&) noexcept = default;
Plate& Plate::operator=(Plate&&) noexcept = default;

Result<Plate> Plate::Make(PlateModel model) {
  const auto sound = [](const Ply& ply) {
    return ply.modulus_x_mpa > 0.0 && ply.modulus_y_mpa > 0.0 && ply.shear_mpa > 0.0 &&
           ply.thickness_mm > 0.0 &&
           ply.poisson * ply.poisson * ply.modulus_y_mpa < ply.modulus_x_mpa;
  };
  if (!sound(model.board)) {
    return Error{
        ErrorCode::kRefused,
        "laminate",
        "its moduli and thickness do not make a plate",
        "all must be above 0, and Poisson's ratio under the root of modulus_x / modulus_y"};
  }
  for (const Stiffener& part : model.stiffeners) {
    if (sound(part.ply) && part.pitch_mm > 0.0 && part.axial_n_per_mm > 0.0 &&
        part.shear_n_per_mm > 0.0)
      continue;
    return Error{ErrorCode::kRefused,
                 part.ref,
                 "its body and joints have no stiffness",
                 "all must be above 0"};
  }
  auto mesh = Mesh::Make(model);
  if (!mesh) return mesh.error();
  if (mesh->unknowns() > kMostUnknowns) {
    return Error{
        ErrorCode::kRefused,
        "outline_mm",
        fmt::format("{} unknowns at cells of {:.3g} and {:.3g} mm; at most {} are worked with",
                    mesh->unknowns(),
                    model.cell_mm,
                    model.fine_mm,
                    kMostUnknowns),
        "take larger cells"};
  }
  return Plate(std::make_unique<Parts>(std::move(model), std::move(*mesh)));
}

const PlateModel& Plate::model() const { return parts_->model; }
int Plate::unknowns() const { return parts_->mesh.unknowns(); }
double Plate::weight_n() const { return parts_->stiffness.weight_n(); }
const std::vector<Eigen::Vector2d>& Plate::points() const { return parts_->points; }

Result<PlateSolution> Plate::Solve(const HeightField& shape,
                                   const Hold& hold,
                                   const SolveOptions& options,
                                   const PlateSolution* start) const {
  const Mesh& mesh = parts_->mesh;
  const HeightField lying = AsItLies(*parts_, shape, hold);
  const Eigen::VectorXd nodal = NodalShapeOf(*parts_, lying);

  Newton newton(*parts_, nodal, options);
  double reached = 0.0, stride = 1.0;
  NewtonState state;
  bool begun = false;
  int steps = 0, factorisations = 0;
  while (true) {
    const double aim = std::min(1.0, reached + stride);
    auto rows = MakeHoldRows(mesh, parts_->stiffness, lying, nodal, hold, {aim, aim});
    if (!rows) return rows.error();
    if (auto balanced = CheckBalance(mesh, *rows); !balanced) return balanced.error();
    NewtonState trial = state;
    if (!begun) {
      const bool from_start =
          start != nullptr &&
          start->forces.size() == static_cast<Eigen::Index>(rows->rows.size()) &&
          start->bodies.size() == rows->start_q.size() && aim == 1.0;
      trial.x = from_start ? start->displacement : Eigen::VectorXd::Zero(mesh.unknowns());
      trial.q = from_start ? start->bodies : rows->start_q;
      trial.contact.active = from_start ? start->active : rows->first_active;
      trial.contact.force =
          from_start ? start->forces
                     : Eigen::VectorXd::Zero(static_cast<Eigen::Index>(rows->rows.size()));
    }
    if (FloatsBetweenPlates(hold) && aim == 1.0 && IsUntouched(*rows, mesh.unknowns()))
      return Describe(*parts_, *rows, hold, nodal, options, AtRest(*rows, mesh.unknowns()));
    const bool done = newton.Run(*rows, trial);
    steps += trial.steps - state.steps;
    factorisations += trial.factorisations - state.factorisations;
    if (done) {
      state = std::move(trial);
      begun = true;
      reached = aim;
      if (reached >= 1.0) {
        state.steps = steps;
        state.factorisations = factorisations;
        return Describe(*parts_, *rows, hold, nodal, options, std::move(state));
      }
      stride *= 1.5;
      continue;
    }
    stride = 0.5 * std::min(stride, 1.0 - reached);
    if (stride < kLeastProgress) {
      return Error{
          ErrorCode::kNoFigure,
          "pressing",
          fmt::format("no equilibrium was found beyond {:.0f} % of the load", 100.0 * reached),
          "the board may snap through there; press it less far, or support it differently"};
    }
  }
}

}  // namespace lieflat
