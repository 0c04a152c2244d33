// A scratch between two places: its course, length, width, what it crosses.

#include <algorithm>
#include <cmath>
#include <numeric>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/statistics.h"
#include "lieflat/photo/picture_measures.h"

#include "photo/light_runs.h"
#include "photo/order_statistics.h"
#include "photo/paint.h"
#include "photo/scratch_width.h"

namespace lieflat {

const char* Name(Told told) {
  constexpr const char* kNames[] = {"no", "yes", "not-resolved"};
  return kNames[static_cast<std::size_t>(told)];
}

namespace {

using internal::Median;
using internal::Rgb;
using Values = std::vector<double>;

constexpr double kBeyondMm = 4.0, kAsideMm = 2.5, kStepMm = 0.1;

Values Smoothed(const Values& values, double sigma) {
  const int reach = static_cast<int>(std::ceil(3.0 * sigma)), n = static_cast<int>(values.size());
  Values out(values.size());
  for (int i = 0; i < n; ++i) {
    double sum = 0.0, weight = 0.0;
    for (int k = std::max(-reach, -i); k <= std::min(reach, n - 1 - i); ++k) {
      const double w = std::exp(-0.5 * k * k / (sigma * sigma));
      sum += w * values[static_cast<std::size_t>(i + k)];
      weight += w;
    }
    out[static_cast<std::size_t>(i)] = sum / weight;
  }
  return out;
}

/// To 0.05 mm (Douglas and Peucker, 1973).
std::vector<Eigen::Vector2d> Simplified(const std::vector<Eigen::Vector2d>& line) {
  std::vector<bool> keep(line.size(), false);
  keep.front() = keep.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> open = {{0, line.size() - 1}};
  while (!open.empty()) {
    const auto [a, b] = open.back();
    open.pop_back();
    const Eigen::Vector2d d = line[b] - line[a];
    double most = 0.05;
    std::size_t at = a;
    for (std::size_t i = a + 1; i < b; ++i) {
      const Eigen::Vector2d p = line[i] - line[a];
      const double off = std::abs(d.x() * p.y() - d.y() * p.x()) / std::max(1e-9, d.norm());
      if (off > most) {
        most = off;
        at = i;
      }
    }
    if (at == a) continue;
    keep[at] = true;
    open.emplace_back(a, at);
    open.emplace_back(at, b);
  }
  std::vector<Eigen::Vector2d> out;
  for (std::size_t i = 0; i < line.size(); ++i)
    if (keep[i]) out.push_back(line[i]);
  return out;
}

class Ridge {
 public:
  Ridge(const BoardPicture& picture, const Eigen::Vector2d& from, const Eigen::Vector2d& to)
      : picture_(picture), colour_(picture.picture), from_(from) {
    along_ = (to - from).normalized();
    across_ = {-along_.y(), along_.x()};
    length_ = (to - from).norm();
    columns_ = static_cast<int>((length_ + 2.0 * kBeyondMm) / kStepMm) + 1;
    rows_ = 2 * static_cast<int>(kAsideMm / kStepMm) + 1;
  }

  Result<ScratchSeen> Run() {
    if (!Respond()) {
      return Error{ErrorCode::kBadUse,
                   "--from",
                   "the places lie off the picture",
                   "give places on the board, in mm from corner A"};
    }
    FindPath();
    if (auto ends = FindEnds(); !ends) return ends.error();
    Describe();
    return out_;
  }

 private:
  [[nodiscard]] std::size_t At(int i, int j) const {
    return static_cast<std::size_t>(i * rows_ + j);
  }
  [[nodiscard]] Eigen::Vector2d Place(double i, double t) const {
    return from_ + (i * kStepMm - kBeyondMm) * along_ + t * across_;
  }
  [[nodiscard]] std::optional<Rgb> Colour(double i, double t) const {
    const Eigen::Vector2d px = picture_.ToPx(Place(i, t));
    if (!colour_.Inside(px, 1.0)) return std::nullopt;
    return colour_(px);
  }

