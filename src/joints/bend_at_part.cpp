#include "joints/bend_at_part.h"

#include <algorithm>

#include <Eigen/QR>

#include "lieflat/base/random.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/at_parts.h"

namespace lieflat {
namespace {

constexpr int kFlatnessGrid = 5;
// The flatness under a part is a figure of little weight; a third of the draws gives its width
// within a few percent.
constexpr Eigen::Index kFlatnessDraws = 200;
// A thickness factor stays positive however wide the thickness is known.
constexpr double kThinnestFactor = 0.1;

}  // namespace

std::string WhereTaken(const Part& part) {
  if (part.has_place()) return "at its place";
  if (!part.region.empty()) return "largest in its region (" + part.region + ")";
  return "largest on the board";
}

BendAtParts::BendAtParts(const Board& board, const Surface& surface, const Calib& calib)
    : board_(board),
      surface_(surface),
      calib_(calib),
      thickness_factor_(surface.coefficient_draws.cols()) {
  Random random(static_cast<std::uint64_t>(calib.Number("choice", "/seed").value));
  const double relative = board.thickness_mm.u / board.thickness_mm.value;
  for (double& factor : thickness_factor_) {
    factor = std::max(kThinnestFactor, 1.0 + relative * random.Normal());
  }
}

Bend BendAtParts::Work(const Part& part, const PartClass& kind) const {
  const PartGauge gauge(board_, part, kind, calib_);
  Eigen::MatrixXd second(gauge.size(), surface_.basis.size());
  for (std::size_t i = 0; i < gauge.places.size(); ++i) {
    second.middleRows<3>(3 * static_cast<Eigen::Index>(i)) =
        surface_.basis.SecondDerivatives(gauge.places[i]);
  }
  // Strain of a thin plate is linear in the curvature, so the rows can be strains at once.
  const double per_curvature =
      SurfaceStrain(Curvature::UnitX(), board_.thickness_mm.value, part.side).x();
  const Eigen::MatrixXd strain = per_curvature * second;
  Bend bend;
  const Eigen::VectorXd mean = strain * surface_.mean;
  const StrainAtPart found = gauge.Worst(mean);
  bend.found = found.strain;
  bend.found_principal = found.largest_principal;
  bend.flatten = gauge.Worst(-mean).strain;  // flat is zero curvature: minus what is there
  const Eigen::MatrixXd draws = strain * surface_.coefficient_draws;
  bend.found_draws = Eigen::VectorXd::Zero(draws.cols());
  bend.flatten_draws = Eigen::VectorXd::Zero(draws.cols());
  for (Eigen::Index k = 0; k < draws.cols(); ++k) {
    bend.found_draws[k] = gauge.Worst(draws.col(k)).strain;
    bend.flatten_draws[k] = gauge.Worst(-draws.col(k)).strain;
  }
  bend.thickness_factor = thickness_factor_;
  return bend;
}

const Bend& BendAtParts::At(const Part& part, const PartClass& kind) {
  if (part.has_place()) {
    placed_ = Work(part, kind);
    return placed_;
  }
  const double rotation = kind.area_array ? part.rotation_deg : 0.0;
  const auto key = std::tuple(part.region, part.side, kind.area_array, kind.chip, rotation);
  const auto found = kept_.find(key);
  return found != kept_.end() ? found->second : kept_.emplace(key, Work(part, kind)).first->second;
}

LocalFlatness BendAtParts::FlatnessUnder(const Part& part) const {
  const auto corners = part.Footprint();
  constexpr Eigen::Index kPoints = Eigen::Index{kFlatnessGrid} * kFlatnessGrid;
  Eigen::MatrixX3d points(kPoints, 3);
  Eigen::MatrixXd rows(kPoints, surface_.basis.size());
  for (Eigen::Index i = 0; i < kPoints; ++i) {
    const Eigen::Index column = i % kFlatnessGrid;
    const Eigen::Index row = i / kFlatnessGrid;
    const double u = static_cast<double>(column) / (kFlatnessGrid - 1.0);
    const double v = static_cast<double>(row) / (kFlatnessGrid - 1.0);
    const Eigen::Vector2d at =
        corners[0] + u * (corners[1] - corners[0]) + v * (corners[3] - corners[0]);
    rows.row(i) = surface_.basis.Row(at);
    points.row(i) << at.x(), at.y(), rows.row(i).dot(surface_.mean);
  }
  // Heights over the least-squares plane are a fixed linear map of the heights.
  Eigen::MatrixX3d plane(kPoints, 3);
  plane << Eigen::VectorXd::Ones(kPoints),
      points.leftCols<2>().rowwise() - points.leftCols<2>().colwise().mean();
  const Eigen::MatrixXd over_plane = rows - plane * plane.colPivHouseholderQr().solve(rows);
  const Eigen::Index count = std::min(kFlatnessDraws, surface_.coefficient_draws.cols());
  const Eigen::MatrixXd heights = over_plane * surface_.coefficient_draws.leftCols(count);
  const Eigen::VectorXd flatness =
      (heights.colwise().maxCoeff() - heights.colwise().minCoeff()).transpose();
  return {LeastSquaresFlatness(points), ShortestInterval(flatness).half_width()};
}

}  // namespace lieflat
