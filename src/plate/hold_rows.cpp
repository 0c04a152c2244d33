#include "plate/hold_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <Eigen/LU>
#include <fmt/format.h>

#include "plate/level.h"
#include "plate/lower_facet.h"

namespace lieflat {
namespace {

/// A place may lie this far off the board's cells (the grid cuts slanted outlines in steps).
constexpr double kOffBoardMm = 6.0;
constexpr double kBarStepMm = 5.0;

double UpSign(Side up) { return up == Side::kComponent ? 1.0 : -1.0; }

class Builder {
 public:
  Builder(const Mesh& mesh,
          const Stiffness& stiffness,
          const HeightField& field,
          const Eigen::VectorXd& shape,
          const Hold& hold,
          const Progress& progress)
      : mesh_(mesh),
        stiffness_(stiffness),
        field_(field),
        shape_(shape),
        hold_(hold),
        progress_(progress),
        up_(UpSign(hold.up)) {}

  Result<HoldRows> Build() {
    out_.load = Eigen::VectorXd::Zero(mesh_.unknowns());
    if (hold_.own_weight) {
      out_.load += up_ * stiffness_.weight();
      out_.load_n += stiffness_.weight_n();
    }
    if (hold_.table) AddTable();
    for (std::size_t k = 0; k < hold_.rests.size(); ++k) {
      const Hold::Rest& rest = hold_.rests[k];
      if (auto on = OnBoard(rest.at_mm, "rest", k); !on) return on.error();
      AddPoint(rest.at_mm, rest.height_mm, up_, rest.two_sided, Touch::kRest, static_cast<int>(k));
    }
    for (std::size_t k = 0; k < hold_.screws.size(); ++k) {
      const Hold::Screw& screw = hold_.screws[k];
      if (auto on = OnBoard(screw.at_mm, "screw", k); !on) return on.error();
      const double free = up_ * field_(screw.at_mm);
      const double height = free + progress_.travel * (screw.height_mm - free);
      AddPoint(screw.at_mm, height, up_, true, Touch::kScrew, static_cast<int>(k));
    }
    for (std::size_t k = 0; k < hold_.forces.size(); ++k) AddForce(hold_.forces[k]);
    for (std::size_t k = 0; k < hold_.weights.size(); ++k) {
      if (auto added = AddWeight(hold_.weights[k], static_cast<int>(k)); !added)
        return added.error();
    }
    for (std::size_t k = 0; k < hold_.bars.size(); ++k) {
      if (auto added = AddBar(hold_.bars[k], static_cast<int>(k)); !added) return added.error();
    }
    if (hold_.plate) AddPlate(*hold_.plate);
    out_.balance = Eigen::Map<const Eigen::VectorXd>(balance_.data(),
                                                     static_cast<Eigen::Index>(balance_.size()));
    out_.start_q = Eigen::Map<const Eigen::VectorXd>(start_q_.data(),
                                                     static_cast<Eigen::Index>(start_q_.size()));
    if (auto held = Ground(); !held) return held.error();
    return std::move(out_);
  }

 private:
  Result<void> OnBoard(const Eigen::Vector2d& at, const char* what, std::size_t number) const {
    const Spot spot = mesh_.Find(mesh_.layers.front(), at);
    const Eigen::Vector2d nearest =
        mesh_.At(mesh_.PointsOf(spot.cell)[0]) +
        Eigen::Vector2d(spot.s * mesh_.Width(spot.cell), spot.t * mesh_.Depth(spot.cell));
    if ((nearest - at).norm() <= kOffBoardMm) return {};
    return Error{ErrorCode::kRefused,
                 fmt::format("{} {}", what, number + 1),
                 fmt::format("{:.4g},{:.4g} mm is not on the board", at.x(), at.y()),
                 "give a place on the board, in mm from corner A"};
  }

  void Push(ContactRow row, Touch touch, int number, double up_sign) {
    out_.rows.push_back(std::move(row));
    out_.touch.push_back(touch);
    out_.number.push_back(number);
    out_.up_sign.push_back(up_sign);
  }

  /// The board's node over the ground (sign +1) or under a body (sign -1).
  ContactRow NodeRow(int node, double sign) const {
    ContactRow row;
    row.row = {{kUnknownsOfNode * node + kW}, {sign * up_}};
    row.start = sign * up_ * shape_(node);
    row.at_mm = mesh_.At(mesh_.point_of[static_cast<std::size_t>(node)]);
    return row;
  }

