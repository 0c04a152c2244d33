#include "plate/mesh.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace lieflat {
namespace {

/// Grid lines nearer to one another than this share of the fine cell are drawn together.
constexpr double kMergeShare = 0.3;
/// A cell may be this much larger than asked for before it is split.
constexpr double kSlack = 1.05;
/// How much of the board's area may fall to slivers that hang on no edge.
constexpr double kLargestLoss = 0.02;

struct Zone {
  double low, high;
};

/// What one direction of the grid must follow.
struct Direction {
  double low, high;
  std::vector<double> lines;
  std::vector<Zone> fine;
};

std::vector<double> Merged(std::vector<double> lines, double low, double high, double nearest) {
  std::sort(lines.begin(), lines.end());
  std::vector<double> kept = {low};
  for (const double line : lines) {
    if (line - kept.back() < nearest || high - line < nearest) continue;
    kept.push_back(line);
  }
  kept.push_back(high);
  return kept;
}

std::vector<double> GridLines(const Direction& direction, double cell, double fine) {
  std::vector<double> lines = direction.lines;
  // Ends of the fine zones are wishes only: they give way to lines that must stand.
  const double nearest = kMergeShare * fine;
  const std::vector<double> fixed = Merged(lines, direction.low, direction.high, nearest);
  for (const Zone& zone : direction.fine) {
    for (const double end : {zone.low, zone.high}) {
      const bool taken = std::any_of(
          fixed.begin(), fixed.end(), [&](double line) { return std::abs(line - end) < fine; });
      if (end > direction.low && end < direction.high && !taken) lines.push_back(end);
    }
  }
  const std::vector<double> coarse = Merged(lines, direction.low, direction.high, nearest);
  std::vector<double> out = {coarse.front()};
  for (std::size_t i = 1; i < coarse.size(); ++i) {
    const double a = coarse[i - 1], b = coarse[i];
    const double middle = 0.5 * (a + b);
    const bool is_fine =
        std::any_of(direction.fine.begin(), direction.fine.end(), [&](const Zone& zone) {
          return middle > zone.low && middle < zone.high;
        });
    const double wanted = kSlack * (is_fine ? fine : cell);
    const int parts = std::max(1, static_cast<int>(std::ceil((b - a) / wanted)));
    for (int k = 1; k <= parts; ++k) out.push_back(a + (b - a) * k / parts);
  }
  return out;
}

Direction Along(const PlateModel& model, int axis) {
  Direction direction{model.outline_mm.front()(axis), model.outline_mm.front()(axis), {}, {}};
  for (const Eigen::Vector2d& p : model.outline_mm) {
    direction.low = std::min(direction.low, p(axis));
    direction.high = std::max(direction.high, p(axis));
    direction.lines.push_back(p(axis));
  }
  for (const Ring& cutout : model.cutouts_mm) {
    for (const Eigen::Vector2d& p : cutout) direction.lines.push_back(p(axis));
  }
  for (const Stiffener& part : model.stiffeners) {
    const double low = part.low_mm(axis), high = part.high_mm(axis);
    direction.lines.push_back(low);
    direction.lines.push_back(high);
    const Eigen::Vector2d size = part.high_mm - part.low_mm;
    // Two rows of pins, half a width apart, across the shorter side.
    if (part.layout == JointLayout::kLine && size(axis) <= size(1 - axis)) {
      direction.lines.push_back(low + 0.25 * (high - low));
      direction.lines.push_back(high - 0.25 * (high - low));
    }
    direction.fine.push_back({low - 2.0 * model.fine_mm, high + 2.0 * model.fine_mm});
  }
  const std::vector<double>& more = axis == 0 ? model.lines_x_mm : model.lines_y_mm;
  direction.lines.insert(direction.lines.end(), more.begin(), more.end());
  return direction;
}

/// Those of the cells that hang together by edges; the largest group.
std::vector<int> LargestPiece(const Mesh& mesh, const std::vector<int>& cells) {
  std::vector<int> group(static_cast<std::size_t>(mesh.columns() * mesh.rows()), -2);
  for (const int cell : cells) group[static_cast<std::size_t>(cell)] = -1;
  std::vector<double> area;
  for (const int seed : cells) {
    if (group[static_cast<std::size_t>(seed)] >= 0) continue;
    const int number = static_cast<int>(area.size());
    area.push_back(0.0);
    std::vector<int> open = {seed};
    group[static_cast<std::size_t>(seed)] = number;
    while (!open.empty()) {
      const int cell = open.back();
      open.pop_back();
      area.back() += mesh.Width(cell) * mesh.Depth(cell);
      const int i = cell % mesh.columns(), j = cell / mesh.columns();
      for (const auto& [di, dj] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
        if (i + di < 0 || i + di >= mesh.columns() || j + dj < 0 || j + dj >= mesh.rows()) continue;
        const int next = mesh.Cell(i + di, j + dj);
        if (group[static_cast<std::size_t>(next)] != -1) continue;
        group[static_cast<std::size_t>(next)] = number;
        open.push_back(next);
      }
    }
  }
  const auto largest = std::max_element(area.begin(), area.end());
  std::vector<int> kept;
  for (const int cell : cells) {
    if (group[static_cast<std::size_t>(cell)] == largest - area.begin()) kept.push_back(cell);
  }
  return kept;
}

double AreaOf(const Mesh& mesh, const std::vector<int>& cells) {
  double area = 0.0;
  for (const int cell : cells) area += mesh.Width(cell) * mesh.Depth(cell);
  return area;
}

/// Whether the joints hold the part against turning: they must not stand on one line.
bool HoldFast(const Mesh& mesh, const std::vector<std::pair<int, double>>& joints) {
  Eigen::Vector2d low = mesh.At(joints.front().first), high = low;
  for (const auto& [point, count] : joints) {
    low = low.cwiseMin(mesh.At(point));
    high = high.cwiseMax(mesh.At(point));
  }
  return (high - low).minCoeff() > 0.0;
}

void NumberNodes(Mesh& mesh, Layer& layer, int number) {
  layer.node_at.assign(static_cast<std::size_t>(mesh.grid_points()), -1);
  for (const int cell : layer.cells) {
    for (const int point : mesh.PointsOf(cell)) {
      int& node = layer.node_at[static_cast<std::size_t>(point)];
      if (node >= 0) continue;
      node = mesh.nodes++;
      mesh.point_of.push_back(point);
      mesh.layer_of.push_back(number);
    }
  }
}

/// How many physical joints each grid point of a layer stands for.
class JointCount {
 public:
  JointCount(const Mesh& mesh, const Layer& layer, const Stiffener& part)
      : mesh_(mesh),
        layer_(layer),
        part_(part),
        size_(part.high_mm - part.low_mm),
        count_(static_cast<std::size_t>(mesh.grid_points()), 0.0) {}

