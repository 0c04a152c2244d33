#include "calculix/compare.h"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <functional>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "calculix/contact_set.h"
#include "support/temporary_folder.h"

namespace lieflat::testing {
namespace {

double CpuSeconds() {
  timespec now{};
  ::clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// Principal strain of the larger size, with its sign.
double Principal(const Eigen::Vector3d& strain) {
  const double middle = (strain.x() + strain.y()) / 2;
  const double radius = std::hypot((strain.x() - strain.y()) / 2, strain.z());
  return middle >= 0 ? middle + radius : middle - radius;
}

std::vector<SolidLoad> LoadsOf(const SolidCase& which) {
  Eigen::Vector2d low = which.model.outline_mm.front(), high = low;
  for (const Eigen::Vector2d& corner : which.model.outline_mm) {
    low = low.cwiseMin(corner);
    high = high.cwiseMax(corner);
  }
  std::vector<SolidLoad> loads;
  for (const MassPatch& mass : which.model.masses) {
    constexpr double kKgPerG = 1e-3;
    const double down_n = mass.mass_g * kKgPerG * which.model.gravity_m_s2;
    const bool whole = (mass.high_mm - mass.low_mm).prod() == 0.0;
    if (which.hold.own_weight) {
      loads.push_back({whole ? low : mass.low_mm, whole ? high : mass.high_mm, down_n});
    }
  }
  for (const Hold::Weight& weight : which.hold.weights) {
    LIEFLAT_CHECK(!weight.rigid, "the solids know even pressure only");
    loads.push_back({weight.low_mm, weight.high_mm, weight.force_n});
  }
  return loads;
}

SolidModel SolidOf(const SolidCase& which, const Plate& plate, const PlateSolution& solution) {
  SolidModel solid;
  std::set<double> x, y;
  for (const Eigen::Vector2d& at : plate.points()) {
    x.insert(at.x());
    y.insert(at.y());
  }
  solid.x_mm.assign(x.begin(), x.end());
  solid.y_mm.assign(y.begin(), y.end());
  solid.shape = which.shape;
  solid.board = which.model.board;
  solid.loads = LoadsOf(which);
  solid.forces = which.hold.forces;
  solid.large_deflection = which.large_deflection;
  solid.first_increment = which.first_increment;
  for (std::size_t i = 0; i < which.model.stiffeners.size(); ++i) {
    const Stiffener& stiffener = which.model.stiffeners[i];
    SolidPart part{stiffener.low_mm, stiffener.high_mm, stiffener.side, stiffener.ply, {}};
    for (const JointLoad& joint : plate.Joints(solution, static_cast<int>(i))) {
      part.joints.push_back({joint.at_mm,
                             joint.joints * stiffener.axial_n_per_mm,
                             joint.joints * stiffener.shear_n_per_mm});
    }
    solid.parts.push_back(std::move(part));
  }
  return solid;
}

double Reactions(const SolidAnswer& answer) {
  double up_n = 0.0;
  for (const double n : answer.up_n) {
    up_n += n;
  }
  return up_n;
}

double Loads(const SolidModel& model) {
  double down_n = 0.0;
  for (const SolidLoad& load : model.loads) {
    down_n += load.down_n;
  }
  for (const Hold::Force& force : model.forces) {
    down_n -= force.up_n;
  }
  return down_n;
}

double OffFootprint(const Stiffener& part, const Eigen::Vector2d& at) {
  return (at - at.cwiseMax(part.low_mm).cwiseMin(part.high_mm)).norm();
}

/// What an elastic layer's loaded face gives beyond a thin plate, per stress, mm3/N, when the
/// stress changes as cos(k x) on one face and the other is free: plane strain, from Airy's stress
/// function of a strip under a sinusoidal load (Timoshenko & Goodier, Theory of Elasticity, 3rd
/// ed., art. 24; derived there for both faces, here for one), less what Kirchhoff's plate gives.
struct BeyondAPlate {
  BeyondAPlate(const Ply& ply, double k) {
    const double modulus = ply.modulus_y_mpa / (1 - ply.poisson * ply.poisson);
    const double kt = k * ply.thickness_mm, s = std::sinh(kt), c = std::cosh(kt);
    const double face = 2 / (modulus * k * (s * s - kt * kt));
    normal = face * (s * c + kt) - 12 / (modulus * k * kt * kt * kt);
    shear = face * (s * c - kt) - 4 / (modulus * k * kt);
  }
  double normal = 0.0, shear = 0.0;
};

/// Joint and layers in series, mm3/N: the stiffness sets the wave number at which the layers give,
/// k^order = softness of the layers as plates / what gives, and that lowers the stiffness.
double InSeries(double joint,
                double softness,
                double order,
                const std::function<double(double k)>& layers) {
  double gives = joint;
  constexpr int kRounds = 50;
  for (int round = 0; round < kRounds; ++round)
    gives = joint + layers(std::pow(softness / gives, 1 / order));
  return gives;
}

}  // namespace

// Nothing is fitted. Peel of joints under a body dies down as exp(i k x), k^4 = -kz (1/D1 + 1/D2)
// (beams on springs: Goland & Reissner, J. Appl. Mech. 11 (1944) A17), their shear as exp(-k x),
// k^2 = ks (4 / (E t)1 + 4 / (E t)2) (shear lag with the joints at the layers' faces: Volkersen,
// Luftfahrtforschung 15 (1938) 41; the 4: stretch and bending); at wave numbers of that size each
// layer gives more than a thin plate does.
Stiffener WithBodiesGiving(Stiffener joints_alone, const Ply& board) {
  const Ply& body = joints_alone.ply;
  const double area_mm2 = joints_alone.pitch_mm * joints_alone.pitch_mm;
  const double bending = 1 / board.Bending()(0, 0) + 1 / body.Bending()(0, 0);
  const double stretching = 4 / board.Membrane()(0, 0) + 4 / body.Membrane()(0, 0);
  joints_alone.axial_n_per_mm =
      area_mm2 / InSeries(area_mm2 / joints_alone.axial_n_per_mm, bending, 4, [&](double k) {
        return BeyondAPlate(board, k).normal + BeyondAPlate(body, k).normal;
      });
  joints_alone.shear_n_per_mm =
      area_mm2 / InSeries(area_mm2 / joints_alone.shear_n_per_mm, stretching, 2, [&](double k) {
        return BeyondAPlate(board, k).shear + BeyondAPlate(body, k).shear;
      });
  return joints_alone;
}

PlateModel WithBodiesGiving(PlateModel joints_alone) {
  for (Stiffener& stiffener : joints_alone.stiffeners) {
    if (stiffener.layout == JointLayout::kArea) {
      stiffener = WithBodiesGiving(stiffener, joints_alone.board);
    }
  }
  return joints_alone;
}

double Pair::Off() const { return plate - solid; }
double Pair::OffShare() const { return (plate - solid) / std::abs(solid); }

Pair Compared::PlateForce() const {
  double solid_n = 0.0;
  for (const double n : solid.up_n) {
    solid_n += std::min(n, 0.0);
  }
  return {solution.plate_force_n, -solid_n};
}

Pair Compared::Highest() const {
  return {solution.highest_mm, *std::max_element(solid.height_mm.begin(), solid.height_mm.end())};
}

Pair Compared::HeightAt(const Eigen::Vector2d& at_mm) const {
  const int vertex = solid_model.VertexAt(at_mm);
  LIEFLAT_CHECK(vertex >= 0, "heights are compared at vertices");
  return {plate.Height(solution, at_mm), solid.height_mm[static_cast<std::size_t>(vertex)]};
}

Pair Compared::LargestStrain(int rows_in) const {
  Pair largest;
  const auto columns = static_cast<int>(solid_model.x_mm.size());
  const auto rows = static_cast<int>(solid_model.y_mm.size());
  for (int vertex = 0; vertex < solid_model.vertices(); ++vertex) {
    const int i = vertex % columns, j = vertex / columns;
    if (std::min({i, columns - 1 - i, j, rows - 1 - j}) < rows_in) {
      continue;
    }
    const auto at = static_cast<std::size_t>(vertex);
    for (const Side face : {Side::kComponent, Side::kSolder}) {
      const auto& solid_strain =
          face == Side::kComponent ? solid.top_strain[at] : solid.bottom_strain[at];
      const Eigen::Vector3d plate_strain = plate.Strain(solution, solid_model.At(vertex), face);
      largest.plate = std::max(largest.plate, std::abs(Principal(plate_strain)));
      largest.solid = std::max(largest.solid, std::abs(Principal(solid_strain)));
    }
  }
  return largest;
}

// Differences of the strain tensors' parts, so that a turn of the principal direction shows as
// well.
template <typename Keep>
Compared::Field Compared::FieldOver(const Keep& keep) const {
  Field field;
  double squares = 0.0, most = 0.0;
  int count = 0;
  for (int vertex = 0; vertex < solid_model.vertices(); ++vertex) {
    if (!keep(vertex)) {
      continue;
    }
    const auto at = static_cast<std::size_t>(vertex);
    for (const Side face : {Side::kComponent, Side::kSolder}) {
      const auto& solid_strain =
          face == Side::kComponent ? solid.top_strain[at] : solid.bottom_strain[at];
      const double off =
          std::abs(Principal(plate.Strain(solution, solid_model.At(vertex), face) - solid_strain));
      squares += off * off;
      field.largest = std::max(field.largest, off);
      most = std::max(most, std::abs(Principal(solid_strain)));
      ++count;
    }
  }
  LIEFLAT_CHECK(count > 0 && most > 0.0, "a field of strain needs vertices and strain");
  return {field.largest / most, std::sqrt(squares / count) / most};
}

Compared::Field Compared::StrainField(int rows_in) const {
  const auto columns = static_cast<int>(solid_model.x_mm.size());
  const auto rows = static_cast<int>(solid_model.y_mm.size());
  return FieldOver([&](int vertex) {
    const int i = vertex % columns, j = vertex / columns;
    return std::min({i, columns - 1 - i, j, rows - 1 - j}) >= rows_in;
  });
}

Compared::Field Compared::StrainBeside(int part, double nearest_mm, double farthest_mm) const {
  const Stiffener& beside = plate.model().stiffeners[static_cast<std::size_t>(part)];
  return FieldOver([&](int vertex) {
    const double off = OffFootprint(beside, solid_model.At(vertex));
    return off >= nearest_mm && off <= farthest_mm;
  });
}

Compared::JointFigures Compared::Joints(int part) const {
  JointFigures figures;
  const std::vector<JointLoad> by_plate = plate.Joints(solution, part);
  const auto& by_solid = solid.joint_n[static_cast<std::size_t>(part)];
  double joints = 0.0, axial_off = 0.0, shear_off = 0.0;
  for (std::size_t i = 0; i < by_plate.size(); ++i) {
    const JointLoad& load = by_plate[i];
    const Eigen::Vector3d solid_n = by_solid[i] / load.joints;
    const Eigen::Vector2d shear_n(load.shear_x_n, load.shear_y_n);
    joints += load.joints;
    figures.axial_rms_n.plate += load.joints * load.axial_n * load.axial_n;
    figures.axial_rms_n.solid += load.joints * solid_n.x() * solid_n.x();
    figures.shear_rms_n.plate += load.joints * shear_n.squaredNorm();
    figures.shear_rms_n.solid += load.joints * solid_n.tail<2>().squaredNorm();
    axial_off += load.joints * std::pow(load.axial_n - solid_n.x(), 2);
    shear_off += load.joints * (shear_n - solid_n.tail<2>()).squaredNorm();
    figures.largest_axial_n.plate = std::max(figures.largest_axial_n.plate, std::abs(load.axial_n));
    figures.largest_axial_n.solid = std::max(figures.largest_axial_n.solid, std::abs(solid_n.x()));
  }
  for (Pair* rms : {&figures.axial_rms_n, &figures.shear_rms_n}) {
    rms->plate = std::sqrt(rms->plate / joints);
    rms->solid = std::sqrt(rms->solid / joints);
  }
  figures.axial_difference = std::sqrt(axial_off / joints) / figures.axial_rms_n.solid;
  figures.shear_difference = std::sqrt(shear_off / joints) / figures.shear_rms_n.solid;
  return figures;
}

Result<Compared> Compare(const SolidCase& which) {
  const double start_s = CpuSeconds();
  auto plate = Plate::Make(WithBodiesGiving(which.model));
  if (!plate) {
    return plate.error();
  }
  SolveOptions options;
  options.large_deflection = which.large_deflection;
  auto solution = plate->Solve(which.shape, which.hold, options);
  if (!solution) {
    return solution.error();
  }
  const double plate_cpu_s = CpuSeconds() - start_s;
  SolidModel solid = SolidOf(which, *plate, *solution);
  auto contacts = ContactSet::Make(solid, which.hold, solution->contacts);
  if (!contacts) {
    return contacts.error();
  }
  Compared both{.plate = std::move(*plate),
                .solution = std::move(*solution),
                .solid_model = std::move(solid),
                .plate_cpu_s = plate_cpu_s};
  while (!both.verified && both.passes < which.most_passes) {
    const TemporaryFolder folder;
    auto answer = SolveSolid(both.solid_model, contacts->Held(), folder.path());
    if (!answer) {
      return answer.error();
    }
    both.solid = std::move(*answer);
    ++both.passes;
    both.verified = contacts->Verify(both.solid);
  }
  both.balance_n = Reactions(both.solid) - Loads(both.solid_model);
  return both;
}

}  // namespace lieflat::testing
