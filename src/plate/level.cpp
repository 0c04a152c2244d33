#include "plate/level.h"

#include "plate/describe.h"

namespace lieflat {

bool FloatsBetweenPlates(const Hold& hold) {
  return hold.table && !hold.own_weight && hold.plate && hold.plate->gap_mm && hold.rests.empty() &&
         hold.weights.empty() && hold.bars.empty() && hold.screws.empty() && hold.forces.empty();
}

Zone NarrowestSpace(const Mesh& mesh, const Eigen::VectorXd& shape, Side up) {
  const double sign = up == Side::kComponent ? 1.0 : -1.0;
  Eigen::Index board = 0;
  while (board < mesh.nodes && mesh.layer_of[static_cast<std::size_t>(board)] == 0) ++board;
  Eigen::MatrixX3d points(board, 3);
  for (Eigen::Index node = 0; node < board; ++node) {
    const Eigen::Vector2d at = mesh.At(mesh.point_of[static_cast<std::size_t>(node)]);
    points.row(node) << at.x(), at.y(), sign * shape(node);
  }
  return MinimumZone(points);
}

HeightField AsItLies(const Plate::Parts& parts, const HeightField& shape, const Hold& hold) {
  if (!FloatsBetweenPlates(hold)) return shape;
  const Zone zone = NarrowestSpace(parts.mesh, NodalShapeOf(parts, shape), hold.up);
  const double sign = hold.up == Side::kComponent ? 1.0 : -1.0;
  return [shape, sign, plane = zone.plane](const Eigen::Vector2d& at_mm) {
    return shape(at_mm) - sign * (plane(0) + plane.tail<2>().dot(at_mm));
  };
}

}  // namespace lieflat
