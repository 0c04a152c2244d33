#include "report/preview_tables.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/report/text.h"

#include "report/table.h"
#include "report/words.h"

namespace lieflat::report {
namespace {

constexpr double kMicrostrain = 1e6;

std::string Wrapped(const std::string& text, int first, int next) {
  return Wrap(text, kTerminalWidth, first, next) + "\n";
}

}  // namespace

std::string Newtons(double force_n) { return Rounded(force_n, force_n < 10.0 ? 1 : 0); }

std::string PressedShareWords(const PressedPart& part) {
  const Interval interval = part.share95.value_or(Interval{part.share, part.share});
  const auto printed = PrintShare(part.share, interval);
  return part.share95 ? printed.WithUnit("%") : printed.value + " %";
}

std::string WayTable(const Preview& preview) {
  std::vector<std::vector<std::string>> rows;
  for (const PressStep& step : preview.pressing.steps) {
    std::string part;
    double most = -1.0;
    for (std::size_t i = 0; i < step.parts.size(); ++i) {
      const double limit = LimitOf(preview.basis.parts[i]).allowed;
      const double share = std::abs(step.parts[i].strain.strain) / limit;
      if (share <= most) continue;
      most = share;
      const Interval as_exact = preview.pressing.parts[i].share95.value_or(Interval{share, share});
      part = fmt::format("{} {} %",
                         Printable(preview.basis.board.parts[i].ref),
                         PrintShare(share, as_exact).value);
    }
    rows.push_back({Rounded(100.0 * step.share, 0) + " %",
                    Newtons(step.load_n),
                    Rounded(step.gap_mm, 2),
                    Rounded(step.highest_mm, 2),
                    Rounded(step.largest_strain * kMicrostrain, 0),
                    part});
  }
  return "\nOn the way\n" + TextTable({{"Done", true},
                                       {"Load, N", true},
                                       {"Left, mm", true},
                                       {"Highest, mm", true},
                                       {"Strain, microstrain", true},
                                       {"Worst part"}},
                                      rows,
                                      2);
}

std::string PressedPartsTable(const Preview& preview) {
  if (preview.pressing.parts.empty()) return "";
  std::vector<const PressedPart*> order;
  for (const PressedPart& part : preview.pressing.parts) order.push_back(&part);
  std::stable_sort(order.begin(), order.end(), [](const PressedPart* a, const PressedPart* b) {
    return a->share > b->share;
  });
  constexpr std::size_t kMostRows = 12;
  const std::size_t shown = std::min(order.size(), kMostRows);
  std::vector<std::vector<std::string>> rows;
  bool joints = false;
  for (std::size_t k = 0; k < shown; ++k) {
    const PressedPart& part = *order[k];
    const auto number = static_cast<std::size_t>(order[k] - preview.pressing.parts.data());
    const PressedPartAt& at = preview.pressing.steps[part.worst_step].parts[number];
    joints = joints || at.joints.has_value();
    rows.push_back({Printable(part.ref),
                    preview.basis.parts[number].part_class,
                    Rounded(part.strain * kMicrostrain, 0),
                    PressedShareWords(part),
                    at.joints ? Rounded(at.joints->axial_n, 2) : "",
                    at.joints ? Rounded(at.joints->shear_n, 2) : "",
                    Name(part.rating)});
  }
  std::string out = "\nParts at their worst moment\n";
  out += TextTable({{"Part"},
                    {"Class"},
                    {"Strain", true},
                    {"Of allowed", true},
                    {"Pull, N", true},
                    {"Shear, N", true},
                    {"Rating"}},
                   rows,
                   2);
  if (order.size() > shown)
    out += Wrapped(fmt::format("and {} more, all below these.", order.size() - shown), 2, 2);
  out +=
      Wrapped("Strain in microstrain, + where the face that carries the part is stretched.", 2, 2);
  if (joints)
    out += Wrapped("Pull and shear of the worst single joint; pull -: pushed together.", 2, 2);
  return out;
}

std::string PointsTable(const Preview& preview) {
  if (preview.pressing.points.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  const auto pair = [](const Eigen::Vector2d& strain) {
    return fmt::format(
        "{}, {}", Rounded(strain.x() * kMicrostrain, 0), Rounded(strain.y() * kMicrostrain, 0));
  };
  for (const PressPoint& point : preview.pressing.points) {
    rows.push_back({Plainly(point.at_mm.x()),
                    Plainly(point.at_mm.y()),
                    Rounded(point.height_mm, 3),
                    pair(point.top),
                    pair(point.bottom)});
  }
  return "\nAt your points, when held\n" + TextTable({{"x, mm", true},
                                                      {"y, mm", true},
                                                      {"Height, mm", true},
                                                      {"Upper face, microstrain", true},
                                                      {"Lower face", true}},
                                                     rows,
                                                     2);
}

}  // namespace lieflat::report
