#include "calculix/solid_model.h"

#include <fstream>

#include <Eigen/Geometry>

#include "calculix/ccx_run.h"
#include "calculix/solid_answer.h"
#include "calculix/solid_deck.h"

namespace lieflat::testing {
namespace {

/// A strain tensor along the surface's tangents over x and y (made square to each other).
Eigen::Vector3d AlongSurface(const Eigen::Matrix<double, 6, 1>& e, const Eigen::Vector2d& slope) {
  Eigen::Matrix3d tensor;
  tensor << e[0], e[3], e[5], e[3], e[1], e[4], e[5], e[4], e[2];
  const Eigen::Vector3d normal = Eigen::Vector3d(-slope.x(), -slope.y(), 1).normalized();
  const Eigen::Vector3d along_x = Eigen::Vector3d(1, 0, slope.x()).normalized();
  const Eigen::Vector3d along_y = normal.cross(along_x);
  return {
      along_x.dot(tensor * along_x), along_y.dot(tensor * along_y), along_x.dot(tensor * along_y)};
}

Result<void> ReadHeights(const SolidModel& model,
                         const SolidMesh& mesh,
                         const std::vector<HeldVertex>& held,
                         const std::filesystem::path& dat,
                         SolidAnswer& answer) {
  const auto moves = LastTable(dat, "displacements", "MIDDLE");
  const auto forces = LastTable(dat, "forces", "MIDDLE");
  if (!moves || !forces) {
    return moves ? forces.error() : moves.error();
  }
  answer.up_n.assign(static_cast<std::size_t>(model.vertices()), 0.0);
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    const int node = mesh.BoardNode(model, vertex, 1);
    answer.height_mm.push_back(model.shape(model.At(vertex)) + moves->at(node).z());
  }
  const std::vector<double> applied = AppliedUpAtVertices(model, mesh);
  for (const HeldVertex& at : held) {
    const auto vertex = static_cast<std::size_t>(at.vertex);
    answer.up_n[vertex] = forces->at(mesh.BoardNode(model, at.vertex, 1)).z() - applied[vertex];
  }
  return {};
}

Result<void> ReadStrains(const SolidModel& model,
                         const SolidMesh& mesh,
                         const std::filesystem::path& frd,
                         SolidAnswer& answer) {
  const auto strains = LastStrains(frd);
  if (!strains) {
    return strains.error();
  }
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    const Eigen::Vector2d slope = SlopeAt(model, model.At(vertex));
    answer.top_strain.push_back(AlongSurface(strains->at(mesh.BoardNode(model, vertex, 2)), slope));
    answer.bottom_strain.push_back(
        AlongSurface(strains->at(mesh.BoardNode(model, vertex, 0)), slope));
  }
  return {};
}

Result<void> ReadJoints(const SolidModel& model,
                        const SolidMesh& mesh,
                        const std::filesystem::path& dat,
                        SolidAnswer& answer) {
  int node = FirstJointNode(mesh);
  Result<NodeTable> stretches = NodeTable{};
  for (const SolidPart& part : model.parts) {
    auto& loads = answer.joint_n.emplace_back();
    if (!part.joints.empty() && stretches->empty()) {
      stretches = LastTable(dat, "displacements", "JOINTS");
      if (!stretches) {
        return stretches.error();
      }
    }
    const double tension = part.side == Side::kComponent ? 1.0 : -1.0;
    for (const SolidJoint& joint : part.joints) {
      const Eigen::Vector3d stretch = stretches->at(node++);
      loads.emplace_back(joint.axial_n_per_mm * stretch.z() * tension,
                         joint.shear_n_per_mm * stretch.x(),
                         joint.shear_n_per_mm * stretch.y());
    }
  }
  return {};
}

}  // namespace

Result<SolidAnswer> SolveSolid(const SolidModel& model,
                               const std::vector<HeldVertex>& held,
                               const std::filesystem::path& folder) {
  const SolidMesh mesh(model);
  const std::filesystem::path words = folder / "words.txt";
  {
    std::ofstream deck(folder / "board.inp");
    deck << DeckOf(model, mesh, held);
    if (!deck.flush()) {
      return Error{ErrorCode::kInternal, (folder / "board.inp").string(), "cannot be written", ""};
    }
  }
  const auto cost = RunChild({LIEFLAT_CCX, "-i", "board"}, folder, words);
  const Iterations said = ReadWords(words);
  if (!cost || !said.finished) {
    return Error{ErrorCode::kInternal,
                 LIEFLAT_CCX,
                 cost ? "did not finish: " + LastWords(words) : cost.error().Text(),
                 "read what it said: " + LastWords(words)};
  }
  SolidAnswer answer;
  answer.cpu_s = cost->cpu_s;
  answer.peak_mb = cost->peak_mb;
  answer.nodes = static_cast<int>(mesh.places.size());
  answer.iterations = said.count;
  answer.residual = said.residual;
  for (const Result<void>& read : {ReadHeights(model, mesh, held, folder / "board.dat", answer),
                                   ReadStrains(model, mesh, folder / "board.frd", answer),
                                   ReadJoints(model, mesh, folder / "board.dat", answer)}) {
    if (!read) {
      return read.error();
    }
  }
  return answer;
}

}  // namespace lieflat::testing
