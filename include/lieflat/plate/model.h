#pragma once
// A board as a plate: the laminate as one layer, every part and slot that stiffens it as a second
// layer on joint springs, and where its mass sits. Units mm, N, MPa; z towards the component side,
// as in lieflat/board/board.h.

#include <string>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/board/board.h"
#include "lieflat/board/polygon.h"

namespace lieflat {

/// One elastic layer, orthotropic along x and y.
struct Ply {
  double modulus_x_mpa = 0.0, modulus_y_mpa = 0.0;
  double poisson = 0.0;  ///< nu_xy: contraction along y for a pull along x
  double shear_mpa = 0.0;
  double thickness_mm = 0.0;

  static Ply Isotropic(double modulus_mpa, double poisson, double thickness_mm);
  /// N/mm: (Nx, Ny, Nxy) from (exx, eyy, gxy).
  [[nodiscard]] Eigen::Matrix3d Membrane() const;
  /// N mm: moments from (-w,xx, -w,yy, -2 w,xy).
  [[nodiscard]] Eigen::Matrix3d Bending() const;
};

/// Where a part's joints stand under its footprint.
enum class JointLayout {
  kArea,       ///< everywhere, on a square pitch: ball grids, chips' end caps
  kPerimeter,  ///< along all four sides: quad flat packs, chip carriers
  kLongSides,  ///< along the two longer sides: dual in-line, small outline
  kLine,  ///< along the middle of the length: slots, pin headers (two close rows count as one line)
};

/// A part or slot that bends with the board: a second layer, joined at joints that give.
/// Board and part are taken as free of stress in the board's stress-free shape: joints creep.
struct Stiffener {
  std::string ref;
  Eigen::Vector2d low_mm, high_mm;  ///< its footprint, along the axes
  Side side = Side::kComponent;
  Ply ply;
  JointLayout layout = JointLayout::kArea;
  double pitch_mm = 1.27;       ///< of neighbouring joints
  double axial_n_per_mm = 0.0;  ///< of one joint
  double shear_n_per_mm = 0.0;  ///< of one joint
};

/// Mass spread evenly over a rectangle, or over the whole board when the rectangle is empty.
struct MassPatch {
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), high_mm = Eigen::Vector2d::Zero();
  double mass_g = 0.0;
};

struct PlateModel {
  Ring outline_mm;
  std::vector<Ring> cutouts_mm;
  Ply board;
  std::vector<Stiffener> stiffeners;
  std::vector<MassPatch> masses;
  double gravity_m_s2 = 9.80665;
  double cell_mm = 5.0;  ///< largest cell
  double fine_mm = 2.5;  ///< largest cell at and beside stiffeners (within two cells)
  /// More grid lines than cells need: edges of weights, places where something is read off.
  std::vector<double> lines_x_mm, lines_y_mm;
};

/// What a model is made for; factors on the nominal numbers serve the uncertainty.
struct PlateOptions {
  double cell_mm = 5.0, fine_mm = 2.5;
  double modulus_factor = 1.0, shear_factor = 1.0, thickness_factor = 1.0, joint_factor = 1.0;
  double mass_factor = 1.0;
  /// Moves mass between parts and laminate: the parts' share is multiplied by this and the rest
  /// keeps the total.
  double split_factor = 1.0;
};

/// The plate model of a board: laminate with its own shear modulus, parts with a place as
/// stiffeners by their class (calib/part_classes.json), mass by lieflat/board/mass.h. What the
/// description of a part states replaces its class's number; a stated pitch comes before a stated
/// number of joints. Modulus and shear factors act on the laminate alone. A stiffener ends at the
/// board's bounding box; a patch of mass does not, so that the centre of mass stays.
/// @error kRefused as DistributeMass; for a laminate whose Poisson's ratio and moduli no material
/// can have.
Result<PlateModel> MakePlateModel(const Board& board,
                                  const Calib& calib,
                                  const PlateOptions& options = {});

/// The rectangle along the axes that stands for a part: its footprint when it is turned by quarter
/// turns, else the bounding box of the footprint shrunk to the footprint's area about the same
/// centre. Needs has_place().
std::pair<Eigen::Vector2d, Eigen::Vector2d> AxisFootprint(const Part& part);

/// A part that the model does not let stiffen the board, and why, as the end of a sentence: "is of
/// a kind that is not known". A part of such a class stiffens after all when its description states
/// body modulus, joint stiffness (axial, shear) and pitch or number of joints; the joints then
/// stand all over its footprint.
struct NotStiffening {
  std::string ref;
  std::string why;
};
/// In the order of the board's parts.
std::vector<NotStiffening> PartsNotStiffening(const Board& board, const Calib& calib);

}  // namespace lieflat
