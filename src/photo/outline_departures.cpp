// Nicks and chips: where an edge departs from the straight line through its sound part.

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/statistics.h"
#include "lieflat/photo/picture_measures.h"

#include "photo/edge_profile.h"
#include "photo/homography.h"
#include "photo/order_statistics.h"
#include "photo/sheet_pattern.h"

namespace lieflat {
namespace {

using internal::RimProfile;

constexpr double kOutsideMm = 4.0, kInsideMm = 7.0, kFromCornerMm = 1.0, kEveryMm = 0.1;

/// What was found of an edge: place along it and rim over the described edge, where told.
struct Rim {
  std::vector<double> along;
  std::vector<std::optional<double>> over;
};

/// The described edge in the face's frame.
struct Line {
  Eigen::Vector2d start, along, out;
  double length = 0.0;
};

Line LineOf(const Board& board, Edge edge) {
  const Eigen::Vector2d start = board.EdgeStart(edge);
  const double length = board.EdgeLength(edge);
  const Eigen::Vector2d along = (board.EdgeEnd(edge) - start) / length;
  return {start, along, {along.y(), -along.x()}, length};
}

Rim LookAlong(const BoardPicture& picture,
              const Line& line,
              const internal::SheetPattern& pattern) {
  const internal::Colours3 colour(picture.picture);
  std::vector<RimProfile> profiles;
  Rim rim;
  for (double s = kFromCornerMm; s <= line.length - kFromCornerMm; s += kEveryMm) {
    RimProfile profile;
    profile.first_mm = kOutsideMm;
    for (double t = kOutsideMm; t >= -kInsideMm; t -= profile.step_mm) {
      const Eigen::Vector2d px = picture.ToPx(line.start + s * line.along + t * line.out);
      if (!colour.Inside(px, 1.0)) break;
      profile.colours.push_back(colour(px));
    }
    profiles.push_back(std::move(profile));
    rim.along.push_back(s);
  }
  const auto board = internal::BoardColours(profiles, 2.0);
  const double reach = internal::RimReach(picture.blur_mm);
  const auto Plain = [&](double s, double over) {
    const Eigen::Vector2d beside = line.start + s * line.along + (over + 0.5 * reach) * line.out;
    return pattern.Plain(internal::Map(picture.sheet_of_face, beside), reach);
  };
  for (std::size_t i = 0; i < profiles.size(); ++i) {
    const auto found = internal::FindRim(profiles[i], board[i], picture.blur_mm);
    // What seems to stand far out is the sheet's own pattern, as dark as the board.
    constexpr double kFarOut = 1.0;
    if (found && found->outside_mm < kFarOut && Plain(rim.along[i], found->outside_mm)) {
      rim.over.emplace_back(found->outside_mm);
    } else {
      rim.over.emplace_back(std::nullopt);
    }
  }
  return rim;
}

/// The straight line through the sound part: a + b s, Tukey weights; its scatter.
struct Sound {
  double a = 0.0, b = 0.0, scatter = 0.0;
  [[nodiscard]] double operator()(double s) const { return a + b * s; }
};

Sound FitSound(const Rim& rim) {
  Sound sound;
  std::vector<double> all;
  for (const auto& one : rim.over)
    if (one) all.push_back(*one);
  sound.a = internal::Median(all);
  for (int pass = 0; pass < 12; ++pass) {
    std::vector<double> off;
    for (std::size_t i = 0; i < rim.along.size(); ++i)
      if (rim.over[i]) off.push_back(std::abs(*rim.over[i] - sound(rim.along[i])));
    sound.scatter = std::max(0.01, 1.4826 * internal::Median(off));
    Eigen::Matrix2d normal = 1e-9 * Eigen::Matrix2d::Identity();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    for (std::size_t i = 0; i < rim.along.size(); ++i) {
      if (!rim.over[i]) continue;
      const double e = (*rim.over[i] - sound(rim.along[i])) / (4.0 * sound.scatter);
      if (std::abs(e) >= 1.0) continue;
      const double w = std::pow(1.0 - e * e, 2);
      const Eigen::Vector2d row(1.0, rim.along[i]);
      normal += w * row * row.transpose();
      right += w * *rim.over[i] * row;
    }
    const Eigen::Vector2d x = normal.ldlt().solve(right);
    sound.a = x[0];
    sound.b = x[1];
  }
  return sound;
}

/// Median over five neighbours that are told; nothing where fewer than three are.
std::vector<std::optional<double>> Off(const Rim& rim, const Sound& sound) {
  const int n = static_cast<int>(rim.along.size());
  std::vector<std::optional<double>> out(rim.along.size());
  for (int i = 0; i < n; ++i) {
    std::vector<double> near;
    for (int k = std::max(0, i - 2); k <= std::min(n - 1, i + 2); ++k) {
      const auto at = static_cast<std::size_t>(k);
      if (rim.over[at]) near.push_back(*rim.over[at] - sound(rim.along[at]));
    }
    constexpr std::size_t kEnough = 3;
    if (near.size() >= kEnough) out[static_cast<std::size_t>(i)] = internal::Median(near);
  }
  return out;
}

/// A departure as first, deepest and last of the places told, and how far it is to the next one
/// told where it is cut off.
struct Run {
  std::size_t first = 0, deepest = 0, last = 0;
  double gap_before_mm = 0.0, gap_after_mm = 0.0;
  bool cut_deep = false;  ///< nearly as deep as anywhere where a stretch begins that is not told
};

class Runs {
 public:
  Runs(const Rim& rim, const std::vector<std::optional<double>>& off, double limit)
      : rim_(rim), off_(off), limit_(limit) {}

