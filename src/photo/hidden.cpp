#include "photo/hidden.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {

const char* Name(HiddenBy by) {
  constexpr const char* kNames[] = {"legs", "part", "connector", "unnamed", "set-back"};
  return kNames[static_cast<std::size_t>(by)];
}

std::string Describe(const Hidden& hidden) {
  const std::string where = fmt::format("{:.0f} to {:.0f} mm", hidden.from_mm, hidden.to_mm);
  switch (hidden.by) {
    case HiddenBy::kLegs: {
      std::vector<std::string> at;
      for (const double leg : hidden.legs_mm) at.push_back(fmt::format("{:.0f}", leg));
      return fmt::format("{} at {} mm",
                         at.size() == 1 ? "a leg" : fmt::format("{} legs", at.size()),
                         Join(at, ", "));
    }
    case HiddenBy::kPart:
      return "a part's body from " + where;
    case HiddenBy::kConnector:
      return fmt::format(
          "a connector-like body from {}, {:.0f} mm before the edge", where, hidden.out_mm);
    case HiddenBy::kUnnamed:
      return "something before the edge from " + where;
    case HiddenBy::kSetBack:
      return "the edge stands back, is notched or hidden from " + where;
  }
  return where;
}

namespace internal {
namespace {

/// Legs no further apart than a usual pitch are one row.
void AddLeg(std::vector<Hidden>& out, const EdgeBody& body, double pitch_mm) {
  const double at = 0.5 * (body.from_mm + body.to_mm);
  if (!out.empty() && out.back().by == HiddenBy::kLegs &&
      at - out.back().legs_mm.back() <= pitch_mm) {
    out.back().legs_mm.push_back(at);
    out.back().to_mm = body.to_mm;
    out.back().out_mm = std::max(out.back().out_mm, body.out_mm);
    return;
  }
  out.push_back({body.from_mm, body.to_mm, true, HiddenBy::kLegs, {at}, body.out_mm});
}

/// Whether what was found lies before the curve.
bool LiesBefore(const EdgeCurves& curves, double from, double to) {
  double sum = 0.0;
  int count = 0;
  for (const auto& trace : curves.traces) {
    for (const auto& at : trace) {
      if (at.x() < from || at.x() > to) continue;
      sum += at.y() - curves.mean(static_cast<Eigen::Index>(at.x()));
      ++count;
    }
  }
  return count > 0 && sum < 0.0;
}

/// Runs without any edge that no body explains by at least half.
std::vector<Hidden> Gaps(const std::vector<EdgeBody>& bodies, const EdgeCurves& curves) {
  constexpr int kLeast = 4;
  std::vector<Hidden> out;
  const auto n = static_cast<int>(curves.covered.size());
  for (int i = 0, first = -1; i <= n; ++i) {
    const bool open = i < n && !curves.covered[static_cast<std::size_t>(i)];
    if (open && first < 0) first = i;
    if (open || first < 0) continue;
    const double from = curves.first_mm + first, to = curves.first_mm + i;
    double explained = 0.0;
    constexpr double kBesideMm = 1.0;  // left out on each side of a body
    for (const EdgeBody& body : bodies) {
      explained += std::max(
          0.0, std::min(to, body.to_mm + kBesideMm) - std::max(from, body.from_mm - kBesideMm));
    }
    if (i - first >= kLeast && explained < 0.5 * (to - from)) {
      const bool before = LiesBefore(curves, from, to);
      out.push_back({from, to, before, before ? HiddenBy::kUnnamed : HiddenBy::kSetBack, {}, 0.0});
    }
    first = -1;
  }
  return out;
}

}  // namespace

std::vector<EdgeBody> WithoutShadows(std::vector<EdgeBody> bodies, const EdgeCurves& curves) {
  // Beside narrow ones the edge is found, smoothed by 1 mm as the light is.
  constexpr double kWideMm = 4.0;
  std::erase_if(bodies, [&](const EdgeBody& body) {
    if (body.to_mm - body.from_mm <= kWideMm) return false;
    int covered = 0, all = 0;
    for (std::size_t i = 0; i < curves.covered.size(); ++i) {
      const double at = curves.first_mm + static_cast<double>(i) + 0.5;
      if (at < body.from_mm || at > body.to_mm) continue;
      covered += curves.covered[i] ? 1 : 0;
      ++all;
    }
    return 2 * covered > all;
  });
  return bodies;
}

std::vector<Hidden> NameHidden(const std::vector<EdgeBody>& bodies,
                               const EdgeCurves& curves,
                               const Calib& calib) {
  const auto limit = [&](const char* name) {
    return calib.Number("photo", std::string("/standing/") + name).value;
  };
  const double leg = limit("leg_widest_mm"), pitch = limit("leg_pitch_mm"),
               connector = limit("connector_least_mm"), reach = limit("connector_out_mm");
  std::vector<Hidden> out;
  for (const EdgeBody& body : bodies) {
    const double width = body.to_mm - body.from_mm;
    if (width <= leg) {
      AddLeg(out, body, pitch);
      continue;
    }
    const HiddenBy by =
        width >= connector && body.out_mm >= reach ? HiddenBy::kConnector : HiddenBy::kPart;
    out.push_back({body.from_mm, body.to_mm, true, by, {}, body.out_mm});
  }
  for (Hidden& gap : Gaps(bodies, curves)) out.push_back(std::move(gap));
  std::sort(out.begin(), out.end(), [](const Hidden& a, const Hidden& b) {
    return a.from_mm < b.from_mm;
  });
  return out;
}

}  // namespace internal
}  // namespace lieflat