  [[nodiscard]] ContactRow PlaceRow(const Eigen::Vector2d& at, double sign) const {
    ContactRow row;
    row.row = stiffness_.DeflectionRow(at);
    for (double& value : row.row.values) value *= sign * up_;
    row.start = sign * up_ * field_(at);
    row.at_mm = at;
    return row;
  }

  [[nodiscard]] std::vector<int> BoardNodes() const {
    std::vector<int> nodes;
    for (int node = 0; node < mesh_.nodes && mesh_.layer_of[static_cast<std::size_t>(node)] == 0;
         ++node)
      nodes.push_back(node);
    return nodes;
  }

  void AddTable() {
    for (const int node : BoardNodes()) Push(NodeRow(node, 1.0), Touch::kTable, 0, 1.0);
  }

  void AddPoint(
      const Eigen::Vector2d& at, double height, double, bool two_sided, Touch touch, int number) {
    ContactRow row = PlaceRow(at, 1.0);
    row.start -= height;
    row.two_sided = two_sided;
    Push(std::move(row), touch, number, 1.0);
  }

  void AddForce(const Hold::Force& force) {
    const SparseRow row = stiffness_.DeflectionRow(force.at_mm);
    for (std::size_t k = 0; k < row.unknowns.size(); ++k)
      out_.load(row.unknowns[k]) += progress_.loads * force.up_n * up_ * row.values[k];
  }

  Result<void> AddWeight(const Hold::Weight& weight, int number) {
    const double force = progress_.loads * weight.force_n;
    const Eigen::VectorXd load = stiffness_.EvenForce(weight.low_mm, weight.high_mm, -up_ * force);
    if (load.isZero(0.0) && force != 0.0) {
      return Error{ErrorCode::kRefused,
                   fmt::format("weight {}", number + 1),
                   fmt::format("its footprint {:.4g},{:.4g} to {:.4g},{:.4g} mm misses the board",
                               weight.low_mm.x(),
                               weight.low_mm.y(),
                               weight.high_mm.x(),
                               weight.high_mm.y()),
                   "place it on the board, in mm from corner A"};
    }
    out_.load_n += force;
    if (!weight.rigid) {
      out_.load += load;
      return {};
    }
    std::vector<ContactRow> rows;
    const Eigen::Vector2d middle = 0.5 * (weight.low_mm + weight.high_mm);
    for (const int node : BoardNodes()) {
      const Eigen::Vector2d at = mesh_.At(mesh_.point_of[static_cast<std::size_t>(node)]);
      constexpr double kEdge = 1e-9;
      if ((at - weight.low_mm).minCoeff() < -kEdge || (weight.high_mm - at).minCoeff() < -kEdge)
        continue;
      rows.push_back(NodeRow(node, -1.0));
    }
    if (rows.size() < 3) {  // smaller than a cell
      out_.load += load;
      return {};
    }
    return AddBody(
        std::move(rows), middle, force, 3, Eigen::Vector2d::UnitX(), Touch::kWeight, number);
  }

  Result<void> AddBar(const Hold::Bar& bar, int number) {
    const Eigen::Vector2d along = bar.to_mm - bar.from_mm;
    const double length = along.norm();
    if (!(length > 0.0)) {
      return Error{ErrorCode::kRefused,
                   fmt::format("bar {}", number + 1),
                   "its two ends are one place",
                   "give two ends"};
    }
    std::vector<ContactRow> rows;
    const int steps = std::max(2, static_cast<int>(std::ceil(length / kBarStepMm)));
    for (int k = 0; k <= steps; ++k) {
      const Eigen::Vector2d at = bar.from_mm + along * k / steps;
      if (auto on = OnBoard(at, "bar", static_cast<std::size_t>(number)); !on) return on.error();
      rows.push_back(PlaceRow(at, -1.0));
    }
    const double force = progress_.loads * bar.load_n;
    out_.load_n += force;
    return AddBody(std::move(rows),
                   0.5 * (bar.from_mm + bar.to_mm),
                   force,
                   2,
                   along / length,
                   Touch::kBar,
                   number);
  }