  /// Ridge response across the corridor: light over a narrow Gauss less that over a wide one.
  bool Respond() {
    Values light(static_cast<std::size_t>(columns_ * rows_), 0.0);
    bool inside = false;
    for (int i = 0; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) {
        const auto c = Colour(i, j * kStepMm - kAsideMm);
        if (!c) continue;
        inside = true;
        constexpr double kDark = 0.02;
        light[At(i, j)] = ((c->array() + kDark).log()).sum() / 3.0;
      }
    }
    if (!inside) return false;
    response_.assign(light.size(), 0.0);
    const double narrow = std::max(1.0, picture_.blur_mm / kStepMm), wide = narrow + 4.0;
    for (int i = 0; i < columns_; ++i) {
      const Values row(light.begin() + static_cast<std::ptrdiff_t>(At(i, 0)),
                       light.begin() + static_cast<std::ptrdiff_t>(At(i, 0)) + rows_);
      const Values a = Smoothed(row, narrow), b = Smoothed(row, wide);
      for (int j = 0; j < rows_; ++j)
        response_[At(i, j)] = a[static_cast<std::size_t>(j)] - b[static_cast<std::size_t>(j)];
    }
    Values kept = response_;  // along it, over five steps
    for (int i = 2; i + 2 < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) {
        double sum = 0.0;
        for (int k = -2; k <= 2; ++k) sum += kept[At(i + k, j)];
        response_[At(i, j)] = sum / 5.0;
      }
    }
    return true;
  }

  /// The path of most response, bright or dark; where it stands out more.
  void FindPath() {
    const auto [bright, bright_sum] = BestPath(1.0);
    const auto [dark, dark_sum] = BestPath(-1.0);
    out_.brighter = bright_sum >= dark_sum;
    const double sign = out_.brighter ? 1.0 : -1.0;
    const auto& path = out_.brighter ? bright : dark;
    for (int i = 0; i < columns_; ++i) {
      const int j = std::clamp(path[static_cast<std::size_t>(i)], 1, rows_ - 2);
      const double a = sign * response_[At(i, j - 1)], b = sign * response_[At(i, j)],
                   c = sign * response_[At(i, j + 1)];
      const double bend = a - 2.0 * b + c;
      const double off = bend < 0.0 ? std::clamp(0.5 * (a - c) / bend, -0.5, 0.5) : 0.0;
      path_.push_back((j + off) * kStepMm - kAsideMm);
      strength_.push_back(b);
    }
    path_ = Smoothed(path_, 5.0);
  }

