#include "lieflat/joints/at_parts.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lieflat/board/polygon.h"
#include "lieflat/joints/strain.h"

namespace lieflat {
namespace {

/// A grid over a rectangle, its border included.
std::vector<Eigen::Vector2d> GridOver(const Eigen::Vector2d& low,
                                      const Eigen::Vector2d& high,
                                      int count) {
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i < count; ++i) {
    for (int j = 0; j < count; ++j) {
      const Eigen::Vector2d share(i / (count - 1.0), j / (count - 1.0));
      points.emplace_back(low + share.cwiseProduct(high - low));
    }
  }
  return points;
}

/// The third of the board's box that a region names, as lower left and upper right.
std::pair<Eigen::Vector2d, Eigen::Vector2d> RegionBox(const Board& board,
                                                      const std::string& region) {
  const auto [low, high] = board.Box();
  const auto has = [&](const char* word) { return region.find(word) != std::string::npos; };
  const int column = has("left") ? 0 : has("right") ? 2 : 1;
  const int row = has("bottom") ? 0 : has("top") ? 2 : 1;
  const Eigen::Vector2d third = (high - low) / 3.0;
  const Eigen::Vector2d corner = low + third.cwiseProduct(Eigen::Vector2d(column, row));
  return {corner, corner + third};
}

/// Corners and edge middles of the grown footprint.
std::vector<Eigen::Vector2d> RoundPart(const Part& part, double margin_mm) {
  std::vector<Eigen::Vector2d> points;
  const auto corners = part.Footprint(margin_mm);
  for (std::size_t i = 0; i < 4; ++i) {
    points.push_back(corners[i]);
    points.emplace_back(0.5 * (corners[i] + corners[(i + 1) % 4]));
  }
  return points;
}

/// Parts without a place that share region, side and kind share their gauge.
bool SameGauge(const Part& a, const Part& b, const PartClass& kind_a, const PartClass& kind_b) {
  return !a.has_place() && !b.has_place() && a.region == b.region && a.side == b.side &&
         kind_a.area_array == kind_b.area_array && kind_a.chip == kind_b.chip &&
         (!kind_a.area_array || a.rotation_deg == b.rotation_deg);
}

std::size_t Nearest(const std::vector<JointLoad>& joints, const Eigen::Vector2d& at_mm) {
  const auto nearest =
      std::min_element(joints.begin(), joints.end(), [&](const JointLoad& a, const JointLoad& b) {
        return (a.at_mm - at_mm).squaredNorm() < (b.at_mm - at_mm).squaredNorm();
      });
  return static_cast<std::size_t>(nearest - joints.begin());
}

}  // namespace

StrainMetric::StrainMetric(const Part& part, const PartClass& kind, const Calib& calib)
    : area_array_(kind.area_array),
      chip_(kind.chip),
      compression_share_(calib.Number("part_classes", "/factors/compression_share_chip").value) {
  const double angle = part.rotation_deg * std::numbers::pi / 180.0 + 0.25 * std::numbers::pi;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  diagonal_ << c * c, s * s, 2.0 * s * c;
}

double StrainMetric::Diagonal(const Eigen::Vector3d& strain) const {
  return DiagonalStrain(strain.x(), diagonal_.dot(strain), strain.y());
}

double StrainMetric::Of(const Eigen::Vector3d& strain) const {
  if (chip_) {
    const auto [first, second] = Principal(strain);
    const double tension = std::max(first, 0.0);
    const double compression = compression_share_ * std::min(second, 0.0);
    return tension >= -compression ? tension : compression;
  }
  const double largest = LargestPrincipal(strain);
  if (!area_array_) return largest;
  return std::copysign(std::max(std::abs(largest), Diagonal(strain)), largest);
}

std::vector<Eigen::Vector2d> PlacesAtPart(const Board& board,
                                          const Part& part,
                                          const Calib& calib) {
  const auto number = [&](const char* pointer) {
    return calib.Number("part_classes", pointer).value;
  };
  std::vector<Eigen::Vector2d> points;
  Eigen::Vector2d middle = AreaCentre(board);
  if (part.has_place()) {
    points = RoundPart(part, number("/gauge_offset_mm"));
    middle = *part.centre_mm;
  } else if (!part.region.empty()) {
    const auto [low, high] = RegionBox(board, part.region);
    points = GridOver(low, high, static_cast<int>(number("/region_grid")));
    middle = 0.5 * (low + high);
  } else {
    const auto [low, high] = board.Box();
    points = GridOver(low, high, static_cast<int>(number("/board_grid")));
  }
  std::erase_if(points, [&](const Eigen::Vector2d& point) { return !OnBoard(board, point); });
  if (points.empty()) points.push_back(middle);  // a part over a cut-out, a region cut away
  return points;
}