  [[nodiscard]] std::vector<Run> Find() const {
    std::vector<Run> all;
    for (std::size_t i = 0; i < off_.size(); ++i) {
      if (!off_[i] || std::abs(*off_[i]) < limit_) continue;
      const Run run = Around(i);
      constexpr std::size_t kLeastSteps = 3;
      if (run.last - run.first + 1 >= kLeastSteps) all.push_back(run);
      i = run.last;
    }
    return all;
  }

 private:
  [[nodiscard]] bool Departs(std::size_t i, bool inwards) const {
    return std::abs(*off_[i]) >= 0.5 * limit_ && (*off_[i] < 0.0) == inwards;
  }
  /// The next place told from `i` on by `step`; nothing at the edge's end.
  [[nodiscard]] std::optional<std::size_t> Next(std::size_t i, int step) const {
    while (step > 0 ? i + 1 < off_.size() : i > 0) {
      i = step > 0 ? i + 1 : i - 1;
      if (off_[i]) return i;
    }
    return std::nullopt;
  }
  [[nodiscard]] Run Around(std::size_t i) const {
    const bool inwards = *off_[i] < 0.0;
    Run run{i, i, i, 0.0, 0.0, false};
    std::vector<double> beside_gaps;
    for (const int step : {-1, 1}) {
      std::size_t at = i;
      for (;;) {
        if (std::abs(*off_[at]) > std::abs(*off_[run.deepest])) run.deepest = at;
        const auto next = Next(at, step);
        const double gap = !next ? kToTheEnd : std::abs(rim_.along[*next] - rim_.along[at]);
        const bool on = next && Departs(*next, inwards) && gap <= kBridgedMm;
        if (!on && gap > 1.5 * kEveryMm) {
          beside_gaps.push_back(std::abs(*off_[at]));
          (step < 0 ? run.gap_before_mm : run.gap_after_mm) = gap;
        }
        if (!on) break;
        at = *next;
      }
      (step < 0 ? run.first : run.last) = at;
    }
    for (const double depth : beside_gaps)
      run.cut_deep = run.cut_deep || depth > kDeepShare * std::abs(*off_[run.deepest]);
    return run;
  }

