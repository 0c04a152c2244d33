// Which photos of a set can be used.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "photo/lying_work.h"

namespace lieflat::internal {
namespace {

void JudgeEach(LyingWork& work) {
  for (std::size_t i = 0; i < work.photos.size(); ++i) {
    const ShotVerdict verdict = JudgeShot(work.photos[i], work.printed, false, work.calib);
    if (!verdict.problem.empty()) work.Drop(i, verdict.problem);
    for (const auto& warning : verdict.warnings)
      work.out.warnings.push_back(work.photos[i].name + ": " + warning);
  }
}

/// The value that most used photos share.
template <typename Key, typename Get>
Key Commonest(const LyingWork& work, const Get& key) {
  std::map<Key, int> counts;
  for (std::size_t i = 0; i < work.photos.size(); ++i) {
    if (work.out.photos[i].used) ++counts[key(work.photos[i])];
  }
  Key best{};
  int most = 0;
  for (const auto& [value, count] : counts) {
    if (count > most) {
      most = count;
      best = value;
    }
  }
  return best;
}

void SameSheet(LyingWork& work) {
  const auto sheet_of = [&](const SeenPhoto& photo) {
    const MatLayout* const page = work.printed.Find(photo.sheet);
    return page == nullptr ? "" : page->sheet;
  };
  work.out.sheet = Commonest<std::string>(work, sheet_of);
  for (std::size_t i = 0; i < work.photos.size(); ++i) {
    if (!work.out.photos[i].used) continue;
    const std::string sheet = sheet_of(work.photos[i]);
    if (sheet == work.out.sheet) continue;
    work.Drop(i,
              fmt::format("shows the sheet {}, the others {}: one sheet for all photos of a set",
                          sheet,
                          work.out.sheet));
  }
}

void SameSizeAndLens(LyingWork& work) {
  const auto size = Commonest<std::pair<int, int>>(
      work, [](const SeenPhoto& p) { return std::pair(p.width, p.height); });
  const double focal =
      Commonest<double>(work, [](const SeenPhoto& p) { return p.focal_35mm.value_or(0.0); });
  for (std::size_t i = 0; i < work.photos.size(); ++i) {
    if (!work.out.photos[i].used) continue;
    const SeenPhoto& photo = work.photos[i];
    if (std::pair(photo.width, photo.height) != size) {
      work.Drop(i,
                fmt::format("{} x {} pixels, the others {} x {}: give the photos as the phone took "
                            "them, all at one size",
                            photo.width,
                            photo.height,
                            size.first,
                            size.second));
    } else if (focal > 0.0 && photo.focal_35mm &&
               std::abs(*photo.focal_35mm / focal - 1.0) >
                   work.Limit("/photos/largest_zoom_share")) {
      work.Drop(i,
                fmt::format("another lens or zoom ({:g} mm, the others {:g} mm): the same lens for "
                            "all, 1x, no zoom",
                            *photo.focal_35mm,
                            focal));
    }
  }
}

}  // namespace

int LyingWork::Used() const {
  return static_cast<int>(std::count_if(
      out.photos.begin(), out.photos.end(), [](const PhotoUse& p) { return p.used; }));
}

void LyingWork::Drop(std::size_t photo, std::string why) {
  out.photos[photo].used = false;
  out.photos[photo].why_not = std::move(why);
}

void SortOutPhotos(LyingWork& work) {
  JudgeEach(work);
  SameSheet(work);
  SameSizeAndLens(work);
}

Result<void> EnoughPhotos(const LyingWork& work) {
  const int needed = static_cast<int>(work.Limit("/photos/least_lying"));
  if (work.Used() >= needed) return {};
  std::vector<std::string> reasons;
  for (const PhotoUse& photo : work.out.photos) {
    if (!photo.used) reasons.push_back(photo.name + ": " + photo.why_not);
  }
  const std::string remedy = reasons.empty() ? "take five: one from each side, looking down by "
                                               "half a right angle, and one from above"
                                             : Join(reasons, "; ");
  return Error{
      ErrorCode::kNoFigure,
      "photos",
      fmt::format("{} of {} can be used, {} needed", work.Used(), work.photos.size(), needed),
      remedy};
}

}  // namespace lieflat::internal