PartGauge::PartGauge(const Board& board,
                     const Part& part,
                     const PartClass& kind,
                     const Calib& calib)
    : metric(part, kind, calib), side(part.side), places(PlacesAtPart(board, part, calib)) {}

StrainAtPart PartGauge::Worst(const Eigen::Ref<const Eigen::VectorXd>& strains) const {
  StrainAtPart worst;
  worst.at_mm = places.front();
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Eigen::Vector3d strain = strains.segment<3>(3 * static_cast<Eigen::Index>(i));
    const double counts = metric.Of(strain);
    if (std::abs(counts) > std::abs(worst.strain)) {
      worst.strain = counts;
      worst.at_mm = places[i];
    }
    worst.diagonal = std::max(worst.diagonal, metric.Diagonal(strain));
    const double principal = LargestPrincipal(strain);
    if (std::abs(principal) > std::abs(worst.largest_principal))
      worst.largest_principal = principal;
  }
  return worst;
}

PartReadout::PartReadout(const Board& board, const Calib& calib, const Plate& plate)
    : thickness_mm_(plate.model().board.thickness_mm) {
  std::vector<PartClass> kinds;
  for (const Part& part : board.parts) kinds.push_back(ClassOf(part, calib));
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    std::size_t same = 0;
    while (same < i && !SameGauge(board.parts[same], board.parts[i], kinds[same], kinds[i])) ++same;
    if (same < i) {
      gauge_of_.push_back(gauge_of_[same]);
      continue;
    }
    gauge_of_.push_back(gauges_.size());
    gauges_.emplace_back(board, board.parts[i], kinds[i], calib);
    gauge_first_.push_back(size_);
    size_ += gauges_.back().size();
  }
  stiffening_.resize(board.parts.size());
  const auto& stiffeners = plate.model().stiffeners;
  for (std::size_t k = 0; k < stiffeners.size(); ++k) {
    const auto part =
        std::find_if(board.parts.begin(), board.parts.end(), [&](const Part& candidate) {
          return candidate.ref == stiffeners[k].ref;
        });
    LIEFLAT_CHECK(part != board.parts.end(), "a plate of another board: " + stiffeners[k].ref);
    const auto i = static_cast<std::size_t>(part - board.parts.begin());
    stiffening_[i].emplace();
    stiffening_[i]->stiffener = static_cast<int>(k);
    AddJoints(i, plate, calib);
  }
  ++size_;  // the force of the top plate
}

void PartReadout::AddJoints(std::size_t part, const Plate& plate, const Calib& calib) {
  Stiffening& own = *stiffening_[part];
  const PlateModel& model = plate.model();
  const Stiffener& stiffener = model.stiffeners[static_cast<std::size_t>(own.stiffener)];
  PlateSolution nothing;
  nothing.displacement = Eigen::VectorXd::Zero(plate.unknowns());
  const std::vector<JointLoad> joints = plate.Joints(nothing, own.stiffener);
  own.area = stiffener.layout == JointLayout::kArea;
  own.first = size_;
  if (joints.empty()) return;
  if (own.area) {
    const double across = std::sqrt(model.board.modulus_x_mpa * model.board.modulus_y_mpa);
    const auto bending = [](double modulus, double thickness) {
      return modulus * thickness * thickness * thickness / 12.0;
    };
    own.beams = {bending(across, model.board.thickness_mm),
                 bending(stiffener.ply.modulus_x_mpa, stiffener.ply.thickness_mm),
                 stiffener.axial_n_per_mm,
                 stiffener.pitch_mm};
    const auto corner_n = [&](double board, double joint) {
      JoinedBeams beams = own.beams;
      beams.board_n_mm *= board;
      beams.joint_axial_n_per_mm *= joint;
      return BendJoinedBeams(beams, 1.0, calib).corner_joint_n;
    };
    constexpr double kStep = 1.01;
    own.corner_n_per_bend = corner_n(1.0, 1.0);
    own.by_board = std::log(corner_n(kStep, 1.0) / own.corner_n_per_bend) / std::log(kStep);
    own.by_joint = std::log(corner_n(1.0, kStep) / own.corner_n_per_bend) / std::log(kStep);
    for (const Eigen::Vector2d& corner :
         {stiffener.low_mm,
          Eigen::Vector2d(stiffener.high_mm.x(), stiffener.low_mm.y()),
          stiffener.high_mm,
          Eigen::Vector2d(stiffener.low_mm.x(), stiffener.high_mm.y())}) {
      const JointLoad& joint = joints[Nearest(joints, corner)];
      own.joints.push_back({joint.at_mm, joint.joints});
    }
  } else {
    for (const JointLoad& joint : joints) own.joints.push_back({joint.at_mm, joint.joints});
  }
  size_ += 3 * static_cast<Eigen::Index>(own.joints.size());
}