  void AddPlate(const Hold::TopPlate& plate) {
    std::vector<ContactRow> rows;
    for (const int node : BoardNodes()) rows.push_back(NodeRow(node, -1.0));
    if (plate.gap_mm) {
      double highest = -std::numeric_limits<double>::infinity(), lowest = -highest;
      for (const ContactRow& row : rows) {
        highest = std::max(highest, -row.start);
        lowest = std::min(lowest, -row.start);
      }
      // Comes down from where it touches the board that rests unbent on its lowest points.
      const double from = std::max(*plate.gap_mm, highest - lowest);
      const double height = from + progress_.travel * (*plate.gap_mm - from);
      for (ContactRow& row : rows) {
        row.start += height;
        Push(std::move(row), Touch::kPlate, 0, -1.0);
      }
      return;
    }
    const double force = progress_.loads * plate.load_n;
    out_.load_n += force;
    Eigen::Vector2d middle(0.5 * (mesh_.x.front() + mesh_.x.back()),
                           0.5 * (mesh_.y.front() + mesh_.y.back()));
    (void)AddBody(std::move(rows), middle, force, 3, Eigen::Vector2d::UnitX(), Touch::kPlate, 0);
  }

  /// A rigid body over the board: height and tilts about its load's centre, touching first where
  /// the board stands highest.
  Result<void> AddBody(std::vector<ContactRow> rows,
                       const Eigen::Vector2d& centre,
                       double force,
                       int unknowns,
                       const Eigen::Vector2d& along,
                       Touch touch,
                       int number) {
    const int first = static_cast<int>(balance_.size());
    double size = 0.0;
    for (const ContactRow& row : rows) size = std::max(size, (row.at_mm - centre).norm());
    std::vector<Eigen::Vector2d> at;
    std::vector<double> depth;
    for (ContactRow& row : rows) {
      const Eigen::Vector2d arm = (row.at_mm - centre) / size;
      row.body = first;
      row.body_row = unknowns == 3 ? Eigen::Vector3d(1.0, arm.x(), arm.y())
                                   : Eigen::Vector3d(1.0, arm.dot(along), 0.0);
      at.push_back(unknowns == 3 ? row.at_mm : Eigen::Vector2d(along.dot(row.at_mm), 0.0));
      depth.push_back(
          row.start);  // minus the board's height: the hull's lower side is the board's upper side
    }
    std::vector<int> facet;
    if (unknowns == 3) {
      const auto found = LowerFacet(at, depth, centre);
      if (!found) {
        return Error{ErrorCode::kRefused,
                     touch == Touch::kWeight ? fmt::format("weight {}", number + 1) : "plate",
                     "its centre lies over no part of the board, it would fall off",
                     "move it, or use a smaller one"};
      }
      facet.assign(found->begin(), found->end());
    } else {
      facet = LowerSpan(at, depth, along.dot(centre));
    }
    // The body's plane through its facet.
    Eigen::MatrixXd plane(static_cast<Eigen::Index>(facet.size()), unknowns);
    Eigen::VectorXd level(static_cast<Eigen::Index>(facet.size()));
    for (std::size_t k = 0; k < facet.size(); ++k) {
      const ContactRow& row = rows[static_cast<std::size_t>(facet[k])];
      plane.row(static_cast<Eigen::Index>(k)) = row.body_row.head(unknowns).transpose();
      level(static_cast<Eigen::Index>(k)) = -row.start;
    }
    const Eigen::VectorXd q = plane.fullPivLu().solve(level);
    for (int k = 0; k < unknowns; ++k) {
      balance_.push_back(k == 0 ? force : 0.0);
      start_q_.push_back(q(k));
    }
    for (const int k : facet) out_.first_active.push_back(static_cast<int>(out_.rows.size()) + k);
    for (ContactRow& row : rows) Push(std::move(row), touch, number, -1.0);
    // Where the weight comes down, for the balance of the whole.
    body_loads_.push_back({centre, force});
    return {};
  }