  std::pair<std::vector<int>, double> BestPath(double sign) const {
    constexpr double kTurn = 0.02;     // what a step aside costs, in response
    constexpr double kAstray = 0.004;  // and each mm from the straight line
    std::vector<double> best(static_cast<std::size_t>(columns_ * rows_));
    std::vector<int> back(best.size(), 0);
    const auto gain = [&](int i, int j) {
      return sign * response_[At(i, j)] - kAstray * std::abs(j * kStepMm - kAsideMm);
    };
    for (int j = 0; j < rows_; ++j) best[At(0, j)] = gain(0, j);
    for (int i = 1; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) {
        double most = -1e18;
        for (int d = -1; d <= 1; ++d) {
          if (j + d < 0 || j + d >= rows_) continue;
          const double value = best[At(i - 1, j + d)] - kTurn * std::abs(d);
          if (value > most) {
            most = value;
            back[At(i, j)] = d;
          }
        }
        best[At(i, j)] = most + gain(i, j);
      }
    }
    int j = 0;
    for (int k = 1; k < rows_; ++k)
      if (best[At(columns_ - 1, k)] > best[At(columns_ - 1, j)]) j = k;
    std::vector<int> path(static_cast<std::size_t>(columns_));
    const double sum = best[At(columns_ - 1, j)];
    for (int i = columns_ - 1; i >= 0; --i) {
      path[static_cast<std::size_t>(i)] = j;
      if (i > 0) j += back[At(i, j)];
    }
    return {path, sum};
  }

  /// Outwards from the middle to where the response falls under half of what it was before.
  Result<void> FindEnds() {
    const int middle = columns_ / 2;
    const int inner = static_cast<int>(0.3 * length_ / kStepMm);
    Values core(strength_.begin() + middle - inner, strength_.begin() + middle + inner + 1);
    const double typical = Median(core);
    Values rest;
    for (int i = 0; i < columns_; ++i) {
      for (int j = 0; j < rows_; ++j) {
        if (std::abs(j * kStepMm - kAsideMm - path_[static_cast<std::size_t>(i)]) > 1.0)
          rest.push_back(std::abs(response_[At(i, j)]));
      }
    }
    noise_ = std::max(1e-4, 1.4826 * Median(rest));
    constexpr double kStandsOut = 4.0;
    if (typical < kStandsOut * noise_) {
      return Error{ErrorCode::kNoFigure,
                   "the picture",
                   "no line stands out between the two places",
                   "give places nearer to its ends, or a sharper picture"};
    }
    first_ = End(middle, -1);
    last_ = End(middle, 1);
    return {};
  }

  double End(int start, int step) const {
    constexpr int kGap = 8, kBefore = 25;  // steps
    Values before;
    int under = 0;
    double at = start;
    for (int i = start; i > 0 && i < columns_ - 1; i += step) {
      const double here = strength_[static_cast<std::size_t>(i)];
      const auto count = std::min<std::size_t>(before.size(), kBefore);
      const double usual =
          before.size() < 5
              ? here
              : Median(Values(before.end() - static_cast<std::ptrdiff_t>(count), before.end()));
      if (here >= 0.5 * usual) {
        under = 0;
        before.push_back(here);
      } else {
        if (under == 0) {
          const double last = strength_[static_cast<std::size_t>(i - step)];
          at = i - step +
               step * std::clamp((last - 0.5 * usual) / std::max(1e-9, last - here), 0.0, 1.0);
        }
        if (++under >= kGap) return at;
      }
    }
    return under > 0 ? at : (step > 0 ? columns_ - 1 : 0);
  }

  [[nodiscard]] double PathAt(double i) const {
    const int k = std::clamp(static_cast<int>(i), 0, columns_ - 2);
    const double share = std::clamp(i - k, 0.0, 1.0);
    return (1.0 - share) * path_[static_cast<std::size_t>(k)] +
           share * path_[static_cast<std::size_t>(k) + 1];
  }

  void Describe() {
    std::vector<Eigen::Vector2d> course;
    for (double i = first_; i < last_; i += 2.0) course.push_back(Place(i, PathAt(i)));
    course.push_back(Place(last_, PathAt(last_)));
    double length = 0.0;
    for (std::size_t i = 1; i < course.size(); ++i) length += (course[i] - course[i - 1]).norm();
    out_.course_mm = Simplified(course);
    // Each end to a fraction of the blur, the scale's share of the whole.
    const double end_u = 0.05 + 0.4 * picture_.blur_mm;
    out_.length = {length,
                   kNormal95 * std::hypot(std::sqrt(2.0) * end_u, picture_.scale_u * length)};
    MeasureWidth();
    LookBeside();
  }

  /// The mean profile across a stretch, along the colour in which the scratch differs.
  std::optional<internal::AcrossLine> ProfileOf(double from, double to) const {
    constexpr double kReach = 1.4, kFine = 0.05;
    const int n = static_cast<int>(kReach / kFine);
    std::vector<Rgb> sum(static_cast<std::size_t>(2 * n + 1), Rgb::Zero());
    int count = 0;
    for (double i = from; i <= to; i += 1.0, ++count) {
      const double slope = (PathAt(i + 2.0) - PathAt(i - 2.0)) / (4.0 * kStepMm);
      const double lean = 1.0 / std::hypot(1.0, slope);
      for (int k = -n; k <= n; ++k) {
        // Square to the course, not to the straight line.
        const double off = k * kFine;
        const auto c = Colour(i - off * slope * lean / kStepMm, PathAt(i) + off * lean);
        if (!c) return std::nullopt;
        sum[static_cast<std::size_t>(k + n)] += *c;
      }
    }
    if (count < 3) return std::nullopt;
    const auto m = static_cast<std::size_t>(n);
    const Rgb core = (sum[m - 1] + sum[m] + sum[m + 1]) / (3.0 * count);
    Rgb beside = Rgb::Zero();
    for (std::size_t k = 0; k < 8; ++k) beside += (sum[k] + sum[sum.size() - 1 - k]) / 16.0 / count;
    // Grey only: phones keep colour at half the resolution.
    const Rgb grey(0.299, 0.587, 0.114);
    if (std::abs((core - beside).dot(grey)) < 1e-3) return std::nullopt;
    internal::AcrossLine profile;
    for (int k = -n; k <= n; ++k) {
      profile.off_mm.push_back(k * kFine);
      profile.light.push_back((sum[static_cast<std::size_t>(k + n)] / count - beside).dot(grey));
    }
    return profile;
  }

  void MeasureWidth() {
    constexpr double kResampled = 0.58;
    const double sigma = std::hypot(picture_.blur_mm, kResampled * picture_.mm_per_px);
    // Between pixels twice, when painted and when read: 1/6 pixel squared each.
    constexpr double kPiece = 12.0, kFromEnd = 8.0;  // steps of 0.1 mm
    Values widths, sharper, softer;
    const double from = std::min(first_ + kFromEnd, 0.5 * (first_ + last_)),
                 to = std::max(last_ - kFromEnd, 0.5 * (first_ + last_));
    for (double i = from; i + kPiece <= to + 1.0 || widths.empty(); i += kPiece) {
      if (const auto profile = ProfileOf(i, std::min(i + kPiece, last_))) {
        widths.push_back(internal::FitWidth(*profile, sigma));
        sharper.push_back(internal::FitWidth(*profile, 0.85 * sigma));
        softer.push_back(internal::FitWidth(*profile, 1.15 * sigma));
      }
      if (i + kPiece > to) break;
    }
    if (widths.empty()) {
      out_.width = {0.0, 2.0};
      return;
    }
    const double width = Median(widths);
    Values off;
    for (const double w : widths) off.push_back(std::abs(w - width));
    const double scatter =
        1.4826 * Median(off) / std::sqrt(static_cast<double>(widths.size())) * 1.25;
    const double by_blur = 0.5 * std::abs(Median(softer) - Median(sharper));
    const double u = std::sqrt(scatter * scatter + by_blur * by_blur + 0.025 * 0.025);
    out_.width = {width, kNormal95 * u};
  }

  /// Conductors under the coating to both sides, and copper in the scratch. A scratch cuts a row of
  /// conductors at a slant as a rule: each side is counted by itself, and both must agree.
  void LookBeside() {
    const double aside = 0.5 * out_.width.value + 2.0 * picture_.blur_mm + 0.1;
    Values beside[2];
    std::vector<Rgb> core;
    for (double i = first_ + 2.0; i <= last_ - 2.0; i += 1.0) {
      const auto c = Colour(i, PathAt(i));
      if (!c) continue;
      core.push_back(*c);
      for (const int side : {0, 1}) {
        double sum = 0.0;
        for (const double t : {aside, aside + 0.1}) {
          const auto one = Colour(i, PathAt(i) + (side == 0 ? -t : t));
          sum += one ? 0.5 * std::log(one->sum() + 0.02) : 0.0;
        }
        beside[side].push_back(sum);
      }
    }
    if (core.size() < 8) return;
    const auto left = internal::CountLighterRuns(beside[0]),
               right = internal::CountLighterRuns(beside[1]);
    out_.conductors_told =
        left.told == right.told && left.runs == right.runs ? left.told : Told::kNotResolved;
    if (out_.conductors_told == Told::kYes) out_.conductors = left.runs;
    LookForCopper(core);
  }

  void LookForCopper(const std::vector<Rgb>& core) {
    if (out_.width.value < 2.0 * picture_.blur_mm) return;
    const Rgb white = White();
    int copper = 0;
    for (const Rgb& c : core) {
      const Rgb own = c.cwiseQuotient(white);
      // Bare copper sends back about twice as much red as green; laminate and coatings do not.
      constexpr double kRedOverGreen = 1.5, kLight = 0.10;
      copper += own[0] > kRedOverGreen * own[1] && own[1] > own[2] && own[0] > kLight ? 1 : 0;
    }
    constexpr int kEnough = 3;
    out_.copper = copper >= kEnough ? Told::kYes : Told::kNo;
  }

  /// The sheet's paper round the board: what is brightest in the margin.
  [[nodiscard]] Rgb White() const {
    Rgb out(1e-3, 1e-3, 1e-3);
    const Picture& p = picture_.picture;
    Values one[3];
    for (int x = 4; x < p.width - 4; x += 5) {
      for (const int y : {12, p.height - 13}) {
        const Rgb c = colour_(Eigen::Vector2d(x, y));
        for (int k = 0; k < 3; ++k) one[k].push_back(c[k]);
      }
    }
    for (int k = 0; k < 3; ++k) {
      if (one[k].empty()) return Rgb::Ones();
      std::sort(one[k].begin(), one[k].end());
      out[k] = std::max(out[k], one[k][one[k].size() * 9 / 10]);
    }
    return out;
  }

  const BoardPicture& picture_;
  internal::Colours3 colour_;
  Eigen::Vector2d from_, along_, across_;
  double length_ = 0.0, noise_ = 0.0, first_ = 0.0, last_ = 0.0;
  int columns_ = 0, rows_ = 0;
  Values response_, path_, strength_;
  ScratchSeen out_;
};

}  // namespace

Result<ScratchSeen> MeasureScratch(const BoardPicture& picture,
                                   const Eigen::Vector2d& from_mm,
                                   const Eigen::Vector2d& to_mm) {
  constexpr double kLeast = 2.0;
  if ((to_mm - from_mm).norm() < kLeast) {
    return Error{
        ErrorCode::kBadUse, "--to", "the two places lie less than 2 mm apart", "give its two ends"};
  }
  return Ridge(picture, from_mm, to_mm).Run();
}

}  // namespace lieflat
