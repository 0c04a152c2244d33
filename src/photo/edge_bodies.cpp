#include "photo/edge_bodies.h"

#include <algorithm>
#include <cmath>

#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kStepMm = 0.1;  // along
// Before the edge: clear of the edge's own blur; then as far as a body may reach.
constexpr double kNearMm = 0.4, kNearToMm = 0.9, kNearStepMm = 0.1;
constexpr double kOutStepMm = 0.5, kFarthestMm = 15.0;

/// Light at one distance before the edge as a share of the paper's, which is the upper fifth of
/// what is seen at that distance within 40 mm along the edge: paper there is darkened by the board
/// alike, and a connector wider than 60 mm still leaves paper beside it.
std::vector<double> SharesAt(const LightBefore& light, double length_mm, double before) {
  constexpr double kWithinMm = 40.0, kPaperEveryMm = 5.0;
  const auto n = static_cast<std::size_t>(length_mm / kStepMm) + 1;
  std::vector<double> seen(n);
  for (std::size_t i = 0; i < n; ++i)
    seen[i] = light(kStepMm * static_cast<double>(i), before).value_or(-1.0);
  std::vector<double> paper;  // every 5 mm
  for (double at = 0.0; at < length_mm + kPaperEveryMm; at += kPaperEveryMm) {
    std::vector<double> around;
    for (double x = std::max(0.0, at - kWithinMm); x <= std::min(length_mm, at + kWithinMm);
         x += 10.0 * kStepMm) {
      const double value = seen[std::min(n - 1, static_cast<std::size_t>(x / kStepMm))];
      if (value >= 0.0) around.push_back(value);
    }
    paper.push_back(around.empty() ? 0.0 : AtShare(around, 0.8));
  }
  std::vector<double> shares(n, 1.0);
  for (std::size_t i = 0; i < n; ++i) {
    const double at = kStepMm * static_cast<double>(i) / kPaperEveryMm;
    const auto k = static_cast<std::size_t>(at);
    const double part = at - static_cast<double>(k);
    const double there = (1.0 - part) * paper[k] + part * paper[k + 1];
    if (seen[i] >= 0.0 && there > 0.0) shares[i] = seen[i] / there;
  }
  return shares;
}

/// Place by place the middle of the photos, and the lightest of them.
struct Shares {
  std::vector<double> middle, lightest;
};

Shares SharesOfAll(const std::vector<LightBefore>& photos, double length_mm, double before) {
  std::vector<std::vector<double>> each;
  for (const LightBefore& light : photos) each.push_back(SharesAt(light, length_mm, before));
  Shares out{each.front(), each.front()};
  for (std::size_t i = 0; i < out.middle.size(); ++i) {
    std::vector<double> values;
    for (const auto& shares : each) values.push_back(shares[i]);
    std::sort(values.begin(), values.end());
    out.middle[i] = values[values.size() / 2];
    out.lightest[i] = values.back();
  }
  return out;
}

void Add(std::vector<double>& sum, const std::vector<double>& values) {
  if (sum.empty()) sum.assign(values.size(), 0.0);
  for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += values[i];
}

/// A wide body's upper parts hide paper beside its foot from photos of one side: where one photo
/// sees paper, nothing stands.
void Trim(EdgeBody& body, const std::vector<double>& lightest, double darkest) {
  constexpr double kWideMm = 2.5;
  const auto paper_at = [&](double at) {
    const auto i = static_cast<std::size_t>(std::max(0.0, at / kStepMm));
    return i < lightest.size() && lightest[i] >= darkest;
  };
  while (body.to_mm - body.from_mm > kWideMm && paper_at(body.from_mm + kStepMm))
    body.from_mm += kStepMm;
  while (body.to_mm - body.from_mm > kWideMm && paper_at(body.to_mm - kStepMm))
    body.to_mm -= kStepMm;
}

}  // namespace

std::vector<EdgeBody> FindEdgeBodies(const std::vector<LightBefore>& photos,
                                     double length_mm,
                                     double light_share,
                                     double narrowest_mm) {
  std::vector<EdgeBody> bodies;
  if (photos.empty()) return bodies;
  std::vector<double> near, lightest;
  int rows = 0;
  for (double before = kNearMm; before < kNearToMm; before += kNearStepMm, ++rows) {
    const Shares shares = SharesOfAll(photos, length_mm, before);
    Add(near, shares.middle);
    Add(lightest, shares.lightest);
  }
  const double darkest = light_share * rows;
  for (std::size_t i = 0; i < near.size(); ++i) {
    if (near[i] >= darkest) continue;
    const std::size_t first = i;
    while (i < near.size() && near[i] < darkest) ++i;
    EdgeBody body{kStepMm * (static_cast<double>(first) - 0.5),
                  kStepMm * (static_cast<double>(i) - 0.5),
                  kNearToMm};
    Trim(body, lightest, darkest);
    if (body.to_mm - body.from_mm >= narrowest_mm) bodies.push_back(body);
  }
  if (bodies.empty()) return bodies;
  std::vector<bool> open(bodies.size(), true);
  for (double before = kNearToMm; before < kFarthestMm; before += kOutStepMm) {
    const std::vector<double> shares = SharesOfAll(photos, length_mm, before).middle;
    bool any = false;
    for (std::size_t k = 0; k < bodies.size(); ++k) {
      if (!open[k]) continue;
      const auto first = static_cast<std::size_t>(std::max(0.0, bodies[k].from_mm / kStepMm));
      const auto last =
          std::min(shares.size() - 1, static_cast<std::size_t>(bodies[k].to_mm / kStepMm));
      const double middle = AtShare({shares.begin() + static_cast<std::ptrdiff_t>(first),
                                     shares.begin() + static_cast<std::ptrdiff_t>(last) + 1},
                                    0.5);
      open[k] = middle < light_share;
      if (open[k]) bodies[k].out_mm = before;
      any = any || open[k];
    }
    if (!any) break;
  }
  return bodies;
}

}  // namespace lieflat::internal
