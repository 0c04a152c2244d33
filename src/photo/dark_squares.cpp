#include "photo/dark_squares.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include <Eigen/Dense>

namespace lieflat::internal {
namespace {

constexpr double kLargeMegapixels = 5.0;
constexpr int kLeastSide = 10;  // of a spot, in pixels searched: two bits a pixel are not enough

struct Plane {
  int width = 0, height = 0;
  std::vector<std::uint8_t> pixels;
};

Plane Halved(const Picture& grey) {
  Plane half{grey.width / 2, grey.height / 2, {}};
  half.pixels.resize(static_cast<std::size_t>(half.width) * static_cast<std::size_t>(half.height));
  std::size_t at = 0;
  for (int y = 0; y < half.height; ++y) {
    const std::uint8_t* upper = grey.Row(2 * y);
    const std::uint8_t* lower = grey.Row(2 * y + 1);
    for (int x = 0; x < half.width; ++x) {
      half.pixels[at++] = static_cast<std::uint8_t>(
          (upper[2 * x] + upper[2 * x + 1] + lower[2 * x] + lower[2 * x + 1] + 2) / 4);
    }
  }
  return half;
}

/// A stretch of dark pixels in one row.
struct Run {
  int y, from, to;  ///< to is the last one
  int label;
};

class Labels {
 public:
  int New() {
    parent_.push_back(static_cast<int>(parent_.size()));
    return parent_.back();
  }
  int Root(int label) {
    while (parent_[Index(label)] != label) {
      parent_[Index(label)] = parent_[Index(parent_[Index(label)])];
      label = parent_[Index(label)];
    }
    return label;
  }
  void Join(int a, int b) {
    a = Root(a);
    b = Root(b);
    if (a != b) parent_[Index(std::max(a, b))] = std::min(a, b);
  }
  [[nodiscard]] std::size_t size() const { return parent_.size(); }

