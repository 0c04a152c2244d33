#include "joints/bend_at_part.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/QR>

#include "lieflat/base/random.h"
#include "lieflat/board/polygon.h"
#include "lieflat/flatness/flatness.h"

namespace lieflat {
namespace {

constexpr int kFlatnessGrid = 5;
// The flatness under a part is a figure of little weight; a third of the draws gives its width
// within a few percent.
constexpr Eigen::Index kFlatnessDraws = 200;
// A thickness factor stays positive however wide the thickness is known.
constexpr double kThinnestFactor = 0.1;

/// How one strain tensor counts for one kind of part, signed.
class Metric {
 public:
  Metric(const Part& part, const PartClass& kind, double compression_share)
      : area_array_(kind.area_array), chip_(kind.chip), compression_share_(compression_share) {
    const double angle = part.rotation_deg * std::numbers::pi / 180.0 + 0.25 * std::numbers::pi;
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    diagonal_ << c * c, s * s, 2.0 * s * c;
  }

  [[nodiscard]] double Of(const Eigen::Vector3d& strain) const {
    if (chip_) {
      const auto [first, second] = Principal(strain);
      const double tension = std::max(first, 0.0);
      const double compression = compression_share_ * std::min(second, 0.0);
      return tension >= -compression ? tension : compression;
    }
    const double largest = LargestPrincipal(strain);
    if (!area_array_) return largest;
    const double diagonal = DiagonalStrain(strain.x(), diagonal_.dot(strain), strain.y());
    return std::copysign(std::max(std::abs(largest), diagonal), largest);
  }

 private:
  bool area_array_, chip_;
  double compression_share_;
  Eigen::Vector3d diagonal_;  ///< what a strain adds along the package's diagonal
};

/// Keeps the value of larger magnitude.
void Keep(double& kept, double value) {
  if (std::abs(value) > std::abs(kept)) kept = value;
}

/// A grid over a rectangle, its border included.
std::vector<Eigen::Vector2d> GridOver(const Eigen::Vector2d& low,
                                      const Eigen::Vector2d& high,
                                      int count) {
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i < count; ++i) {
    for (int j = 0; j < count; ++j) {
      const Eigen::Vector2d share(i / (count - 1.0), j / (count - 1.0));
      points.emplace_back(low + share.cwiseProduct(high - low));
    }
  }
  return points;
}

/// The third of the board's box that a region names, as lower left and upper right.
std::pair<Eigen::Vector2d, Eigen::Vector2d> RegionBox(const Board& board,
                                                      const std::string& region) {
  const auto [low, high] = board.Box();
  const auto has = [&](const char* word) { return region.find(word) != std::string::npos; };
  const int column = has("left") ? 0 : has("right") ? 2 : 1;
  const int row = has("bottom") ? 0 : has("top") ? 2 : 1;
  const Eigen::Vector2d third = (high - low) / 3.0;
  const Eigen::Vector2d corner = low + third.cwiseProduct(Eigen::Vector2d(column, row));
  return {corner, corner + third};
}

/// Corners and edge middles of the grown footprint.
std::vector<Eigen::Vector2d> RoundPart(const Part& part, double margin_mm) {
  std::vector<Eigen::Vector2d> points;
  const auto corners = part.Footprint(margin_mm);
  for (std::size_t i = 0; i < 4; ++i) {
    points.push_back(corners[i]);
    points.emplace_back(0.5 * (corners[i] + corners[(i + 1) % 4]));
  }
  return points;
}

}  // namespace

std::string WhereTaken(const Part& part) {
  if (part.has_place()) return "at its place";
  if (!part.region.empty()) return "largest in its region (" + part.region + ")";
  return "largest on the board";
}

BendAtParts::BendAtParts(const Board& board, const Surface& surface, const Calib& calib)
    : board_(board),
      surface_(surface),
      margin_mm_(calib.Number("part_classes", "/gauge_offset_mm").value),
      compression_share_(calib.Number("part_classes", "/factors/compression_share_chip").value),
      region_grid_(static_cast<int>(calib.Number("part_classes", "/region_grid").value)),
      board_grid_(static_cast<int>(calib.Number("part_classes", "/board_grid").value)),
      thickness_factor_(surface.coefficient_draws.cols()) {
  Random random(static_cast<std::uint64_t>(calib.Number("choice", "/seed").value));
  const double relative = board.thickness_mm.u / board.thickness_mm.value;
  for (double& factor : thickness_factor_) {
    factor = std::max(kThinnestFactor, 1.0 + relative * random.Normal());
  }
}

std::vector<Eigen::Vector2d> BendAtParts::Places(const Part& part) const {
  std::vector<Eigen::Vector2d> points;
  Eigen::Vector2d middle = AreaCentre(board_);
  if (part.has_place()) {
    points = RoundPart(part, margin_mm_);
    middle = *part.centre_mm;
  } else if (!part.region.empty()) {
    const auto [low, high] = RegionBox(board_, part.region);
    points = GridOver(low, high, region_grid_);
    middle = 0.5 * (low + high);
  } else {
    const auto [low, high] = board_.Box();
    points = GridOver(low, high, board_grid_);
  }
  std::erase_if(points, [&](const Eigen::Vector2d& point) { return !OnBoard(board_, point); });
  if (points.empty()) points.push_back(middle);  // a part over a cut-out, a region cut away
  return points;
}

Bend BendAtParts::Work(const Part& part, const PartClass& kind) const {
  const std::vector<Eigen::Vector2d> places = Places(part);
  const auto rows = 3 * static_cast<Eigen::Index>(places.size());
  Eigen::MatrixXd second(rows, surface_.basis.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    second.middleRows<3>(3 * static_cast<Eigen::Index>(i)) =
        surface_.basis.SecondDerivatives(places[i]);
  }
  const Metric metric(part, kind, compression_share_);
  const double thickness = board_.thickness_mm.value;
  const auto largest = [&](const auto& curvatures, double& found, double& flatten) {
    for (Eigen::Index i = 0; i < rows; i += 3) {
      const Eigen::Vector3d strain =
          SurfaceStrain(curvatures.template segment<3>(i), thickness, part.side);
      Keep(found, metric.Of(strain));
      Keep(flatten,
           metric.Of(-strain));  // flat is zero curvature: the change is minus what is there
    }
  };
  Bend bend;
  const Eigen::VectorXd mean = second * surface_.mean;
  largest(mean, bend.found, bend.flatten);
  const Eigen::MatrixXd draws = second * surface_.coefficient_draws;
  bend.found_draws = Eigen::VectorXd::Zero(draws.cols());
  bend.flatten_draws = Eigen::VectorXd::Zero(draws.cols());
  for (Eigen::Index k = 0; k < draws.cols(); ++k) {
    largest(draws.col(k), bend.found_draws[k], bend.flatten_draws[k]);
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
