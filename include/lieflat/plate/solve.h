#pragma once
// What a board does when it is laid down, loaded, pressed or screwed down.
//
//   PlateModel -> Plate (mesh, stiffness) -> Solve(shape, hold) -> PlateSolution: displacement,
//   contact forces strain and joint loads of the solution are changes from the stress-free shape.
//
// Method: four-node rectangle of Adini, Clough and Melosh for bending, bilinear membrane,
// Marguerre's shallow-shell terms for large deflection (Marguerre, Proc. 5th Int. Congr. Appl.
// Mech., 1938), unilateral contact by an active set with exact complementarity. Thin plate: no
// transverse shear; strain right under a contact point or joint grows with refinement. How near it
// comes to solid elements with large deflection: the table in DEVELOPERS.md.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"
#include "lieflat/plate/model.h"

namespace lieflat {

/// Stress-free height of the board's mid-surface over the board's frame, mm.
using HeightField = std::function<double(const Eigen::Vector2d& at_mm)>;

/// How the board is held. Heights are measured along `up`, from the table or from the plane of the
/// rests at height 0.
struct Hold {
  Side up = Side::kComponent;  ///< the face that looks up
  bool own_weight = true;
  bool table =
      true;  ///< lies on a flat table at height 0; else on `rests` (or on nothing: only `forces`)

  struct Rest {
    Eigen::Vector2d at_mm;
    double height_mm = 0.0;
    bool two_sided = false;  ///< holds down as well
  };
  std::vector<Rest> rests;  ///< points it lies on; also beside a table

  struct Weight {
    double force_n = 0.0;
    Eigen::Vector2d low_mm, high_mm;  ///< its footprint
    bool rigid = false;               ///< stays flat; soft: even pressure
  };
  std::vector<Weight> weights;

  /// A rigid flat plate laid on top, parallel to the table at `gap_mm` over it (mid-surface), or
  /// with a load and free to tilt.
  struct TopPlate {
    std::optional<double> gap_mm;
    double load_n = 0.0;
  };
  std::optional<TopPlate> plate;

  /// A rigid straight bar along a line, loaded evenly, free to tilt along its length.
  struct Bar {
    Eigen::Vector2d from_mm, to_mm;
    double load_n = 0.0;
  };
  std::vector<Bar> bars;

  /// A screw that draws the board to a stand-off of this height (mid-surface, along `up`).
  struct Screw {
    Eigen::Vector2d at_mm;
    double height_mm = 0.0;
  };
  std::vector<Screw> screws;

  struct Force {
    Eigen::Vector2d at_mm;
    double up_n = 0.0;
  };
  std::vector<Force> forces;
};

struct SolveOptions {
  bool large_deflection = true;
  int most_newton_steps = 40;
  double residual_tolerance = 1e-9;  ///< of the largest nodal force
};

enum class Touch { kTable, kRest, kWeight, kPlate, kBar, kScrew };

struct ContactForce {
  Touch what = Touch::kTable;
  int number = 0;  ///< which rest, weight, bar or screw
  Eigen::Vector2d at_mm;
  double up_n = 0.0;  ///< on the board, along `up`
};

struct PlateSolution {
  Side up = Side::kComponent;
  bool large_deflection = true;
  Eigen::VectorXd shape;         ///< stress-free height of the mesh's points, mm, board frame
  Eigen::VectorXd displacement;  ///< all unknowns
  std::vector<ContactForce> contacts;
  double load_n = 0.0;         ///< everything that presses down, own weight included
  double plate_force_n = 0.0;  ///< of the top plate
  double highest_mm = 0.0;     ///< mid-surface over the table, along `up`
  double lowest_mm = 0.0;
  double worst_gap_mm = 0.0;  ///< the most negative gap anywhere (0 or -1e-9: exact)
  double bending_energy_n_mm = 0.0, membrane_energy_n_mm = 0.0;  ///< of the board layer
  int newton_steps = 0, factorisations = 0, columns = 0;
  std::vector<int> active;  ///< for a later start: rows in touch and rigid bodies' places
  Eigen::VectorXd forces, bodies;
  [[nodiscard]] double gap_mm() const { return highest_mm - lowest_mm; }
};

/// Load of one grid joint of a part, as forces on one physical joint.
struct JointLoad {
  Eigen::Vector2d at_mm;
  double axial_n = 0.0;  ///< tension positive
  double shear_x_n = 0.0, shear_y_n = 0.0;
  double joints = 0.0;  ///< how many physical joints stand in for it
};

class Plate {
 public:
  /// @error kRefused for a model without a cell, with a ply of no stiffness, or with more than 400
  /// 000 unknowns.
  static Result<Plate> Make(PlateModel model);
  ~Plate();
  Plate(Plate&&) noexcept;
  Plate& operator=(Plate&&) noexcept;

  [[nodiscard]] const PlateModel& model() const;
  [[nodiscard]] int unknowns() const;
  [[nodiscard]] double weight_n() const;
  /// Points of the board layer (mesh nodes), mm.
  [[nodiscard]] const std::vector<Eigen::Vector2d>& points() const;

  /// @error kNoFigure when the board would tip or fall, or when no equilibrium was found (says at
  /// which load);
  ///        kRefused for a hold off the board.
  /// @param start  a solution of the same plate and shape to start from (same unknowns), or null.
  [[nodiscard]] Result<PlateSolution> Solve(const HeightField& shape,
                                            const Hold& hold,
                                            const SolveOptions& options = {},
                                            const PlateSolution* start = nullptr) const;

  // What a solution says. Places off the board are taken at the nearest cell.
  /// Of the mid-surface along z (board frame), stress-free height included, mm.
  [[nodiscard]] double Height(const PlateSolution& solution, const Eigen::Vector2d& at_mm) const;
  /// Displacement along z, mm.
  [[nodiscard]] double Displacement(const PlateSolution& solution,
                                    const Eigen::Vector2d& at_mm) const;
  /// exx, eyy, exy (tensor shear) on a face: the change from the stress-free shape.
  [[nodiscard]] Eigen::Vector3d Strain(const PlateSolution& solution,
                                       const Eigen::Vector2d& at_mm,
                                       Side face) const;
  /// The same at the mid-surface.
  [[nodiscard]] Eigen::Vector3d MembraneStrain(const PlateSolution& solution,
                                               const Eigen::Vector2d& at_mm) const;
  /// w,xx  w,yy  w,xy of the displacement, 1/mm.
  [[nodiscard]] Eigen::Vector3d Curvature(const PlateSolution& solution,
                                          const Eigen::Vector2d& at_mm) const;
  /// Largest principal strain (absolute) over the board, leaving out what lies within `away_mm` of
  /// an edge.
  [[nodiscard]] double LargestStrain(const PlateSolution& solution, double away_mm) const;
  /// Of the stiffener of that number in the model.
  [[nodiscard]] std::vector<JointLoad> Joints(const PlateSolution& solution, int stiffener) const;

  struct Parts;  ///< how it is done (src/plate)
  [[nodiscard]] const Parts& parts() const { return *parts_; }

 private:
  explicit Plate(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace lieflat
