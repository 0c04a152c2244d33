#include "photo/lying_set.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "photo/homography.h"

namespace lieflat::internal {
namespace {

constexpr double kFrameDiagonalMm = 43.27;  // of 36 x 24 mm

double Believed(const Calib& calib, const char* name) {
  return calib.Number("photo", std::string("/believed/") + name).value;
}

Eigen::Vector2d Middle(const SeenPhoto& photo) {
  return {0.5 * (photo.width - 1), 0.5 * (photo.height - 1)};
}

/// Focal length from what the phone says, else what phones have.
Lens StartLens(const std::vector<SeenPhoto>& photos, const Calib& calib, bool& stated) {
  const SeenPhoto& first = photos.front();
  stated = std::all_of(
      photos.begin(), photos.end(), [](const SeenPhoto& p) { return p.focal_35mm.has_value(); });
  const double focal = stated ? *first.focal_35mm : Believed(calib, "focal_35mm");
  Lens lens;
  lens.f = focal / kFrameDiagonalMm * std::hypot(first.width, first.height);
  return lens;
}

/// The homography of the plane: as seen for a sheet of one page, from all tiles as they lie.
Eigen::Matrix3d PxFromPlane(const SeenPhoto& photo, const std::vector<LaidPage>& pages) {
  if (pages.front().mat->tile == 0) return photo.px_from_mat;
  std::vector<PointPair> pairs;
  for (const SeenCorner& corner : photo.corners) {
    const auto page = PageOf(pages, corner);
    if (page) pairs.push_back({pages[*page].Place(corner), corner.at_px});
  }
  return FitHomography(pairs);
}

/// Where rays from several shots come closest together.
Eigen::Vector3d Meet(const std::vector<std::pair<const Shot*, Eigen::Vector2d>>& seen, double f) {
  Eigen::Matrix3d a = Eigen::Matrix3d::Zero();
  Eigen::Vector3d b = Eigen::Vector3d::Zero();
  for (const auto& [shot, at] : seen) {
    const Eigen::Vector3d along =
        (shot->rotation.transpose() * Eigen::Vector3d(at.x() / f, at.y() / f, 1.0)).normalized();
    const Eigen::Vector3d from = -(shot->rotation.transpose() * shot->position);
    const Eigen::Matrix3d across = Eigen::Matrix3d::Identity() - along * along.transpose();
    a += across;
    b += across * from;
  }
  return a.ldlt().solve(b);
}

/// The photo's pose from the plane, and its sightings of the sheet's corners.
void AddShot(const SeenPhoto& photo,
             std::size_t number,
             const std::vector<LaidPage>& pages,
             const Calib& calib,
             SetProblem& set) {
  BundleProblem& bundle = set.bundle;
  const Eigen::Vector2d middle = Middle(photo);
  Eigen::Matrix3d centred = Eigen::Matrix3d::Identity();
  centred.topRightCorner<2, 1>() = -middle;
  const PlanePose pose = PoseFromHomography(centred * PxFromPlane(photo, pages), bundle.lens.f);
  const int shot = static_cast<int>(bundle.shots.size());
  bundle.shots.push_back({pose.rotation, pose.position, 0.0, 0.0, 0.0});
  set.photo_of_shot.push_back(number);
  for (const SeenCorner& corner : photo.corners) {
    const auto page = PageOf(pages, corner);
    if (!page) continue;
    const std::array<int, 3> key = {static_cast<int>(*page), corner.column, corner.row};
    const auto [at, fresh] =
        set.index.point_of.try_emplace(key, static_cast<int>(set.index.corners.size()));
    if (fresh) {
      set.index.corners.push_back(key);
      const Eigen::Vector2d place = pages[*page].Place(corner);
      bundle.sheet.push_back({pages[*page].mat->Corner(corner.column, corner.row),
                              Believed(calib, "sheet_u_mm"),
                              Believed(calib, "sheet_height_u_mm"),
                              key[0]});
      bundle.points_mm.emplace_back(place.x(), place.y(), 0.0);
    }
    bundle.sightings.push_back({shot, at->second, corner.at_px - middle});
  }
}

}  // namespace

SeenPhoto Landscape(SeenPhoto photo) {
  if (photo.width >= photo.height) return photo;
  const double last = photo.width - 1;
  const auto turn = [&](Eigen::Vector2d& at) { at = Eigen::Vector2d(at.y(), last - at.x()); };
  for (auto& corner : photo.corners) turn(corner.at_px);
  for (auto& sticker : photo.stickers) {
    for (auto& at : sticker.corners_px) turn(at);
  }
  Eigen::Matrix3d t;
  t << 0, 1, 0, -1, 0, last, 0, 0, 1;
  photo.px_from_mat = t * photo.px_from_mat;
  std::swap(photo.width, photo.height);
  return photo;
}

SetProblem BuildProblem(const std::vector<SeenPhoto>& photos,
                        const std::vector<bool>& used,
                        const std::vector<int>& stickers,
                        const std::vector<LaidPage>& pages,
                        const Calib& calib) {
  SetProblem set;
  BundleProblem& bundle = set.bundle;
  bool stated = false;
  bundle.lens = StartLens(photos, calib, stated);
  const double width = photos.front().width;
  bundle.sigma_px = Believed(calib, "sigma_px");
  bundle.priors.f_share = Believed(calib, stated ? "f_share_exif" : "f_share");
  bundle.priors.centre_px = Believed(calib, "centre_px_share") * width;
  bundle.priors.df_share = Believed(calib, "df_share");
  bundle.priors.dc_px = Believed(calib, "shift_px_share") * width;
  bundle.priors.rest_px = Believed(calib, "rest_px_share") * width;
  bundle.priors.print_y_share =
      calib.Number("photo", "/print/scale_u").value * 3.75;  // up to 1.5 %

  bundle.priors.page_place_mm = Believed(calib, "page_place_mm");
  bundle.priors.page_turn_rad = Believed(calib, "page_turn_rad");
  bundle.priors.page_scale_share = Believed(calib, "page_scale_share");
  for (std::size_t i = 1; i < pages.size(); ++i) bundle.pages.push_back(pages[i].AsStart());

  for (std::size_t i = 0; i < photos.size(); ++i) {
    if (used[i]) AddShot(photos[i], i, pages, calib, set);
  }
  set.index.stickers = stickers;
  for (std::size_t k = 0; k < stickers.size(); ++k) {
    std::array<std::vector<std::pair<const Shot*, Eigen::Vector2d>>, 4> seen;
    for (std::size_t shot = 0; shot < bundle.shots.size(); ++shot) {
      const SeenPhoto& photo = photos[set.photo_of_shot[shot]];
      for (const SeenSticker& sticker : photo.stickers) {
        if (sticker.id != stickers[k]) continue;
        for (int c = 0; c < 4; ++c) {
          const Eigen::Vector2d at =
              sticker.corners_px[static_cast<std::size_t>(c)] - Middle(photo);
          bundle.sightings.push_back({static_cast<int>(shot), set.index.StickerPoint(k, c), at});
          seen[static_cast<std::size_t>(c)].emplace_back(&bundle.shots[shot], at);
        }
      }
    }
    for (const auto& rays : seen) bundle.points_mm.push_back(Meet(rays, bundle.lens.f));
  }
  return set;
}

BundleProblem WithoutShot(const BundleProblem& problem, const Bundle& solved, int shot) {
  BundleProblem without = problem;
  without.pages = solved.pages;
  without.shots = solved.shots;
  without.shots.erase(without.shots.begin() + shot);
  without.points_mm = solved.points_mm;
  without.sightings.clear();
  for (std::size_t i = 0; i < problem.sightings.size(); ++i) {
    Sighting sighting = problem.sightings[i];
    if (sighting.shot == shot || !solved.used[i]) continue;
    if (sighting.shot > shot) --sighting.shot;
    without.sightings.push_back(sighting);
  }
  return without;
}

int ShotsOf(const BundleProblem& problem,
            const std::vector<bool>& used,
            const SetIndex& index,
            std::size_t sticker) {
  const int first = index.StickerPoint(sticker, 0);
  std::vector<int> corners(problem.shots.size(), 0);
  for (std::size_t i = 0; i < problem.sightings.size(); ++i) {
    const Sighting& s = problem.sightings[i];
    if (used[i] && s.point >= first && s.point < first + 4)
      ++corners[static_cast<std::size_t>(s.shot)];
  }
  return static_cast<int>(std::count(corners.begin(), corners.end(), 4));
}

}  // namespace lieflat::internal
