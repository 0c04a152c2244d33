// Pins in a row: which of them stand out of line, as a share of their thickness.

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/statistics.h"
#include "lieflat/photo/picture_measures.h"

#include "photo/order_statistics.h"
#include "photo/paint.h"

namespace lieflat {
namespace {

using internal::AtShare;
using Values = std::vector<double>;
constexpr double kBeyondMm = 1.5, kAsideMm = 1.5, kStepMm = 0.05;

/// Light over the row's corridor, along x across.
struct Strip {
  int columns = 0, rows = 0;
  Values light;
  [[nodiscard]] double At(int i, int j) const {
    return light[static_cast<std::size_t>(i * rows + j)];
  }
};

struct Blob {
  Eigen::Vector2d at;  ///< along, across; mm from the corridor's corner
  double thickness = 0.0;
};

/// Connected bright places over half-way from ground to tops; those far from the usual size are
/// none.
std::vector<Blob> Blobs(const Strip& strip) {
  const double ground = AtShare(strip.light, 0.3), top = AtShare(strip.light, 0.985);
  const double half = 0.5 * (ground + top);
  std::vector<Blob> blobs;
  std::vector<bool> seen(strip.light.size(), false);
  for (int i = 0; i < strip.columns; ++i) {
    for (int j = 0; j < strip.rows; ++j) {
      std::vector<std::pair<int, int>> open;
      const auto take = [&](int a, int b) {
        if (a < 0 || b < 0 || a >= strip.columns || b >= strip.rows) return;
        const auto at = static_cast<std::size_t>(a * strip.rows + b);
        if (seen[at] || strip.light[at] < half) return;
        seen[at] = true;
        open.emplace_back(a, b);
      };
      take(i, j);
      Eigen::Vector2d sum = Eigen::Vector2d::Zero();
      double weight = 0.0;
      int count = 0;
      while (!open.empty()) {
        const auto [a, b] = open.back();
        open.pop_back();
        const double w = strip.At(a, b) - ground;
        sum += w * Eigen::Vector2d(a, b);
        weight += w;
        ++count;
        take(a + 1, b);
        take(a - 1, b);
        take(a, b + 1);
        take(a, b - 1);
      }
      if (count < 6) continue;
      blobs.push_back({kStepMm * sum / weight, kStepMm * std::sqrt(count)});
    }
  }
  if (blobs.empty()) return blobs;
  Values sizes;
  for (const Blob& blob : blobs) sizes.push_back(blob.thickness);
  const double usual = AtShare(sizes, 0.5);
  std::erase_if(blobs, [&](const Blob& blob) {
    return blob.thickness < 0.5 * usual || blob.thickness > 2.0 * usual;
  });
  std::sort(
      blobs.begin(), blobs.end(), [](const Blob& a, const Blob& b) { return a.at.x() < b.at.x(); });
  return blobs;
}

/// Places of an even row by robust least squares: x = a + p k, y = c + d k, k counted off.
struct EvenRow {
  double a = 0.0, p = 1.0, c = 0.0, d = 0.0;
};
EvenRow FitRow(const std::vector<Blob>& blobs, std::vector<int>& numbers) {
  Values gaps;
  for (std::size_t i = 1; i < blobs.size(); ++i)
    gaps.push_back(blobs[i].at.x() - blobs[i - 1].at.x());
  EvenRow row;
  row.p = AtShare(gaps, 0.5);
  numbers.assign(blobs.size(), 0);
  for (std::size_t i = 1; i < blobs.size(); ++i)
    numbers[i] = numbers[i - 1] + std::max(1, static_cast<int>(std::lround(gaps[i - 1] / row.p)));
  Values weight(blobs.size(), 1.0);
  for (int pass = 0; pass < 15; ++pass) {
    Eigen::Matrix2d normal = 1e-9 * Eigen::Matrix2d::Identity();
    Eigen::Matrix2d right = Eigen::Matrix2d::Zero();
    for (std::size_t i = 0; i < blobs.size(); ++i) {
      const Eigen::Vector2d r(1.0, numbers[i]);
      normal += weight[i] * r * r.transpose();
      right += weight[i] * r * blobs[i].at.transpose();
    }
    const Eigen::Matrix2d x = normal.ldlt().solve(right);
    row = {x(0, 0), x(1, 0), x(0, 1), x(1, 1)};
    for (std::size_t i = 0; i < blobs.size(); ++i) {
      const Eigen::Vector2d off(blobs[i].at.x() - row.a - row.p * numbers[i],
                                blobs[i].at.y() - row.c - row.d * numbers[i]);
      constexpr double kUsualMm = 0.05;
      weight[i] = 1.0 / (1.0 + std::pow(off.norm() / kUsualMm, 2));
    }
  }
  return row;
}

/// The light of the corridor from its corner on; nothing when it reaches off the picture.
std::optional<Strip> ReadStrip(const BoardPicture& picture,
                               const Eigen::Vector2d& corner,
                               const Eigen::Vector2d& along,
                               double length) {
  const internal::Colours3 colour(picture.picture);
  const Eigen::Vector2d across(-along.y(), along.x());
  Strip strip;
  strip.columns = static_cast<int>((length + 2.0 * kBeyondMm) / kStepMm);
  strip.rows = static_cast<int>(2.0 * kAsideMm / kStepMm);
  for (int i = 0; i < strip.columns; ++i) {
    for (int j = 0; j < strip.rows; ++j) {
      const Eigen::Vector2d px = picture.ToPx(corner + kStepMm * (i * along + j * across));
      if (!colour.Inside(px)) return std::nullopt;
      strip.light.push_back(colour(px).mean());
    }
  }
  return strip;
}

}  // namespace

Result<PinRow> MeasurePins(const BoardPicture& picture,
                           const Eigen::Vector2d& from_mm,
                           const Eigen::Vector2d& to_mm) {
  const double length = (to_mm - from_mm).norm();
  constexpr double kLeast = 2.0;
  if (length < kLeast) {
    return Error{ErrorCode::kBadUse,
                 "--to",
                 "the two places lie less than 2 mm apart",
                 "give the row's first and last pin"};
  }
  const Eigen::Vector2d along = (to_mm - from_mm) / length, across(-along.y(), along.x());
  const Eigen::Vector2d corner = from_mm - kBeyondMm * along - kAsideMm * across;
  const auto strip = ReadStrip(picture, corner, along, length);
  if (!strip) {
    return Error{ErrorCode::kBadUse,
                 "--from",
                 "the row reaches off the picture",
                 "give places on the board, in mm from corner A"};
  }
  const auto blobs = Blobs(*strip);
  constexpr std::size_t kLeastPins = 4;
  if (blobs.size() < kLeastPins) {
    return Error{ErrorCode::kNoFigure,
                 "the picture",
                 fmt::format("{} pins stand out in the row, {} needed", blobs.size(), kLeastPins),
                 "light the pins so that they are brighter than their ground, or come nearer"};
  }
  std::vector<int> numbers;
  const EvenRow row = FitRow(blobs, numbers);
  PinRow out;
  out.pitch_mm = std::hypot(row.p, row.d);
  Values sizes;
  for (const Blob& blob : blobs) sizes.push_back(blob.thickness);
  const double thickness = AtShare(sizes, 0.5);
  out.thickness = {thickness, kNormal95 * (0.03 + 0.3 * picture.blur_mm)};
  out.resolved = thickness >= 3.0 * picture.mm_per_px && thickness >= 2.0 * picture.blur_mm;
  const double place_u = 0.02 + 0.1 * picture.blur_mm;
  for (std::size_t i = 0; i < blobs.size(); ++i) {
    PinSeen pin;
    pin.at_mm = corner + blobs[i].at.x() * along + blobs[i].at.y() * across;
    pin.off_mm = {blobs[i].at.x() - row.a - row.p * numbers[i],
                  blobs[i].at.y() - row.c - row.d * numbers[i]};
    const double share = pin.off_mm.norm() / thickness;
    pin.share = {share,
                 kNormal95 * std::hypot(place_u / thickness,
                                        share * out.thickness.u95 / kNormal95 / thickness)};
    out.pins.push_back(pin);
  }
  return out;
}

}  // namespace lieflat
