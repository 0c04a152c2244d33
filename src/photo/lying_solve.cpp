// The set solved, and solved again without what contradicts the rest.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/lying_work.h"

namespace lieflat::internal {
namespace {

/// Stickers seen in two used photos at least, and not found bad before.
std::vector<int> UsableStickers(const LyingWork& work) {
  std::map<int, int> seen;
  for (std::size_t i = 0; i < work.photos.size(); ++i) {
    if (!work.out.photos[i].used) continue;
    for (const SeenSticker& sticker : work.photos[i].stickers) ++seen[sticker.id];
  }
  std::vector<int> ids;
  for (const auto& [id, count] : seen) {
    if (count >= 2 && !work.bad_stickers.contains(id)) ids.push_back(id);
  }
  return ids;
}

Result<void> Solve(LyingWork& work) {
  const auto stickers = UsableStickers(work);
  constexpr std::size_t kLeastStickers = 4;  // three lie in a plane always
  if (stickers.size() < kLeastStickers) {
    return Error{
        ErrorCode::kNoFigure,
        "stickers",
        fmt::format(
            "{} are seen in two photos or more, {} needed", stickers.size(), kLeastStickers),
        "put A to D into the corners and AB, BC, CD, DA against the edges; every one in three "
        "photos"};
  }
  std::vector<bool> used;
  for (const PhotoUse& photo : work.out.photos) used.push_back(photo.used);
  auto pages = LayPages(work.photos, used, work.out.sheet, work.printed);
  if (!pages) return pages.error();
  work.pages = std::move(*pages);
  work.set = BuildProblem(work.photos, used, stickers, work.pages, work.calib);
  std::vector<int> wanted;
  for (std::size_t k = 0; k < stickers.size(); ++k) {
    for (int c = 0; c < 4; ++c) wanted.push_back(work.set.index.StickerPoint(k, c));
  }
  auto bundle = SolveBundle(work.set.bundle, wanted);
  if (!bundle) return bundle.error();
  work.out.bundle = std::move(*bundle);
  return {};
}

/// What one shot saw, and how much of it was cut because it does not fit.
struct Fit {
  int stickers = 0, stickers_cut = 0, corners = 0, corners_cut = 0;
  double squares = 0.0;  // of what was kept, px2

  [[nodiscard]] double Rms() const {
    const int kept = stickers + corners - stickers_cut - corners_cut;
    return std::sqrt(squares / std::max(1, 2 * kept));
  }
  [[nodiscard]] double StickersCut() const {
    return static_cast<double>(stickers_cut) / std::max(1, stickers);
  }
  [[nodiscard]] double CornersCut() const {
    return static_cast<double>(corners_cut) / std::max(1, corners);
  }
};

std::vector<Fit> FitOfShots(const LyingWork& work) {
  const BundleProblem& problem = work.set.bundle;
  const Bundle& solved = work.out.bundle;
  std::vector<Fit> fits(problem.shots.size());
  const int first = static_cast<int>(work.set.index.corners.size());
  for (std::size_t i = 0; i < problem.sightings.size(); ++i) {
    const Sighting& s = problem.sightings[i];
    Fit& fit = fits[static_cast<std::size_t>(s.shot)];
    const int cut = solved.used[i] ? 0 : 1;
    if (s.point >= first) {
      ++fit.stickers;
      fit.stickers_cut += cut;
    } else {
      ++fit.corners;
      fit.corners_cut += cut;
    }
    if (cut == 0) fit.squares += solved.residuals_px[i].squaredNorm();
  }
  return fits;
}

/// Largest angle between two rays to a sticker, degrees.
double MeetingAngle(const LyingWork& work, std::size_t k) {
  const Bundle& solved = work.out.bundle;
  const int point = work.set.index.StickerPoint(k, 0);
  const Eigen::Vector3d at = solved.points_mm[static_cast<std::size_t>(point)];
  std::vector<Eigen::Vector3d> rays;
  for (std::size_t i = 0; i < work.set.bundle.sightings.size(); ++i) {
    const Sighting& s = work.set.bundle.sightings[i];
    if (s.point != point || !solved.used[i]) continue;
    const Shot& shot = solved.shots[static_cast<std::size_t>(s.shot)];
    rays.push_back((at + shot.rotation.transpose() * shot.position).normalized());
  }
  double least = 1.0;
  for (std::size_t i = 0; i < rays.size(); ++i) {
    for (std::size_t j = i + 1; j < rays.size(); ++j) least = std::min(least, rays[i].dot(rays[j]));
  }
  return std::acos(std::clamp(least, -1.0, 1.0)) * 180.0 / std::numbers::pi;
}

/// Mean side, and how far the four corners are from a flat square.
struct Square {
  double side_mm = 0.0, sides_differ_mm = 0.0, bent_mm = 0.0;
};
Square SquareOf(const LyingWork& work, std::size_t k) {
  std::array<Eigen::Vector3d, 4> c;
  for (int i = 0; i < 4; ++i) {
    c[static_cast<std::size_t>(i)] =
        work.out.bundle.points_mm[static_cast<std::size_t>(work.set.index.StickerPoint(k, i))];
  }
  double shortest = 1e9, longest = 0.0, sum = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    const double side = (c[(i + 1) % 4] - c[i]).norm();
    shortest = std::min(shortest, side);
    longest = std::max(longest, side);
    sum += side;
  }
  return {sum / 4.0, longest - shortest, std::abs((c[0] - c[1] + c[2] - c[3]).z())};
}

}  // namespace

