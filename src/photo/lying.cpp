#include "lieflat/photo/lying.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/lying_work.h"
#include "photo/plane.h"

namespace lieflat {
namespace {

using internal::LyingWork;

void WarnOfPrint(LyingWork& work) {
  LyingResult& out = work.out;
  if (out.sheet_height_rms_mm > 1.0) {
    out.warnings.push_back(
        fmt::format("the sheet is wavy, {:.1f} mm: no harm to the heights, but tape it down",
                    out.sheet_height_rms_mm));
  }
  if (std::abs(out.print_y - 1.0) > work.Limit("/print/unequal_scale")) {
    out.warnings.push_back(fmt::format("the print is {:.1f} % longer one way than the other",
                                       100.0 * std::abs(out.print_y - 1.0)));
  }
}

void WarnOfLens(LyingWork& work) {
  double worst = 0.0, ratio = 0.0;
  for (const Station& station : work.out.stations) {
    worst = std::max(worst, station.jackknife_u_mm);
    ratio = std::max(ratio, station.jackknife_u_mm / std::max(0.003, station.covariance_u_mm));
  }
  constexpr double kModelRatio = 3.0;
  if (worst > work.Limit("/photos/largest_jackknife_mm")) {
    work.out.warnings.push_back(
        fmt::format("leaving a photo out moves heights by up to {:.2f} mm: the lens is not "
                    "understood; turn the phone's own corrections off, or use its main camera",
                    worst));
  } else if (ratio > kModelRatio) {
    work.out.warnings.push_back(
        "the photos agree less well than their corners promise; the uncertainties say so");
  }
}

/// What the solve says of print, sheet and lens; warnings.
void Describe(LyingWork& work) {
  LyingResult& out = work.out;
  const internal::SetIndex& index = work.set.index;
  out.sightings = work.set.bundle.sightings;
  const Eigen::MatrixX3d centres =
      internal::Centres(index, out.bundle.points_mm, internal::AllStickers(index));
  for (Eigen::Index i = 0; i < centres.rows(); ++i)
    out.station_on_sheet_mm.emplace_back(centres.row(i).head<2>());
  for (std::size_t i = 0; work.pages.size() > 1 && i < work.pages.size(); ++i) {
    const internal::LaidPage page = internal::Solved(*work.pages[i].mat, out.bundle.pages[i]);
    out.tiles.push_back({page.mat->id, page.mat->tile, page.at_mm, page.turned_rad});
  }
  out.rms_px = out.bundle.rms_px;
  out.s0 = out.bundle.s0;
  out.print_y = out.bundle.print_y;
  Eigen::MatrixX3d sheet(static_cast<Eigen::Index>(index.corners.size()), 3);
  for (Eigen::Index i = 0; i < sheet.rows(); ++i)
    sheet.row(i) = out.bundle.points_mm[static_cast<std::size_t>(i)].transpose();
  const Eigen::MatrixX3d own = internal::OnPlane(sheet, internal::FitPlane(sheet));
  out.sheet_height_rms_mm = std::sqrt(own.col(2).squaredNorm() / static_cast<double>(own.rows()));
  WarnOfPrint(work);
  WarnOfLens(work);
}

}  // namespace

Result<LyingResult> MeasureLying(const std::vector<SeenPhoto>& photos,
                                 const Board& board,
                                 const LyingRequest& request,
                                 const Printed& printed,
                                 const Calib& calib) {
  LyingWork work{board, request, printed, calib, {}, {}, {}, {}, {}, {}, {}};
  for (const SeenPhoto& photo : photos) {
    work.photos.push_back(internal::Landscape(photo));
    work.out.photos.push_back({photo.name,
                               true,
                               "",
                               static_cast<int>(photo.corners.size()),
                               static_cast<int>(photo.stickers.size()),
                               0.0});
  }
  internal::SortOutPhotos(work);
  if (auto done = internal::EnoughPhotos(work); !done) return done.error();
  if (auto done = internal::SolveUntilSound(work); !done) return done.error();
  if (auto done = internal::LeaveOneOut(work); !done) return done.error();
  if (auto done = internal::PlaceStations(work); !done) return done.error();
  Describe(work);
  return std::move(work.out);
}

}  // namespace lieflat