  [[nodiscard]] std::vector<std::pair<int, double>> Run() {
    for (const int cell : layer_.cells) AddCell(cell);
    std::vector<std::pair<int, double>> joints;
    for (std::size_t p = 0; p < count_.size(); ++p) {
      if (count_[p] > 0.0) joints.emplace_back(static_cast<int>(p), count_[p]);
    }
    return joints;
  }

 private:
  void AddCell(int cell) {
    if (part_.layout == JointLayout::kArea) {
      AddArea(cell);
    } else if (part_.layout == JointLayout::kLine) {
      AddLines(cell);
    } else {
      AddSides(cell);
    }
  }

  void AddArea(int cell) {
    const double a = mesh_.Width(cell), b = mesh_.Depth(cell);
    for (const int p : mesh_.PointsOf(cell))
      count_[static_cast<std::size_t>(p)] += 0.25 * a * b / (part_.pitch_mm * part_.pitch_mm);
  }

  /// Two lines along the length, at the quarters of the width.
  void AddLines(int cell) {
    const double low = IsLongX() ? part_.low_mm.y() : part_.low_mm.x(),
                 wide = IsLongX() ? size_.y() : size_.x();
    for (const double wanted : {low + 0.25 * wide, low + 0.75 * wide}) {
      if (IsLongX())
        AddRow(cell, wanted);
      else
        AddColumn(cell, wanted);
    }
  }