bool DropForeignPhoto(LyingWork& work) {
  const double foreign = work.Limit("/photos/foreign_share");
  const double residual = work.Limit("/photos/largest_residual_px");
  const auto fits = FitOfShots(work);
  std::size_t worst = fits.size();
  double most = 0.0;
  std::string why;
  const auto blame = [&](std::size_t shot, double share, std::string reason) {
    if (share <= most) return;
    most = share;
    worst = shot;
    why = std::move(reason);
  };
  for (std::size_t shot = 0; shot < fits.size(); ++shot) {
    const double rms = fits[shot].Rms();
    work.out.photos[work.set.photo_of_shot[shot]].rms_px = rms;
    if (const double cut = fits[shot].StickersCut(); cut > foreign) {
      blame(shot,
            cut,
            "its stickers lie elsewhere than in the others: another board, or the board was moved; "
            "do not touch board or sheet between photos");
    }
    if (const double cut = fits[shot].CornersCut(); cut > foreign) {
      blame(shot,
            cut,
            work.pages.size() == 1
                ? "the sheet does not fit the others: another lens, zoom or crop; the same lens "
                  "for all, 1x, as the phone stores it"
                : "the tiles do not fit the others: one was moved, or another lens, zoom or crop; "
                  "leave them as they lie, and the same lens for all, 1x");
    }
    if (rms > residual) {
      blame(shot,
            0.01 * rms,
            fmt::format("its corners are off by {:.2f} px where {:.2f} are allowed: blurred; hold "
                        "still, tap to focus",
                        rms,
                        residual));
    }
  }
  if (worst == fits.size()) return false;
  work.Drop(work.set.photo_of_shot[worst], why);
  return true;
}

bool DropBadStickers(LyingWork& work) {
  bool dropped = false;
  const auto drop = [&](int id, const std::string& why) {
    work.bad_stickers.insert(id);
    work.out.dropped.push_back(fmt::format("sticker {}: {}", work.NameOf(id), why));
    dropped = true;
  };
  const double allowed = work.Limit("/stickers/square_mm");
  const double least_angle = work.Limit("/photos/least_meeting_angle_deg");
  for (std::size_t k = 0; k < work.set.index.stickers.size(); ++k) {
    const int id = work.set.index.stickers[k];
    if (ShotsOf(work.set.bundle, work.out.bundle.used, work.set.index, k) < 2) {
      drop(id, "the photos do not agree where it is: is it loose, or there twice?");
      continue;
    }
    const Square square = SquareOf(work, k);
    if (square.sides_differ_mm > allowed || square.bent_mm > 2.0 * allowed) {
      drop(id,
           fmt::format("its sides differ by {:.2f} mm: it does not lie flat; press it on, off "
                       "parts and solder",
                       std::max(square.sides_differ_mm, square.bent_mm)));
      continue;
    }
    work.size_mm[id] = square.side_mm;
    if (const double angle = MeetingAngle(work, k); angle < least_angle) {
      drop(id, fmt::format("seen under {:.0f} degrees only: photos from more sides", angle));
    }
  }
  return dropped;
}

Result<void> SolveUntilSound(LyingWork& work) {
  for (std::size_t pass = 0; pass <= work.photos.size() + 4; ++pass) {
    if (auto enough = EnoughPhotos(work); !enough) return enough;
    if (auto solved = Solve(work); !solved) return solved;
    if (!DropForeignPhoto(work) && !DropBadStickers(work)) return {};
  }
  return Error{ErrorCode::kNoFigure,
               "photos",
               "they contradict each other",
               "take the set again without moving board or sheet"};
}

}  // namespace lieflat::internal
