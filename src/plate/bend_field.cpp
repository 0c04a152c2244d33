#include "lieflat/plate/bend_field.h"

#include <algorithm>
#include <cmath>

#include "lieflat/base/check.h"

namespace lieflat {
namespace {

double PrincipalMagnitude(const Eigen::Vector3d& strain) {
  const double middle = (strain.x() + strain.y()) / 2;
  return std::abs(middle) + std::hypot((strain.x() - strain.y()) / 2, strain.z());
}

}  // namespace

BendField BendFieldOf(const Plate& plate, const PlateSolution& solution, int along) {
  LIEFLAT_CHECK(along >= 1, "a grid has at least one step");
  Eigen::Vector2d low = plate.points().front(), high = low;
  for (const Eigen::Vector2d& at : plate.points()) {
    low = low.cwiseMin(at);
    high = high.cwiseMax(at);
  }
  const Eigen::Vector2d size = high - low;
  const double step = size.maxCoeff() / along;
  const auto steps = [step](double length) {
    return std::max<Eigen::Index>(1, static_cast<Eigen::Index>(std::lround(length / step)));
  };
  const Eigen::Index columns = steps(size.x()), rows = steps(size.y());
  BendField field;
  field.origin_mm = low;
  field.step_mm = {size.x() / static_cast<double>(columns), size.y() / static_cast<double>(rows)};
  field.strain.resize(rows + 1, columns + 1);
  for (Eigen::Index column = 0; column <= columns; ++column) {
    for (Eigen::Index row = 0; row <= rows; ++row) {
      const Eigen::Vector2d at =
          low + Eigen::Vector2d(static_cast<double>(column), static_cast<double>(row))
                    .cwiseProduct(field.step_mm);
      field.strain(row, column) =
          std::max(PrincipalMagnitude(plate.Strain(solution, at, Side::kComponent)),
                   PrincipalMagnitude(plate.Strain(solution, at, Side::kSolder)));
    }
  }
  field.contacts = solution.contacts;
  return field;
}

}  // namespace lieflat