  void AddSides(int cell) {
    if (IsLongX() || part_.layout == JointLayout::kPerimeter) {
      AddRow(cell, part_.low_mm.y());
      AddRow(cell, part_.high_mm.y());
    }
    if (!IsLongX() || part_.layout == JointLayout::kPerimeter) {
      AddColumn(cell, part_.low_mm.x());
      AddColumn(cell, part_.high_mm.x());
    }
  }

  /// Joints along x at this y: on the cell's lower side; on its upper one too where no cell
  /// follows.
  void AddRow(int cell, double wanted) {
    const auto points = mesh_.PointsOf(cell);
    const double lower = mesh_.At(points[0]).y(), upper = mesh_.At(points[2]).y();
    if (IsOnLine(lower, wanted, mesh_.y)) AddSide(points[0], points[1], mesh_.Width(cell));
    if (!HasCell(cell + mesh_.columns()) && IsOnLine(upper, wanted, mesh_.y))
      AddSide(points[3], points[2], mesh_.Width(cell));
  }

  void AddColumn(int cell, double wanted) {
    const auto points = mesh_.PointsOf(cell);
    const double left = mesh_.At(points[0]).x(), right = mesh_.At(points[2]).x();
    if (IsOnLine(left, wanted, mesh_.x)) AddSide(points[0], points[3], mesh_.Depth(cell));
    const bool last = (cell + 1) % mesh_.columns() == 0 || !HasCell(cell + 1);
    if (last && IsOnLine(right, wanted, mesh_.x)) AddSide(points[1], points[2], mesh_.Depth(cell));
  }

  void AddSide(int p, int q, double length) {
    count_[static_cast<std::size_t>(p)] += 0.5 * length / part_.pitch_mm;
    count_[static_cast<std::size_t>(q)] += 0.5 * length / part_.pitch_mm;
  }

  [[nodiscard]] bool IsLongX() const { return size_.x() >= size_.y(); }
  [[nodiscard]] bool HasCell(int cell) const {
    return std::binary_search(layer_.cells.begin(), layer_.cells.end(), cell);
  }
  /// Lines of the grid that carry joints: those next to the wanted place.
  [[nodiscard]] static bool IsOnLine(double value,
                                     double wanted,
                                     const std::vector<double>& lines) {
    const auto nearest = std::min_element(lines.begin(), lines.end(), [&](double a, double b) {
      return std::abs(a - wanted) < std::abs(b - wanted);
    });
    return value == *nearest;
  }

  const Mesh& mesh_;
  const Layer& layer_;
  const Stiffener& part_;
  const Eigen::Vector2d size_;
  std::vector<double> count_;
};

void AddStiffener(Mesh& mesh, const Stiffener& part, int number) {
  Layer layer;
  layer.stiffener = number;
  layer.ply = part.ply;
  layer.side = part.side == Side::kComponent ? 1.0 : -1.0;
  for (const int cell : mesh.layers.front().cells) {
    const Eigen::Vector2d middle =
        0.5 * (mesh.At(mesh.PointsOf(cell)[0]) + mesh.At(mesh.PointsOf(cell)[2]));
    if ((middle.array() > part.low_mm.array()).all() &&
        (middle.array() < part.high_mm.array()).all())
      layer.cells.push_back(cell);
  }
  if (layer.cells.empty()) return;  // smaller than a cell: it does not stiffen the board
  layer.cells = LargestPiece(mesh, layer.cells);
  const std::vector<std::pair<int, double>> joints = JointCount(mesh, layer, part).Run();
  if (joints.empty() || !HoldFast(mesh, joints)) return;
  const int index = static_cast<int>(mesh.layers.size());
  NumberNodes(mesh, layer, index);
  for (const auto& [point, count] : joints) {
    const auto p = static_cast<std::size_t>(point);
    mesh.springs.push_back({mesh.layers.front().node_at[p], layer.node_at[p], index, point, count});
  }
  mesh.layers.push_back(std::move(layer));
}

}  // namespace

