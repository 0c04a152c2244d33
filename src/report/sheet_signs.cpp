// The signs of the topographic sheet: hatchings and holes.

#include <algorithm>

#include <fmt/format.h>

#include "report/sheet.h"
#include "report/svg.h"

namespace lieflat::report {

int HatchOf(const PartRating* rating) {
  if (rating == nullptr || !rating->measured) return 0;
  if (rating->share < 0.25) return 1;
  if (rating->share < 0.5) return 2;
  return rating->share <= 1.0 ? 3 : 4;
}

const char* HatchWords(int hatch) {
  static constexpr const char* kWords[] = {
      "not measured yet", "under 25 %", "25 to 50 %", "50 to 100 %", "over 100 %"};
  return kWords[std::clamp(hatch, 0, 4)];
}

std::string HatchPatterns() {
  const auto pattern = [](int hatch, double step, const char* lines) {
    return fmt::format(
        "<pattern id=\"hatch-{0}\" width=\"{1}\" height=\"{1}\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(45)\"><path class=\"hatch\" d=\"{2}\"/></pattern>",
        hatch,
        step,
        lines);
  };
  return pattern(1, 7.0, "M3.5,0V7") + pattern(2, 4.0, "M2,0V4") + pattern(3, 2.2, "M1.1,0V2.2") +
         pattern(4, 3.0, "M1.5,0V3M0,1.5H3");
}

std::string HolePath(const Eigen::Vector2d& at_px, double radius_px) {
  constexpr double kBeyond = 2.5;
  const double arm = radius_px + kBeyond;
  return fmt::format("M{0},{1}a{2},{2} 0 1,0 {3},0a{2},{2} 0 1,0 -{3},0M{4},{1}h{5}M{6},{7}v{5}",
                     Px(at_px.x() - radius_px),
                     Px(at_px.y()),
                     Px(radius_px),
                     Px(2.0 * radius_px),
                     Px(at_px.x() - arm),
                     Px(2.0 * arm),
                     Px(at_px.x()),
                     Px(at_px.y() - arm));
}

}  // namespace lieflat::report
