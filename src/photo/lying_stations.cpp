// From solved stickers to heights at places of the board, with their uncertainty.

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/lying_work.h"
#include "photo/place.h"
#include "photo/plane.h"

namespace lieflat::internal {
namespace {

/// True over nominal length of the print, when a ruler was measured.
/// @error kRefused where a ruler says that the sheet was fitted to the page.
Result<std::optional<double>> RulersScale(LyingWork& work) {
  const LyingRequest& request = work.request;
  const double nominal = work.Page().ruler_mm;
  std::optional<double> scale;
  for (const auto* ruler : {&request.ruler_x_mm, &request.ruler_y_mm}) {
    if (!*ruler) continue;
    const double ratio = **ruler / nominal;
    if (std::abs(ratio - 1.0) > work.Limit("/print/largest_scale_error")) {
      return Error{
          ErrorCode::kRefused,
          "rulers",
          fmt::format(
              "a ruler of {:g} mm was measured as {:g} mm: the sheet was fitted to the page",
              nominal,
              **ruler),
          "print it again at 100 %"};
    }
    if (!scale) scale = ratio;
  }
  if (request.ruler_x_mm && request.ruler_y_mm &&
      std::abs(*request.ruler_x_mm - *request.ruler_y_mm) > 0.005 * nominal) {
    work.out.warnings.push_back("the two rulers differ by over half a percent; both were used");
  }
  return scale;
}

/// Covariance of the heights in true length: where the jackknife shows more, that point's row and
/// column are widened; then the scale's share, and how flat a label lies.
Eigen::MatrixXd WithAllThatIsNotKnown(const LyingWork& work,
                                      Eigen::MatrixXd covariance,
                                      const Eigen::VectorXd& heights,
                                      const Placing& placing) {
  const double seating = work.Limit("/stickers/seating_u_mm");
  Eigen::VectorXd widen(heights.size());
  for (Eigen::Index i = 0; i < heights.size(); ++i) {
    const Station& station = work.out.stations[static_cast<std::size_t>(i)];
    widen(i) = std::max(1.0, station.jackknife_u_mm / station.covariance_u_mm);
  }
  covariance = widen.asDiagonal() * covariance * widen.asDiagonal();
  const double scale_share = placing.scale_u / placing.scale;
  covariance += scale_share * scale_share * heights * heights.transpose();
  covariance.diagonal().array() += seating * seating;
  return covariance;
}

void FillReading(LyingWork& work, const Eigen::MatrixXd& covariance) {
  LyingResult& out = work.out;
  PhotoReading& reading = out.reading;
  reading.pose = "lying";
  reading.held = work.request.held;
  reading.covariance_mm2 = covariance;
  reading.sheet = fmt::format("{}/{}", out.sheet, work.Page().version);
  reading.photos = work.Used();
  for (const Station& station : out.stations)
    reading.points.push_back({station.name, station.at_mm, station.height_mm});
}

}  // namespace

Eigen::MatrixX3d Centres(const SetIndex& index,
                         const std::vector<Eigen::Vector3d>& points,
                         const std::vector<std::size_t>& which) {
  Eigen::MatrixX3d centres(static_cast<Eigen::Index>(which.size()), 3);
  for (std::size_t i = 0; i < which.size(); ++i) {
    Eigen::Vector3d sum = Eigen::Vector3d::Zero();
    for (int c = 0; c < 4; ++c)
      sum += points[static_cast<std::size_t>(index.StickerPoint(which[i], c))];
    centres.row(static_cast<Eigen::Index>(i)) = 0.25 * sum.transpose();
  }
  return centres;
}

std::vector<std::size_t> AllStickers(const SetIndex& index) {
  std::vector<std::size_t> all(index.stickers.size());
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
  return all;
}

Heights HeightsOf(const LyingWork& work) {
  const SetIndex& index = work.set.index;
  const Bundle& solved = work.out.bundle;
  const Eigen::MatrixX3d centres = Centres(index, solved.points_mm, AllStickers(index));
  const OwnPlane plane = FitPlane(centres);
  Heights heights{OnPlane(centres, plane), {}};
  const Eigen::Index n = centres.rows();
  Eigen::MatrixXd to_height = Eigen::MatrixXd::Zero(n, 12 * n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index c = 0; c < 4; ++c) {
      to_height.block<1, 3>(i, 12 * i + 3 * c) = 0.25 * plane.axes.col(2).transpose();
    }
  }
  const Eigen::MatrixXd p = WithoutPlane(heights.on_plane.leftCols<2>());
  heights.covariance_mm2 = p * to_height * solved.covariance_mm2 * to_height.transpose() * p;
  return heights;
}

Result<void> PlaceStations(LyingWork& work) {
  const auto rulers = RulersScale(work);
  if (!rulers) return rulers.error();
  const SetIndex& index = work.set.index;
  const Heights solved = HeightsOf(work);
  std::vector<Measured> measured;
  for (const std::size_t k : AllStickers(index)) {
    const int id = index.stickers[k];
    measured.push_back(
        {id, solved.on_plane.row(static_cast<Eigen::Index>(k)).head<2>(), work.size_mm[id]});
  }
  const Gauge& held = work.request.held;
  const auto placed = PlaceOnBoard(measured,
                                   work.board,
                                   held.down,
                                   work.request.table,
                                   work.printed.stickers,
                                   *rulers,
                                   work.calib);
  if (!placed) return placed.error();
  const Placing& placing = *placed;
  LyingResult& out = work.out;
  out.scale = placing.scale;
  out.scale_u = placing.scale_u;
  out.warnings.insert(out.warnings.end(), placing.doubts.begin(), placing.doubts.end());

  const double up = held.down == Side::kSolder ? 1.0 : -1.0;
  const Eigen::MatrixXd covariance = placing.scale * placing.scale * solved.covariance_mm2;
  const Eigen::VectorXd heights = up * placing.scale * solved.on_plane.col(2);
  for (std::size_t k = 0; k < measured.size(); ++k) {
    const auto i = static_cast<Eigen::Index>(k);
    Station station;
    station.name = work.NameOf(measured[k].id);
    station.at_mm = placing.places[k];
    station.height_mm = heights(i);
    station.covariance_u_mm = std::sqrt(std::max(1e-12, covariance(i, i)));
    station.jackknife_u_mm = placing.scale * work.jackknife_u_mm(i);
    station.photos = ShotsOf(work.set.bundle, out.bundle.used, index, k);
    station.size_mm = measured[k].size_mm;
    out.stations.push_back(station);
  }
  const Eigen::MatrixXd all = WithAllThatIsNotKnown(work, covariance, heights, placing);
  for (Eigen::Index i = 0; i < heights.size(); ++i)
    out.stations[static_cast<std::size_t>(i)].u_mm = std::sqrt(all(i, i));
  FillReading(work, all);
  return {};
}

}  // namespace lieflat::internal