PartReadout::Match PartReadout::MatchTo(const Plate& plate, const PlateSolution& any) const {
  Match match(stiffening_.size());
  for (std::size_t i = 0; i < stiffening_.size(); ++i) {
    if (!stiffening_[i] || stiffening_[i]->joints.empty()) continue;
    const std::vector<JointLoad> joints = plate.Joints(any, stiffening_[i]->stiffener);
    if (joints.empty()) continue;  // too coarse to hold the part: read as unloaded
    for (const ReadJoint& joint : stiffening_[i]->joints)
      match[i].push_back(Nearest(joints, joint.at_mm));
  }
  return match;
}

Eigen::VectorXd PartReadout::Read(const Plate& plate,
                                  const PlateSolution& solution,
                                  const Match& match) const {
  Eigen::VectorXd figures(size_);
  for (std::size_t g = 0; g < gauges_.size(); ++g) {
    Eigen::Index at = gauge_first_[g];
    for (const Eigen::Vector2d& place : gauges_[g].places) {
      figures.segment<3>(at) = plate.Strain(solution, place, gauges_[g].side);
      at += 3;
    }
  }
  for (std::size_t i = 0; i < stiffening_.size(); ++i) {
    if (!stiffening_[i]) continue;
    const std::vector<JointLoad> joints = plate.Joints(solution, stiffening_[i]->stiffener);
    Eigen::Index at = stiffening_[i]->first;
    figures.segment(at, 3 * static_cast<Eigen::Index>(stiffening_[i]->joints.size())).setZero();
    for (const std::size_t k : match[i]) {
      figures.segment<3>(at) << joints[k].axial_n, joints[k].shear_x_n, joints[k].shear_y_n;
      at += 3;
    }
  }
  figures(size_ - 1) = solution.plate_force_n;
  return figures;
}

StrainAtPart PartReadout::Strain(std::size_t part, const Eigen::VectorXd& figures) const {
  const std::size_t g = gauge_of_[part];
  return gauges_[g].Worst(figures.segment(gauge_first_[g], gauges_[g].size()));
}

std::optional<JointsAtPart> PartReadout::Joints(std::size_t part,
                                                const Eigen::VectorXd& figures,
                                                const PlateFactors& factors) const {
  const auto& own = stiffening_[part];
  if (!own || own->joints.empty()) return std::nullopt;
  JointsAtPart joints;
  for (std::size_t k = 0; k < own->joints.size(); ++k) {
    const Eigen::Vector3d load = figures.segment<3>(own->first + 3 * static_cast<Eigen::Index>(k));
    joints.shear_n = std::max(joints.shear_n, load.tail<2>().norm());
    const ReadJoint& at = own->joints[k];
    if (own->area) joints.corners.push_back({at.at_mm, load.x() * at.joints, at.joints});
    if (!own->area && std::abs(load.x()) > std::abs(joints.axial_n)) joints.axial_n = load.x();
  }
  if (own->area) {
    const double bend =
        2.0 * Strain(part, figures).largest_principal / (thickness_mm_ * factors.thickness);
    const double board = factors.modulus * std::pow(factors.thickness, 3);
    joints.axial_n = own->corner_n_per_bend * bend * std::pow(board, own->by_board) *
                     std::pow(factors.joint, own->by_joint);
  }
  return joints;
}

std::optional<JoinedBeams> PartReadout::Beams(std::size_t part) const {
  const auto& own = stiffening_[part];
  if (!own || !own->area) return std::nullopt;
  return own->beams;
}

}  // namespace lieflat
