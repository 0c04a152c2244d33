#include "calculix/solid_deck.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include <fmt/format.h>

#include "lieflat/base/check.h"

namespace lieflat::testing {
namespace {

using Text = std::back_insert_iterator<std::string>;

double Overlap(double low, double high, double from, double to) {
  return std::max(0.0, std::min(high, to) - std::max(low, from));
}

/// Upward force by node, of everything that is spread or put on a vertex.
std::vector<double> NodalForces(const SolidModel& model, const SolidMesh& mesh) {
  std::vector<double> up_n(mesh.places.size() + 1, 0.0);
  const SolidLayer& board = mesh.layers.front();
  for (const SolidLoad& load : model.loads) {
    const double pressure = load.down_n / (load.high_mm - load.low_mm).prod();
    for (int row = 0; row < board.rows(); ++row) {
      for (int column = 0; column < board.columns(); ++column) {
        const auto i = static_cast<std::size_t>(column), j = static_cast<std::size_t>(row);
        const double area =
            Overlap(model.x_mm[i], model.x_mm[i + 1], load.low_mm.x(), load.high_mm.x()) *
            Overlap(model.y_mm[j], model.y_mm[j + 1], load.low_mm.y(), load.high_mm.y());
        const auto& brick = board.bricks[j * static_cast<std::size_t>(board.columns()) + i];
        for (int k = 0; k < 20; ++k) {
          const auto node = static_cast<std::size_t>(brick[static_cast<std::size_t>(k)]);
          up_n[node] -= pressure * area * ShareOfBrick(k);
        }
      }
    }
  }
  for (const Hold::Force& force : model.forces) {
    const int vertex = model.VertexAt(force.at_mm);
    LIEFLAT_CHECK(vertex >= 0, "a force must act at a vertex");
    up_n[static_cast<std::size_t>(mesh.BoardNode(model, vertex, 1))] += force.up_n;
  }
  return up_n;
}

void WriteNodes(const SolidMesh& mesh, Text out) {
  fmt::format_to(out, "*NODE, NSET=ALL\n");
  for (std::size_t i = 0; i < mesh.places.size(); ++i) {
    const Eigen::Vector3d& at = mesh.places[i];
    fmt::format_to(out, "{},{:.12g},{:.12g},{:.12g}\n", i + 1, at.x(), at.y(), at.z());
  }
}

int WriteBricks(const SolidMesh& mesh, Text out) {
  int number = 0;
  for (std::size_t layer = 0; layer < mesh.layers.size(); ++layer) {
    fmt::format_to(out, "*ELEMENT, TYPE=C3D20R, ELSET=LAYER{}\n", layer);
    for (const auto& brick : mesh.layers[layer].bricks) {
      // A line takes 16 entries at most.
      fmt::format_to(out, "{}", ++number);
      for (std::size_t k = 0; k < brick.size(); ++k) {
        fmt::format_to(out, "{}{}", k == 15 ? ",\n" : ",", brick[k]);
      }
      fmt::format_to(out, "\n");
    }
  }
  return number;
}

/// Across the thickness a laminate counts as along y: a thin plate hardly feels it.
void WriteMaterial(const Ply& ply, std::size_t layer, Text out) {
  const double isotropic_shear = ply.modulus_x_mpa / (2 * (1 + ply.poisson));
  constexpr double kSame = 1e-9;  // both come from the same formula
  const bool isotropic = std::abs(ply.modulus_y_mpa / ply.modulus_x_mpa - 1) < kSame &&
                         std::abs(ply.shear_mpa / isotropic_shear - 1) < kSame;
  fmt::format_to(out, "*MATERIAL, NAME=PLY{}\n", layer);
  if (isotropic) {
    fmt::format_to(out, "*ELASTIC\n{:.12e},{:.12e}\n", ply.modulus_x_mpa, ply.poisson);
  } else {
    fmt::format_to(out,
                   "*ELASTIC, TYPE=ENGINEERING CONSTANTS\n"
                   "{:.9e},{:.9e},{:.9e},{:.9e},{:.9e},{:.9e},{:.9e},{:.9e}\n{:.9e},293.\n",
                   ply.modulus_x_mpa,
                   ply.modulus_y_mpa,
                   ply.modulus_y_mpa,
                   ply.poisson,
                   ply.poisson,
                   ply.poisson,
                   ply.shear_mpa,
                   ply.shear_mpa,
                   ply.shear_mpa);
  }
  fmt::format_to(out, "*SOLID SECTION, ELSET=LAYER{0}, MATERIAL=PLY{0}\n", layer);
}

/// A joint's stretch is an unknown of its own (printed with all its digits), tied to the two faces
/// by an equation and sprung to the ground.
void WriteJoints(const SolidModel& model, const SolidMesh& mesh, int elements, Text out) {
  std::map<std::pair<int, double>, std::vector<int>> springs;  // direction and stiffness to nodes
  std::string nodes, equations;
  int joint_node = FirstJointNode(mesh);
  for (std::size_t p = 0; p < model.parts.size(); ++p) {
    const SolidPart& part = model.parts[p];
    const bool above = part.side == Side::kComponent;
    for (const SolidJoint& joint : part.joints) {
      const int vertex = model.VertexAt(joint.at_mm);
      LIEFLAT_CHECK(vertex >= 0, "a joint must stand at a vertex");
      const auto columns = static_cast<int>(model.x_mm.size());
      const int on_board = mesh.BoardNode(model, vertex, above ? 2 : 0);
      const int on_part =
          mesh.layers[p + 1].NodeAt(vertex % columns, vertex / columns, above ? 0 : 2);
      fmt::format_to(std::back_inserter(nodes), "{},0.,0.,0.\n", joint_node);
      for (int d = 1; d <= 3; ++d) {
        fmt::format_to(std::back_inserter(equations),
                       "*EQUATION\n3\n{0},{1},1.,{2},{1},-1.,{3},{1},1.\n",
                       joint_node,
                       d,
                       on_part,
                       on_board);
        springs[{d, d == 3 ? joint.axial_n_per_mm : joint.shear_n_per_mm}].push_back(joint_node);
      }
      ++joint_node;
    }
  }
  if (springs.empty()) {
    return;
  }
  fmt::format_to(out, "*NODE, NSET=JOINTS\n{}{}", nodes, equations);
  int set = 0;
  for (const auto& [kind, at] : springs) {
    fmt::format_to(out, "*ELEMENT, TYPE=SPRING1, ELSET=SPRING{}\n", ++set);
    for (const int node : at) {
      fmt::format_to(out, "{},{}\n", ++elements, node);
    }
    // CalculiX 2.20 overlooks some constants written as bare integers, hence the exponent.
    fmt::format_to(out, "*SPRING, ELSET=SPRING{}\n{}\n{:.12e}\n", set, kind.first, kind.second);
  }
}

/// Three supports that keep the board from sliding and turning; nothing pulls at them.
void WriteFooting(const SolidModel& model, const SolidMesh& mesh, Text out) {
  const auto columns = static_cast<int>(model.x_mm.size());
  const auto rows = static_cast<int>(model.y_mm.size());
  const int middle = (rows / 2) * columns + columns / 2;
  const int beside = (rows / 2) * columns + columns - 1;
  fmt::format_to(out,
                 "*BOUNDARY\n{0},1,2\n{1},2,2\n",
                 mesh.BoardNode(model, middle, 1),
                 mesh.BoardNode(model, beside, 1));
}

void WriteStep(const SolidModel& model,
               const SolidMesh& mesh,
               const std::vector<HeldVertex>& held,
               Text out) {
  // The residual asked for is ten times under CalculiX's usual one.
  fmt::format_to(out,
                 "*STEP{}, INC=400\n*STATIC\n{},1.\n*CONTROLS, PARAMETERS=FIELD\n5.e-4,1.e-2\n",
                 model.large_deflection ? ", NLGEOM" : "",
                 model.large_deflection ? model.first_increment : 1.0);
  fmt::format_to(out, "*BOUNDARY\n");
  for (const HeldVertex& vertex : held) {
    const int node = mesh.BoardNode(model, vertex.vertex, 1);
    const double move_mm = vertex.height_mm - model.shape(model.At(vertex.vertex));
    fmt::format_to(out, "{},3,3,{:.12e}\n", node, move_mm);
  }
  const std::vector<double> up_n = NodalForces(model, mesh);
  if (std::any_of(up_n.begin(), up_n.end(), [](double n) { return n != 0.0; })) {
    fmt::format_to(out, "*CLOAD\n");
    for (std::size_t node = 1; node < up_n.size(); ++node) {
      if (up_n[node] != 0.0) {
        fmt::format_to(out, "{},3,{:.12e}\n", node, up_n[node]);
      }
    }
  }
  fmt::format_to(out, "*NODE PRINT, NSET=MIDDLE, FREQUENCY=1000\nU,RF\n");
  if (std::any_of(model.parts.begin(), model.parts.end(), [](const SolidPart& part) {
        return !part.joints.empty();
      })) {
    fmt::format_to(out, "*NODE PRINT, NSET=JOINTS, FREQUENCY=1000\nU\n");
  }
  fmt::format_to(out, "*EL FILE, FREQUENCY=1000\nE\n*END STEP\n");
}

}  // namespace

std::vector<double> AppliedUpAtVertices(const SolidModel& model, const SolidMesh& mesh) {
  const std::vector<double> by_node = NodalForces(model, mesh);
  std::vector<double> by_vertex;
  by_vertex.reserve(static_cast<std::size_t>(model.vertices()));
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    by_vertex.push_back(by_node[static_cast<std::size_t>(mesh.BoardNode(model, vertex, 1))]);
  }
  return by_vertex;
}

int FirstJointNode(const SolidMesh& mesh) { return static_cast<int>(mesh.places.size()) + 1; }

std::string DeckOf(const SolidModel& model,
                   const SolidMesh& mesh,
                   const std::vector<HeldVertex>& held) {
  std::string deck;
  const Text out = std::back_inserter(deck);
  WriteNodes(mesh, out);
  fmt::format_to(out, "*NSET, NSET=MIDDLE\n");
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    fmt::format_to(out, "{}\n", mesh.BoardNode(model, vertex, 1));
  }
  const int elements = WriteBricks(mesh, out);
  WriteMaterial(model.board, 0, out);
  for (std::size_t p = 0; p < model.parts.size(); ++p) {
    WriteMaterial(model.parts[p].ply, p + 1, out);
  }
  WriteJoints(model, mesh, elements, out);
  WriteFooting(model, mesh, out);
  WriteStep(model, mesh, held, out);
  return deck;
}

}  // namespace lieflat::testing
