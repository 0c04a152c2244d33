#pragma once
// What is read off at each part: strain at places just outside its outline, and the loads of its
// joints. One reading serves the bend as found, flattening and every other way of pressing.
//
//   PartGauge    places and the way strain counts for one kind of part -> the worst of them
//   PartReadout  a solved plate -> one vector of figures -> StrainAtPart, JointsAtPart
//
// The vector makes derivatives and samples plain linear algebra: what is largest, principal or
// diagonal is worked out from it last.

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/board/board.h"
#include "lieflat/joints/beams.h"
#include "lieflat/joints/rating.h"
#include "lieflat/plate/solve.h"

namespace lieflat {

/// How one strain tensor counts for one kind of part, signed: the principal strain of largest
/// magnitude; for area arrays at least the diagonal strain; for chips tension in full and
/// compression as a share of it (calib/part_classes.json).
class StrainMetric {
 public:
  StrainMetric(const Part& part, const PartClass& kind, const Calib& calib);
  [[nodiscard]] double Of(const Eigen::Vector3d& strain) const;
  /// Along the package's diagonals, the larger magnitude.
  [[nodiscard]] double Diagonal(const Eigen::Vector3d& strain) const;

 private:
  bool area_array_, chip_;
  double compression_share_;
  Eigen::Vector3d diagonal_;  ///< what a strain adds along the package's diagonal
};

/// How far a draw's numbers are from those of the plate that is read.
struct PlateFactors {
  double modulus = 1.0, thickness = 1.0, joint = 1.0;
};

struct StrainAtPart {
  double strain = 0.0;  ///< as it counts for the part, signed, tension +
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< the worst place
  double diagonal = 0.0;                            ///< largest over the places
  double largest_principal = 0.0;  ///< signed, largest over the places, chips not excused
};

/// Where a part's bend is read: 3 mm outside its outline at corners and edge middles, those that
/// lie on the board; for a part without a place a grid over its region or the board. Never empty.
std::vector<Eigen::Vector2d> PlacesAtPart(const Board& board, const Part& part, const Calib& calib);

struct PartGauge {
  PartGauge(const Board& board, const Part& part, const PartClass& kind, const Calib& calib);
  /// @param strains  exx, eyy, exy at each place, one place after the other, on the part's face.
  [[nodiscard]] StrainAtPart Worst(const Eigen::Ref<const Eigen::VectorXd>& strains) const;
  [[nodiscard]] Eigen::Index size() const { return 3 * static_cast<Eigen::Index>(places.size()); }

  StrainMetric metric;
  Side side;
  std::vector<Eigen::Vector2d> places;
};

/// The joints of a part that stiffens the board.
struct JointsAtPart {
  struct Corner {
    Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
    double axial_n = 0.0;  ///< of the patch, tension +
    double joints = 0.0;   ///< that the patch stands for
  };
  std::vector<Corner> corners;  ///< area arrays: the patches at the four corners
  double axial_n = 0.0;         ///< of the worst single joint, tension +; see PartReadout
  double shear_n = 0.0;         ///< of the worst single joint, a magnitude
};

/// Figures at all parts of a board.
///
/// Joints: every joint of the mesh is read, of area arrays those at the four corners. The axial
/// force of an area array's outermost joint decays within a millimetre or two of the outline, which
/// a mesh of whole boards does not resolve: it is that of joined beams (beams.h), corner factor
/// included, under the bend that the plate shows beside the part; tension where that face is
/// stretched. Forces of corner patches and shear are the mesh's own.
class PartReadout {
 public:
  /// @param plate  of this board; fixes which joints are read.
  PartReadout(const Board& board, const Calib& calib, const Plate& plate);

  /// Which joints of another mesh of the board lie nearest to those that are read.
  using Match = std::vector<std::vector<std::size_t>>;
  [[nodiscard]] Match MatchTo(const Plate& plate, const PlateSolution& any) const;
  /// All figures of one solution, a fixed number of them; the force of the top plate last.
  [[nodiscard]] Eigen::VectorXd Read(const Plate& plate,
                                     const PlateSolution& solution,
                                     const Match& match) const;

  [[nodiscard]] StrainAtPart Strain(std::size_t part, const Eigen::VectorXd& figures) const;
  /// Nothing for a part that does not stiffen the board.
  [[nodiscard]] std::optional<JointsAtPart> Joints(std::size_t part,
                                                   const Eigen::VectorXd& figures,
                                                   const PlateFactors& factors = {}) const;
  [[nodiscard]] double PlateForce(const Eigen::VectorXd& figures) const {
    return figures(figures.size() - 1);
  }
  /// For area arrays that stiffen the board.
  [[nodiscard]] std::optional<JoinedBeams> Beams(std::size_t part) const;

 private:
  struct ReadJoint {
    Eigen::Vector2d at_mm;
    double joints = 0.0;
  };
  struct Stiffening {
    int stiffener = 0;
    bool area = false;
    double corner_n_per_bend = 0.0;  ///< area arrays: of the corner joint, per 1/mm
    /// Its exponents in joint stiffness and in the board's own bending stiffness.
    double by_joint = 0.0, by_board = 0.0;
    JoinedBeams beams;
    std::vector<ReadJoint> joints;
    Eigen::Index first = 0;  ///< of its figures
  };
  void AddJoints(std::size_t part, const Plate& plate, const Calib& calib);

  double thickness_mm_ = 0.0;
  std::vector<PartGauge> gauges_;                      ///< parts without a place share theirs
  std::vector<Eigen::Index> gauge_first_;              ///< of a gauge's figures
  std::vector<std::size_t> gauge_of_;                  ///< by part
  std::vector<std::optional<Stiffening>> stiffening_;  ///< by part
  Eigen::Index size_ = 0;
};

}  // namespace lieflat