  static constexpr double kBridgedMm = 1.6;   // over a line of the pattern that runs into the edge
  static constexpr double kToTheEnd = 1.0;    // beyond the last place the corner's rounding begins
  static constexpr double kDeepShare = 0.85;  // of the deepest place
  const Rim& rim_;
  const std::vector<std::optional<double>>& off_;
  double limit_;
};

double ToldShare(const Rim& rim) {
  const auto told = std::count_if(
      rim.over.begin(), rim.over.end(), [](const auto& one) { return one.has_value(); });
  return static_cast<double>(told) / std::max<double>(1.0, static_cast<double>(rim.over.size()));
}

/// Longer stretches of which nothing is told: first and last place.
std::vector<Eigen::Vector2d> NotTold(const Rim& rim) {
  constexpr std::size_t kLong = 10;
  std::vector<Eigen::Vector2d> stretches;
  const std::size_t n = rim.over.size();
  for (std::size_t i = 0; i < n; ++i) {
    std::size_t j = i;
    while (j < n && !rim.over[j]) ++j;
    if (j - i >= kLong) stretches.emplace_back(rim.along[i], rim.along[j - 1]);
    i = j;
  }
  return stretches;
}

/// How far apart the side wall's two rims look: either may have been taken for the edge.
double WallSeen(const BoardPicture& picture, const Board& board, const Line& line) {
  const double slant =
      (picture.eye_mm.head<2>() - line.start - 0.5 * line.length * line.along).dot(line.out) /
      picture.eye_mm.z();
  return std::max(0.0, slant) * board.thickness_mm.value;
}

/// @param off_mm  at its deepest place.
Departure Describe(const Run& run,
                   double off_mm,
                   const Rim& rim,
                   const Line& line,
                   const BoardPicture& picture,
                   double scatter_mm,
                   double wall_mm) {
  Departure one;
  one.inwards = off_mm < 0.0;
  one.at_least = run.cut_deep;
  one.from_mm = rim.along[run.first] - 0.5 * run.gap_before_mm;
  one.to_mm = rim.along[run.last] + 0.5 * run.gap_after_mm;
  const double depth = std::abs(off_mm);
  const double u = std::sqrt(std::pow(scatter_mm, 2) + std::pow(0.15 * picture.blur_mm, 2) +
                             std::pow(picture.scale_u * depth, 2) + std::pow(0.5 * wall_mm, 2));
  one.depth = {depth, kNormal95 * u};
  const double ends = std::hypot(run.gap_before_mm, run.gap_after_mm);
  one.length = {
      one.to_mm - one.from_mm + kEveryMm,
      std::hypot(kNormal95 * std::hypot(2.0 * kEveryMm, 2.0 * picture.blur_mm), 0.5 * ends)};
  one.deepest_mm = line.start + rim.along[run.deepest] * line.along -
                   depth * (one.inwards ? 1.0 : -1.0) * line.out;
  return one;
}

}  // namespace

Result<EdgeSeen> MeasureEdge(const BoardPicture& picture,
                             const Board& board,
                             Edge edge,
                             const Printed& printed) {
  const MatLayout* const mat = printed.Find(picture.sheet);
  if (mat == nullptr) {
    return Error{ErrorCode::kRefused,
                 "sheet",
                 fmt::format("\"{}\" is no known sheet", picture.sheet),
                 "make the picture again: lieflat picture DIR IMG..."};
  }
  const Line line = LineOf(board, edge);
  const Rim rim = LookAlong(picture, line, internal::SheetPattern(*mat, printed.mat_markers));
  EdgeSeen seen;
  seen.told_share = ToldShare(rim);
  constexpr double kLeastShare = 1.0 / 3.0;
  if (seen.told_share < kLeastShare) {
    return Error{ErrorCode::kNoFigure,
                 std::string("edge ") + Name(edge),
                 fmt::format("{:.0f} % of it is told from the sheet", 100.0 * seen.told_share),
                 "lay white paper under the edge, even light, and make the picture again"};
  }
  seen.not_told_mm = NotTold(rim);
  const Sound sound = FitSound(rim);
  seen.scatter_mm = sound.scatter;
  const auto off = Off(rim, sound);
  const double wall_mm = WallSeen(picture, board, line);
  const double limit = std::max({0.12, 4.0 * sound.scatter, wall_mm});
  for (const Run& run : Runs(rim, off, limit).Find()) {
    seen.departures.push_back(
        Describe(run, *off[run.deepest], rim, line, picture, sound.scatter, wall_mm));
  }
  return seen;
}

}  // namespace lieflat
