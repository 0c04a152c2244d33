#include "photo/edge_profile.h"

#include <algorithm>
#include <cmath>

#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kLeastContrast = 0.05;  // of the two sides, linear light
constexpr double kRunMm = 0.5;           // of the board's colour, by which it is known

Rgb MedianColour(const std::vector<Rgb>& colours) {
  Rgb out = Rgb::Zero();
  if (colours.empty()) return out;
  std::vector<double> one(colours.size());
  for (int k = 0; k < 3; ++k) {
    for (std::size_t i = 0; i < colours.size(); ++i) one[i] = colours[i][k];
    out[k] = Median(one);
  }
  return out;
}

}  // namespace

std::optional<RimCrossing> FindRim(const RimProfile& profile, const Rgb& board, double blur_mm) {
  const auto& c = profile.colours;
  const int n = static_cast<int>(c.size());
  const int run = std::max(2, static_cast<int>(kRunMm / profile.step_mm));
  const int clear = static_cast<int>(std::ceil((2.0 * blur_mm + 0.1) / profile.step_mm));
  // Of the board's hue, lighter or darker within what conductors under a coating and light do.
  const double across_most = std::max(0.03, 0.25 * board.norm());
  const auto alike = [&](const Rgb& colour) {
    constexpr double kDarkest = 0.65, kLightest = 1.8;
    const double share = colour.dot(board) / std::max(1e-9, board.squaredNorm());
    return share > kDarkest && share < kLightest &&
           (colour - share * board).norm() < across_most * std::max(0.3, std::min(1.0, share));
  };
  int count = 0, start = -1;
  for (int i = 0; i < n; ++i) {
    count = alike(c[static_cast<std::size_t>(i)]) ? count + 1 : 0;
    if (count >= run) {
      start = i - run + 1;
      break;
    }
  }
  if (start < clear + 1) return std::nullopt;  // alike from the beginning, or nowhere
  // What lies behind: the colour just clear of the blur.
  Rgb behind = Rgb::Zero();
  int taken = 0;
  for (int i = std::max(0, start - clear - 2); i <= start - clear; ++i, ++taken)
    behind += c[static_cast<std::size_t>(i)];
  behind /= taken;
  const Rgb across = behind - board;
  const double contrast = across.norm();
  if (contrast < kLeastContrast) return std::nullopt;
  const auto share = [&](int i) {
    return (c[static_cast<std::size_t>(i)] - board).dot(across) / (contrast * contrast);
  };
  // Between the two only mixtures of them: else a third colour of the sheet lies there, and where
  // the rim is cannot be told.
  for (int i = start - clear; i <= start; ++i) {
    constexpr double kStray = 0.06, kNoise = 0.015;
    const Rgb off = c[static_cast<std::size_t>(i)] - board - share(i) * across;
    const double beyond = std::max({0.0, share(i) - 1.1, -0.08 - share(i)}) * contrast;
    if (std::hypot(off.norm(), beyond) > kStray * contrast + kNoise) return std::nullopt;
  }
  for (int i = start - clear; i + 1 < n; ++i) {
    const double a = share(i), b = share(i + 1);
    if (a >= 0.5 && b < 0.5) {
      const double at = i + (a - 0.5) / (a - b);
      return RimCrossing{profile.first_mm - at * profile.step_mm, contrast};
    }
  }
  return std::nullopt;
}

std::vector<Rgb> BoardColours(const std::vector<RimProfile>& profiles, double inside_from_mm) {
  const int n = static_cast<int>(profiles.size());
  std::vector<Rgb> own, out;
  for (const RimProfile& profile : profiles) {
    std::vector<Rgb> inner;
    for (std::size_t i = 0; i < profile.colours.size(); ++i) {
      if (profile.first_mm - static_cast<double>(i) * profile.step_mm < -inside_from_mm)
        inner.push_back(profile.colours[i]);
    }
    own.push_back(MedianColour(inner));
  }
  const int reach = std::max(3, n / 8);
  for (int i = 0; i < n; ++i) {
    std::vector<Rgb> around(own.begin() + std::max(0, i - reach),
                            own.begin() + std::min(n, i + reach + 1));
    out.push_back(MedianColour(around));
  }
  return out;
}

}  // namespace lieflat::internal