std::array<int, 4> Mesh::PointsOf(int cell) const {
  const int i = cell % columns(), j = cell / columns();
  return {Point(i, j), Point(i + 1, j), Point(i + 1, j + 1), Point(i, j + 1)};
}

std::array<int, 4> Mesh::NodesOf(const Layer& layer, int cell) const {
  std::array<int, 4> corners = PointsOf(cell);
  for (int& corner : corners) corner = layer.node_at[static_cast<std::size_t>(corner)];
  return corners;
}

Spot Mesh::Find(const Layer& layer, const Eigen::Vector2d& at_mm) const {
  const auto place = [](const std::vector<double>& lines, double at) {
    const auto next = std::upper_bound(lines.begin() + 1, lines.end() - 1, at);
    return static_cast<int>(next - lines.begin()) - 1;
  };
  const auto spot_in = [&](int cell) {
    const Eigen::Vector2d low = At(PointsOf(cell)[0]);
    return Spot{cell,
                std::clamp((at_mm.x() - low.x()) / Width(cell), 0.0, 1.0),
                std::clamp((at_mm.y() - low.y()) / Depth(cell), 0.0, 1.0)};
  };
  const int guess = Cell(place(x, at_mm.x()), place(y, at_mm.y()));
  if (std::binary_search(layer.cells.begin(), layer.cells.end(), guess)) return spot_in(guess);
  Spot best;
  double nearest = -1.0;
  for (const int cell : layer.cells) {
    const Spot spot = spot_in(cell);
    const Eigen::Vector2d at =
        At(PointsOf(cell)[0]) + Eigen::Vector2d(spot.s * Width(cell), spot.t * Depth(cell));
    const double distance = (at - at_mm).squaredNorm();
    if (nearest < 0.0 || distance < nearest) {
      nearest = distance;
      best = spot;
    }
  }
  return best;
}

Result<Mesh> Mesh::Make(const PlateModel& model) {
  Mesh mesh;
  mesh.x = GridLines(Along(model, 0), model.cell_mm, model.fine_mm);
  mesh.y = GridLines(Along(model, 1), model.cell_mm, model.fine_mm);
  std::vector<int> cells;
  for (int cell = 0; cell < mesh.columns() * mesh.rows(); ++cell) {
    const auto points = mesh.PointsOf(cell);
    const Eigen::Vector2d middle = 0.5 * (mesh.At(points[0]) + mesh.At(points[2]));
    if (Inside(model.outline_mm, middle) &&
        std::none_of(model.cutouts_mm.begin(), model.cutouts_mm.end(), [&](const Ring& cutout) {
          return Inside(cutout, middle);
        }))
      cells.push_back(cell);
  }
  if (cells.empty()) {
    return Error{ErrorCode::kRefused,
                 "outline_mm",
                 fmt::format("the outline holds not one cell of {:.3g} mm", model.cell_mm),
                 "check outline and cut-outs"};
  }
  Layer board;
  board.ply = model.board;
  board.cells = LargestPiece(mesh, cells);
  const double lost = 1.0 - AreaOf(mesh, board.cells) / AreaOf(mesh, cells);
  if (lost > kLargestLoss) {
    return Error{ErrorCode::kRefused,
                 "outline_mm",
                 fmt::format("the board falls apart into pieces at cells of {:.3g} mm: {:.0f} % of "
                             "it hangs on nothing",
                             model.cell_mm,
                             100.0 * lost),
                 "check outline and cut-outs; bridges narrower than a cell do not count"};
  }
  NumberNodes(mesh, board, 0);
  mesh.layers.push_back(std::move(board));
  for (std::size_t k = 0; k < model.stiffeners.size(); ++k)
    AddStiffener(mesh, model.stiffeners[k], static_cast<int>(k));
  return mesh;
}

}  // namespace lieflat