 private:
  static std::size_t Index(int label) { return static_cast<std::size_t>(label); }
  std::vector<int> parent_;
};

/// Runs of pixels darker than 7/8 of the mean of the window around them, by 6 steps at least;
/// touching runs (along rows and columns) share a label.
std::vector<Run> DarkRuns(const Plane& plane, int half_window, Labels& labels) {
  const int w = plane.width, h = plane.height;
  // Sums over columns, then a sliding window along the row: no whole integral image is kept.
  std::vector<int> column(static_cast<std::size_t>(w), 0);
  const auto add = [&](int y, int sign) {
    const std::uint8_t* const row =
        plane.pixels.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(w);
    for (int x = 0; x < w; ++x) column[static_cast<std::size_t>(x)] += sign * row[x];
  };
  for (int y = 0; y < std::min(half_window, h); ++y) add(y, 1);
  std::vector<Run> runs;
  std::size_t above_begin = 0, above_end = 0;
  for (int y = 0; y < h; ++y) {
    if (y + half_window < h) add(y + half_window, 1);
    if (y - half_window - 1 >= 0) add(y - half_window - 1, -1);
    const int rows = std::min(h - 1, y + half_window) - std::max(0, y - half_window) + 1;
    const std::uint8_t* const row =
        plane.pixels.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(w);
    long sum = 0;
    for (int x = 0; x < std::min(half_window, w); ++x) sum += column[static_cast<std::size_t>(x)];
    const std::size_t begin = runs.size();
    std::size_t above = above_begin;
    bool in_run = false;
    for (int x = 0; x < w; ++x) {
      if (x + half_window < w) sum += column[static_cast<std::size_t>(x + half_window)];
      if (x - half_window - 1 >= 0) sum -= column[static_cast<std::size_t>(x - half_window - 1)];
      const int columns = std::min(w - 1, x + half_window) - std::max(0, x - half_window) + 1;
      const long count = static_cast<long>(rows) * columns;
      const long value = row[x];
      const bool dark = value * count * 8 < sum * 7 && (value + 6) * count < sum;
      if (dark && !in_run) runs.push_back({y, x, x, -1});
      if (dark) runs.back().to = x;
      in_run = dark;
    }
    for (std::size_t i = begin; i < runs.size(); ++i) {
      Run& run = runs[i];
      while (above < above_end && runs[above].to < run.from) ++above;
      for (std::size_t j = above; j < above_end && runs[j].from <= run.to; ++j) {
        if (run.label < 0)
          run.label = runs[j].label;
        else
          labels.Join(run.label, runs[j].label);
      }
      if (run.label < 0) run.label = labels.New();
    }
    above_begin = begin;
    above_end = runs.size();
  }
  return runs;
}

struct Spot {
  int left = std::numeric_limits<int>::max(), right = -1;
  int top = std::numeric_limits<int>::max(), bottom = -1;
  long area = 0;
  std::vector<const Run*> runs;
};

/// Points on the outline: the ends of each row and of each column, half a pixel outwards.
std::vector<Eigen::Vector2d> OutlineOf(const Spot& spot) {
  const auto rows = static_cast<std::size_t>(spot.bottom - spot.top + 1);
  const auto columns = static_cast<std::size_t>(spot.right - spot.left + 1);
  constexpr int kNone = std::numeric_limits<int>::max();
  std::vector<int> left(rows, kNone), right(rows, -1), top(columns, kNone), bottom(columns, -1);
  for (const Run* run : spot.runs) {
    const auto y = static_cast<std::size_t>(run->y - spot.top);
    left[y] = std::min(left[y], run->from);
    right[y] = std::max(right[y], run->to);
    for (int x = run->from; x <= run->to; ++x) {
      const auto c = static_cast<std::size_t>(x - spot.left);
      top[c] = std::min(top[c], run->y);
      bottom[c] = std::max(bottom[c], run->y);
    }
  }
  std::vector<Eigen::Vector2d> points;
  points.reserve(2 * (rows + columns));
  for (std::size_t y = 0; y < rows; ++y) {
    const double row = spot.top + static_cast<double>(y);
    points.emplace_back(left[y] - 0.5, row);
    points.emplace_back(right[y] + 0.5, row);
  }
  for (std::size_t x = 0; x < columns; ++x) {
    const double column = spot.left + static_cast<double>(x);
    points.emplace_back(column, top[x] - 0.5);
    points.emplace_back(column, bottom[x] + 0.5);
  }
  return points;
}

double Cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return a.x() * b.y() - a.y() * b.x();
}

/// The outermost points: farthest from the middle, farthest from that, and the two farthest to
/// either side of the line between them.
Quad OutermostPoints(const std::vector<Eigen::Vector2d>& points) {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const auto& p : points) middle += p;
  middle /= static_cast<double>(points.size());
  const auto farthest = [&](const Eigen::Vector2d& from) {
    return *std::max_element(points.begin(), points.end(), [&](const auto& a, const auto& b) {
      return (a - from).squaredNorm() < (b - from).squaredNorm();
    });
  };
  const Eigen::Vector2d first = farthest(middle);
  const Eigen::Vector2d third = farthest(first);
  const Eigen::Vector2d along = third - first;
  Eigen::Vector2d second = first, fourth = first;
  double most = 0.0, least = 0.0;
  for (const auto& p : points) {
    const double side = Cross(along, p - first);
    if (side > most) {
      most = side;
      fourth = p;
    }
    if (side < least) {
      least = side;
      second = p;
    }
  }
  return {first, second, third, fourth};
}

struct LineFit {
  Eigen::Vector2d point = Eigen::Vector2d::Zero(), along = Eigen::Vector2d::Zero();
  int count = 0;
};

LineFit FitLine(const std::vector<Eigen::Vector2d>& points) {
  LineFit line;
  line.count = static_cast<int>(points.size());
  if (points.size() < 3) return line;
  for (const auto& p : points) line.point += p;
  line.point /= static_cast<double>(points.size());
  Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
  for (const auto& p : points) spread += (p - line.point) * (p - line.point).transpose();
  line.along = Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread).eigenvectors().col(1);
  return line;
}