  static std::vector<int> LowerSpan(const std::vector<Eigen::Vector2d>& at,
                                    const std::vector<double>& depth,
                                    double centre) {
    int best_a = 0, best_b = static_cast<int>(at.size()) - 1;
    double best = std::numeric_limits<double>::infinity();
    for (int a = 0; a < static_cast<int>(at.size()); ++a) {
      for (int b = a + 1; b < static_cast<int>(at.size()); ++b) {
        const double xa = at[static_cast<std::size_t>(a)].x(),
                     xb = at[static_cast<std::size_t>(b)].x();
        if ((xa - centre) * (xb - centre) > 0.0) continue;
        const double t = (centre - xa) / (xb - xa);
        const double value =
            (1 - t) * depth[static_cast<std::size_t>(a)] + t * depth[static_cast<std::size_t>(b)];
        if (value < best) {
          best = value;
          best_a = a;
          best_b = b;
        }
      }
    }
    return {best_a, best_b};
  }

  /// Where both plates touch a board without weight first.
  void TouchBothPlates() {
    const int board = static_cast<int>(BoardNodes().size());
    for (const Zone::Touching& touching : NarrowestSpace(mesh_, shape_, hold_.up).touching)
      out_.first_active.push_back(static_cast<int>(touching.point) + (touching.above ? board : 0));
  }

  /// What holds the board from below at the start.
  Result<void> Ground() {
    if (FloatsBetweenPlates(hold_)) {  // rows: the table's by node, then the plate's
      TouchBothPlates();
      return {};
    }
    std::vector<Eigen::Vector2d> at;
    std::vector<double> heights;
    std::vector<int> rows;
    std::vector<int> fixed;
    for (int k = 0; k < static_cast<int>(out_.rows.size()); ++k) {
      const ContactRow& row = out_.rows[static_cast<std::size_t>(k)];
      if (row.two_sided) {
        fixed.push_back(k);
        continue;
      }
      if (row.body >= 0 || out_.up_sign[static_cast<std::size_t>(k)] < 0.0) continue;
      at.push_back(row.at_mm);
      heights.push_back(row.start);
      rows.push_back(k);
    }
    out_.first_active.insert(out_.first_active.end(), fixed.begin(), fixed.end());
    if (fixed.size() >= 3 || (at.empty() && fixed.empty())) return {};
    Eigen::Vector2d moment = Eigen::Vector2d::Zero();
    double down = 0.0;
    for (int node = 0; node < mesh_.nodes; ++node) {
      const auto first = static_cast<Eigen::Index>(kUnknownsOfNode) * node;
      const Eigen::Vector2d here = mesh_.At(mesh_.point_of[static_cast<std::size_t>(node)]);
      const double force = -up_ * out_.load(first + kW);
      down += force;
      moment += force * here -
                up_ * Eigen::Vector2d(out_.load(first + kSlopeX), out_.load(first + kSlopeY));
    }
    for (const auto& [place, force] : body_loads_) {
      down += force;
      moment += force * place;
    }
    Eigen::Vector2d centre = Eigen::Vector2d::Zero();
    if (down > 1e-9 * (1.0 + out_.load.cwiseAbs().sum())) {
      centre = moment / down;
    } else {  // nothing presses it down: it lies where it would lie under a breath of its own
              // weight
      const std::vector<int> nodes = BoardNodes();
      for (const int node : nodes)
        centre += mesh_.At(mesh_.point_of[static_cast<std::size_t>(node)]) /
                  static_cast<double>(nodes.size());
    }
    const auto facet = LowerFacet(at, heights, centre);
    if (!facet) {
      return Error{ErrorCode::kNoFigure,
                   "support",
                   fmt::format("the board would tip: what presses it down acts at {:.1f},{:.1f} "
                               "mm, outside its supports",
                               centre.x(),
                               centre.y()),
                   "set the supports further out, or move the weight"};
    }
    for (const int k : *facet) out_.first_active.push_back(rows[static_cast<std::size_t>(k)]);
    return {};
  }

  const Mesh& mesh_;
  const Stiffness& stiffness_;
  const HeightField& field_;
  const Eigen::VectorXd& shape_;
  const Hold& hold_;
  Progress progress_;
  double up_;
  HoldRows out_;
  std::vector<double> balance_, start_q_;
  std::vector<std::pair<Eigen::Vector2d, double>> body_loads_;
};

}  // namespace

Result<HoldRows> MakeHoldRows(const Mesh& mesh,
                              const Stiffness& stiffness,
                              const HeightField& field,
                              const Eigen::VectorXd& shape,
                              const Hold& hold,
                              const Progress& progress) {
  return Builder(mesh, stiffness, field, shape, hold, progress).Build();
}

}  // namespace lieflat
