#pragma once
// The spread of what is read at the parts: draws of the surface and of the board's numbers, carried
// through the plate by derivatives or by solving anew.

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/joints/at_parts.h"
#include "lieflat/plate/neighbourhood.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

/// One board's unknowns as independent standard normal (or, for the surface, drawn) numbers.
class PlateInputs {
 public:
  PlateInputs(const Board& board,
              const Surface& surface,
              const Calib& calib,
              int count,
              std::uint64_t seed);

  /// What one draw changes: the surface's coefficients and factors on the plate's numbers.
  struct Point {
    Eigen::VectorXd coefficients;
    double modulus = 1.0, shear = 1.0, thickness = 1.0;
    double mass = 1.0, split = 1.0;  ///< in all; what of it lies on the parts
    std::vector<double> joints;      ///< by class of joint_classes()
    [[nodiscard]] bool same_plate() const;
  };
  /// Along one direction alone, `by` of it.
  [[nodiscard]] Point Along(Eigen::Index direction, double by) const;
  [[nodiscard]] Point Draw(Eigen::Index k) const;
  [[nodiscard]] Eigen::Index directions() const { return scores_.rows(); }
  [[nodiscard]] Eigen::Index count() const { return scores_.cols(); }
  /// Directions x draws.
  [[nodiscard]] const Eigen::MatrixXd& scores() const { return scores_; }

  /// On the plate's numbers near a part of this class, in one draw.
  [[nodiscard]] PlateFactors Factors(Eigen::Index k, const std::string& part_class) const;

  [[nodiscard]] Result<Plate> MakePlate(const Point& point, double cell_mm, double fine_mm) const;
  [[nodiscard]] HeightField Heights(const Point& point) const;

 private:
  [[nodiscard]] double FactorOf(std::size_t number, double score) const;
  void ReduceSurface(const Calib& calib);
  [[nodiscard]] Point PointOf(const Eigen::VectorXd& scores,
                              const Eigen::VectorXd& coefficients) const;

  const Board& board_;
  const Surface& surface_;
  const Calib& calib_;
  Eigen::MatrixXd shape_directions_;  ///< coefficients x directions of the surface
  Eigen::MatrixXd shape_scores_;      ///< directions of the surface x draws of the surface
  std::vector<double> log_sd_;  ///< modulus, shear, thickness, mass, split, then classes of joints
  std::vector<std::string> joint_classes_;
  Eigen::MatrixXd scores_;
};

/// All figures of the readout by draw, at one gap. Figures x draws; draws without an answer are
/// left out of `answered`.
struct DrawnFigures {
  Eigen::MatrixXd figures;
  std::vector<bool> answered;
};

/// Tells how far it got; true when it is to stop.
using Tell = std::function<bool(double done)>;

/// By derivatives at the solved case. @error as Neighbourhood::Linear; "stopped".
Result<DrawnFigures> DrawLinear(const PlateInputs& inputs,
                                const PartReadout& readout,
                                Neighbourhood& near,
                                double cell_mm,
                                double fine_mm,
                                const Tell& tell);

/// Each draw solved on a coarse mesh; its difference from that mesh's own nominal answer is put on
/// `nominal`. @error as Neighbourhood::Make; "stopped".
Result<DrawnFigures> DrawFull(const PlateInputs& inputs,
                              const PartReadout& readout,
                              const Eigen::VectorXd& nominal,
                              const Hold& hold,
                              double cell_mm,
                              double fine_mm,
                              const Tell& tell);

/// The draws that have an answer at every moment.
struct KeptDraws {
  std::vector<Eigen::Index> draws;
  std::string note;  ///< how many were left out; empty: none
};
/// @param drawn  by moment.
/// @error kNoFigure when more are lost than calib/joints.json allows, or too few are left.
Result<KeptDraws> AnsweredEverywhere(const std::map<std::size_t, DrawnFigures>& drawn,
                                     Eigen::Index count,
                                     const Calib& calib);

inline constexpr int kFewestDraws = 20;  ///< that an interval takes
inline constexpr int kMostDraws = 1000000;
/// A number of draws or samples out of range is bad use.
std::optional<Error> ProblemOfDraws(int count);

/// The error of a run that was stopped through its stop token, and whether an error is that.
Error Stopped();
bool WasStopped(const Error& error);

}  // namespace lieflat