/// Straight sides through the outline's points; false where the outline is no quadrangle.
bool FitSides(const std::vector<Eigen::Vector2d>& points, Quad& quad) {
  std::array<std::vector<Eigen::Vector2d>, 4> sides;
  int near_a_side = 0;
  for (const auto& p : points) {
    double least = std::numeric_limits<double>::max();
    std::size_t which = 0;
    double share = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
      const Eigen::Vector2d along = quad[(i + 1) % 4] - quad[i];
      const double length = along.norm();
      if (length < kLeastSide) return false;
      const double off = std::abs(Cross(along, p - quad[i])) / length;
      if (off < least) {
        least = off;
        which = i;
        share = (p - quad[i]).dot(along) / (length * length);
      }
    }
    const double allowed = 1.5 + 0.02 * (quad[(which + 1) % 4] - quad[which]).norm();
    if (least <= allowed) {
      ++near_a_side;
      if (share > 0.1 && share < 0.9) sides[which].push_back(p);
    }
  }
  if (near_a_side * 100 < static_cast<int>(points.size()) * 88) return false;
  std::array<LineFit, 4> lines;
  for (std::size_t i = 0; i < 4; ++i) {
    lines[i] = FitLine(sides[i]);
    if (lines[i].count < 5) return false;
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const LineFit &a = lines[(i + 3) % 4], &b = lines[i];
    const double sine = Cross(a.along, b.along);
    if (std::abs(sine) < 0.1) return false;
    quad[i] = a.point + a.along * (Cross(b.point - a.point, b.along) / sine);
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d in = quad[(i + 1) % 4] - quad[i],
                          out = quad[(i + 2) % 4] - quad[(i + 1) % 4];
    if (Cross(in, out) <= 0.0 || in.norm() < kLeastSide) return false;
  }
  return true;
}

std::vector<Spot> SpotsOf(const std::vector<Run>& runs, Labels& labels, int largest) {
  std::vector<Spot> all(labels.size());
  for (const Run& run : runs) {
    Spot& spot = all[static_cast<std::size_t>(labels.Root(run.label))];
    spot.left = std::min(spot.left, run.from);
    spot.right = std::max(spot.right, run.to);
    spot.top = std::min(spot.top, run.y);
    spot.bottom = std::max(spot.bottom, run.y);
    spot.area += run.to - run.from + 1;
  }
  const auto wanted = [&](const Spot& spot) {
    const int wide = spot.right - spot.left + 1, high = spot.bottom - spot.top + 1;
    return wide >= kLeastSide && high >= kLeastSide && wide <= largest && high <= largest &&
           spot.area * 5 >= static_cast<long>(wide) * high;
  };
  for (const Run& run : runs) {
    Spot& spot = all[static_cast<std::size_t>(labels.Root(run.label))];
    if (wanted(spot)) spot.runs.push_back(&run);
  }
  std::erase_if(all, [](const Spot& spot) { return spot.runs.empty(); });
  return all;
}

}  // namespace

std::vector<Quad> DarkSquares(const Picture& grey, int windows) {
  const bool halve = 1e-6 * grey.width * grey.height > kLargeMegapixels;
  const Plane plane = halve ? Halved(grey) : Plane{grey.width, grey.height, grey.pixels};
  Labels labels;
  const int longer = std::max(plane.width, plane.height);
  const auto runs = DarkRuns(plane, std::max(8, longer / (2 * windows)), labels);
  std::vector<Quad> quads;
  for (const Spot& spot : SpotsOf(runs, labels, longer / 5)) {
    const auto outline = OutlineOf(spot);
    Quad quad = OutermostPoints(outline);
    if (!FitSides(outline, quad)) continue;
    if (halve) {
      for (auto& corner : quad) corner = 2.0 * corner + Eigen::Vector2d(0.5, 0.5);
    }
    quads.push_back(quad);
  }
  return quads;
}

}  // namespace lieflat::internal
