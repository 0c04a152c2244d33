#pragma once
// Bundle adjustment: cameras and points that together explain where the points were seen. The
// points of a printed sheet are free, held to their printed places by loose priors only: paper is
// no plane, and a sheet taken for rigid makes the result six times worse.
//
// Camera (pixels from the picture's middle): x = X/Z, y = Y/Z, r2 = x2 + y2,
//   u = (f + df) (x (1 + k1 r2 + k2 r2^2) + 2 p1 x y + p2 (r2 + 2 x2)) + cx + dcx, v likewise
//   (Brown, Photogrammetric Engineering 37 (1971) 855), and to both a smooth rest: products of
//   Legendre polynomials up to degree 5 for what the phone's own corrections leave
//   (self-calibration by additional parameters, Ebner 1976). f, cx, cy, k1, k2, p1, p2 are of all
//   photos; df (autofocus) and dcx, dcy (stabiliser) of each.

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"

namespace lieflat {

constexpr int kRestTerms = 18;  ///< i + j = 2 .. 5

struct Lens {
  double f = 0.0, cx = 0.0, cy = 0.0, k1 = 0.0, k2 = 0.0, p1 = 0.0, p2 = 0.0;
  Eigen::Matrix<double, 2, kRestTerms> rest_px = Eigen::Matrix<double, 2, kRestTerms>::Zero();
};

/// The terms of the smooth rest at a distorted place of the picture, in units of f.
Eigen::Matrix<double, kRestTerms, 1> RestTerms(double x, double y);

struct Shot {  ///< one photo's own: where it was taken from, and how the lens had moved
  Eigen::Matrix3d rotation = Eigen::Matrix3d::Identity();  ///< camera from world
  Eigen::Vector3d position = Eigen::Vector3d::Zero();      ///< of the world's origin, camera frame
  double df_share = 0.0;                                   ///< df / f
  double dcx = 0.0, dcy = 0.0;
};

/// Pixels from the picture's middle; nothing behind the camera.
std::optional<Eigen::Vector2d> Project(const Lens& lens,
                                       const Shot& shot,
                                       const Eigen::Vector3d& at);

/// Standard deviations of what is believed beforehand.
struct BundlePriors {
  double f_share = 0.10;
  double centre_px = 30.0;
  double k = 0.15, p = 0.002;
  double df_share = 0.006, dc_px = 20.0;
  double rest_px = 0.3;  ///< of each term of degree 2; halved from degree to degree
  double print_y_share = 0.015, print_shear = 5e-4;  ///< y against x; and skew, of the print
  /// Of a page after the first: where it lies, about the start; its print's scale over the first's.
  double page_place_mm = 20.0, page_turn_rad = 0.05, page_scale_share = 0.002;
};

/// A page of the printed sheet as it lies in the plane z = 0. The first one's frame is the world's;
/// the others (tiles) lie anywhere beside it.
struct SheetPage {
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();  ///< nominal: what it is turned about
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();      ///< where its middle lies
  double turned_rad = 0.0;
  double scale = 1.0;  ///< of its print over the first page's
};

struct SheetPoint {            ///< a point of the printed sheet
  Eigen::Vector2d printed_mm;  ///< nominal, in its page's frame
  double u_mm = 0.06, u_height_mm = 0.30;
  int page = 0;
};

struct Sighting {
  int shot = 0, point = 0;
  Eigen::Vector2d at_px;  ///< from the picture's middle
};

struct BundleProblem {
  Lens lens;  ///< the start; f also the prior's middle
  std::vector<Shot> shots;
  std::vector<Eigen::Vector3d> points_mm;  ///< sheet points first, then free ones; the start
  std::vector<SheetPoint> sheet;           ///< for the first points
  std::vector<SheetPage> pages = std::vector<SheetPage>(1);  ///< the first as it is, then starts
  std::vector<Sighting> sightings;
  double sigma_px = 0.10;
  BundlePriors priors;
};

struct BundleOptions {
  int max_passes = 40;
  double huber = 3.0;    ///< in sigma
  double cut_mad = 3.5;  ///< sightings further off are cut and the rest solved again
  double cut_floor_px = 0.2;
  int cuts = 3;
};

struct Bundle {
  Lens lens;
  double print_y = 1.0, print_shear = 0.0;  ///< y as printed over x as printed; skew
  std::vector<Shot> shots;
  std::vector<SheetPage> pages;
  std::vector<Eigen::Vector3d> points_mm;
  std::vector<Eigen::Vector2d> residuals_px;  ///< by sighting
  std::vector<bool> used;                     ///< by sighting
  double rms_px = 0.0;                        ///< of the used ones, a coordinate
  double s0 = 0.0;  ///< root of the weighted sum of squares over its degrees of freedom
  int passes = 0;

  /// Covariance of the points named, 3 m x 3 m, mm2, within the model; times max(1, s0^2).
  Eigen::MatrixXd covariance_mm2;
};

/// @param wanted  points whose covariance is wanted.
/// @error kNoFigure when it does not converge, with the largest change left.
Result<Bundle> SolveBundle(const BundleProblem& problem,
                           const std::vector<int>& wanted,
                           const BundleOptions& options = {});

}  // namespace lieflat
