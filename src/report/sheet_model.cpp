#include "report/sheet_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include <Eigen/QR>

#include "lieflat/base/check.h"
#include "lieflat/base/statistics.h"
#include "lieflat/board/polygon.h"

namespace lieflat::report {
namespace {

/// A grid over the board's box, `along` steps on the longer side, the other side in steps of nearly
/// the same size.
HeightGrid GridOver(const Board& board, int along) {
  const auto [low, high] = board.Box();
  const Eigen::Vector2d size = high - low;
  const double step = size.maxCoeff() / along;
  const auto count = [&](double length) {
    return std::max<Eigen::Index>(4, static_cast<Eigen::Index>(std::lround(length / step)));
  };
  HeightGrid grid;
  grid.origin_mm = low;
  const Eigen::Index columns = count(size.x());
  const Eigen::Index rows = count(size.y());
  grid.step_mm = {size.x() / static_cast<double>(columns), size.y() / static_cast<double>(rows)};
  grid.z_mm = Eigen::MatrixXd::Zero(rows + 1, columns + 1);
  return grid;
}

/// Every grid point's basis row; points in the order of the matrix's storage (column by column).
Eigen::MatrixXd BasisRows(const SurfaceBasis& basis, const HeightGrid& grid) {
  Eigen::MatrixXd rows(grid.z_mm.size(), basis.size());
  for (Eigen::Index c = 0, i = 0; c < grid.z_mm.cols(); ++c) {
    for (Eigen::Index r = 0; r < grid.z_mm.rows(); ++r, ++i)
      rows.row(i) = basis.Row(grid.Place(r, c));
  }
  return rows;
}

/// The grid points on the board, by their number in that order.
std::vector<Eigen::Index> OnBoardPoints(const Board& board, const HeightGrid& grid) {
  std::vector<Eigen::Index> on;
  for (Eigen::Index c = 0, i = 0; c < grid.z_mm.cols(); ++c) {
    for (Eigen::Index r = 0; r < grid.z_mm.rows(); ++r, ++i) {
      if (OnBoard(board, grid.Place(r, c))) on.push_back(i);
    }
  }
  LIEFLAT_CHECK(on.size() >= 3, "a board holds at least three points of its grid");
  return on;
}

/// Takes the least-squares plane of the points on the board from every column of heights.
void TakePlaneOut(const HeightGrid& grid,
                  const std::vector<Eigen::Index>& on,
                  Eigen::MatrixXd& heights) {
  Eigen::MatrixXd plane(grid.z_mm.size(), 3);
  for (Eigen::Index c = 0, i = 0; c < grid.z_mm.cols(); ++c) {
    for (Eigen::Index r = 0; r < grid.z_mm.rows(); ++r, ++i) {
      plane.row(i) << 1.0, static_cast<double>(c), static_cast<double>(r);
    }
  }
  const Eigen::MatrixXd on_plane = plane(on, Eigen::all);
  const Eigen::MatrixXd on_heights = heights(on, Eigen::all);
  heights -= plane * on_plane.colPivHouseholderQr().solve(on_heights);
}

std::array<Station, 8> LetterStations(const Board& board) {
  std::array<Station, 8> stations;
  constexpr std::array<const char*, 4> kCorners = {"A", "B", "C", "D"};
  for (std::size_t i = 0; i < 4; ++i) {
    stations[i].name = kCorners[i];
    stations[i].at_mm = board.corners_mm[i];
    stations[i + 4].name = Name(kEdges[i]);
    stations[i + 4].at_mm = 0.5 * (board.EdgeStart(kEdges[i]) + board.EdgeEnd(kEdges[i]));
  }
  return stations;
}

/// Where a reading was taken, from its name: "C", "AB", "M", "AB at 152 mm", "x 30 y 40"; none for
/// strips and the like.
std::optional<Eigen::Vector2d> PlaceOf(const std::string& name, const Board& board) {
  double x = 0.0;
  double y = 0.0;
  if (std::sscanf(name.c_str(), "x %lf y %lf", &x, &y) == 2) return Eigen::Vector2d(x, y);
  char edge_name[3] = {};
  if (std::sscanf(name.c_str(), "%2[ABCD] at %lf mm", edge_name, &x) == 2) {
    if (const auto edge = EdgeNamed(edge_name)) {
      const Eigen::Vector2d from = board.EdgeStart(*edge);
      return from + x / board.EdgeLength(*edge) * (board.EdgeEnd(*edge) - from);
    }
  }
  if (name == "M") {
    const auto [low, high] = board.Box();
    return Eigen::Vector2d(0.5 * (low + high));
  }
  return {};
}

std::vector<Station> Stations(const Assessment& assessment) {
  const auto letters = LetterStations(assessment.board);
  std::vector<Station> stations(letters.begin(), letters.end());
  for (const UsedReading& reading : assessment.used) {
    const auto letter = std::find_if(stations.begin(), stations.end(), [&](const Station& station) {
      return station.name == reading.name;
    });
    if (letter != stations.end() && !reading.name.empty()) {
      letter->read = true;
      continue;
    }
    const auto place = PlaceOf(reading.name, assessment.board);
    if (!place) continue;
    constexpr double kSamePlaceMm = 1.0;
    const auto same = std::find_if(stations.begin(), stations.end(), [&](const Station& station) {
      return (station.at_mm - *place).norm() < kSamePlaceMm;
    });
    if (same != stations.end())
      same->read = true;
    else
      stations.push_back({reading.name == "M" ? "M" : "", *place, true, 0.0, 0.0, true});
  }
  return stations;
}

}  // namespace

HeightGrid MeanHeights(const Assessment& assessment, int along) {
  HeightGrid grid = GridOver(assessment.board, along);
  Eigen::MatrixXd heights = BasisRows(assessment.surface->basis, grid) * assessment.surface->mean;
  TakePlaneOut(grid, OnBoardPoints(assessment.board, grid), heights);
  grid.z_mm = heights.reshaped(grid.z_mm.rows(), grid.z_mm.cols());
  return grid;
}

// The half-width that holds 95 % of the draws, taken as normal: for drawing only.
HeightGrid HeightU95(const Assessment& assessment) {
  constexpr int kCoarse = 30;
  HeightGrid grid = GridOver(assessment.board, kCoarse);
  const Surface& surface = *assessment.surface;
  if (surface.coefficient_draws.cols() < 2) return grid;
  Eigen::MatrixXd heights = BasisRows(surface.basis, grid) * surface.coefficient_draws;
  TakePlaneOut(grid, OnBoardPoints(assessment.board, grid), heights);
  const Eigen::VectorXd mean = heights.rowwise().mean();
  const double draws = static_cast<double>(heights.cols() - 1);
  const Eigen::VectorXd variance = (heights.colwise() - mean).rowwise().squaredNorm() / draws;
  grid.z_mm = (kNormal95 * variance.cwiseSqrt()).reshaped(grid.z_mm.rows(), grid.z_mm.cols());
  return grid;
}

SheetModel ModelSheet(const Assessment& assessment) {
  LIEFLAT_CHECK(assessment.surface.has_value(), "the sheet needs a surface");
  SheetModel model;
  constexpr int kFine = 120;
  model.heights = MeanHeights(assessment, kFine);
  model.u95 = HeightU95(assessment);
  const auto on = OnBoardPoints(assessment.board, model.heights);
  const Eigen::VectorXd heights = model.heights.z_mm.reshaped()(on);
  model.lowest_mm = heights.minCoeff();
  model.highest_mm = heights.maxCoeff();
  model.interval_mm = ContourInterval(model.lowest_mm, model.highest_mm);
  const auto first = static_cast<int>(std::ceil(model.lowest_mm / model.interval_mm));
  const auto last = static_cast<int>(std::floor(model.highest_mm / model.interval_mm));
  for (int i = first; i <= last; ++i) {
    for (ContourLine& line : Contours(model.heights, i * model.interval_mm))
      model.lines.push_back(std::move(line));
  }
  const auto on_coarse = OnBoardPoints(assessment.board, model.u95);
  model.all_shown = model.u95.z_mm.reshaped()(on_coarse).maxCoeff() <= model.interval_mm;
  model.stations = Stations(assessment);
  for (Station& station : model.stations) {
    station.height_mm = model.heights.At(station.at_mm);
    station.u95_mm = model.u95.At(station.at_mm);
    // A height that may be off by half of all there is to see is not shown by the readings.
    station.shown =
        station.u95_mm <= std::max(model.interval_mm, 0.5 * (model.highest_mm - model.lowest_mm));
  }
  return model;
}

}  // namespace lieflat::report
