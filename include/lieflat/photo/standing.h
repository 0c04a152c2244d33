#pragma once
// The bow of one edge from photos of the board standing on it, on the blank band of a stand sheet.
//
// Method: the sheet's corners give lens, pose and the paper's own heights (bundle.h); the band is
// looked at along the sheet's plane, and where bright paper drops to the board's face is its
// contact edge: strongest steady drop of the logarithm of light (dynamic programming), to a
// fraction of a pixel where the light has fallen by 40 %; a smooth curve with a penalty on the
// third difference and Tukey's weights through it (a second difference would straighten the ends
// and with them the bow). What stands on the paper before the edge, legs, connectors, parts, is
// told from the paper by its light, named and left out. Bow is taken from the chord through the
// board's ends. Errors: scatter along the edge, the paper's height over its plane times
// the cotangent of the camera's elevation, and what photos of one set differ by.
// Accuracy on rendered photos stands in DEVELOPERS.md; on real phones it is not yet proved.

#include <cmath>

#include "lieflat/base/statistics.h"
#include "lieflat/photo/lying.h"

namespace lieflat {

struct StandingRequest {
  Gauge held;                    ///< upright; no rows
  Edge edge = Edge::kAB;         ///< that stands on the sheet
  Side seen = Side::kComponent;  ///< the face towards the phone
};

/// A photo and its light: the weakest of red, green and blue, in which white paper is bright and
/// a mask of any colour dark.
struct StandingPhoto {
  SeenPhoto seen;
  Picture weakest;
};
/// @param colour  of one or three channels.
Picture WeakestChannel(const Picture& colour);

struct StandingPoint {
  double at_mm = 0.0;         ///< from the edge's first letter
  double departure_mm = 0.0;  ///< from the chord, towards the component side
  double u_mm = 0.0;
};

/// What hides a stretch of the edge, told by its width and by how far it reaches before the edge
/// (calib/photo.json, standing): kLegs narrow ones; kConnector wide and far out; kPart between;
/// kUnnamed something as light as paper, so that its shape is not told; kSetBack the edge stands
/// back, is notched, or its face is as light as paper.
enum class HiddenBy { kLegs, kPart, kConnector, kUnnamed, kSetBack };
const char* Name(HiddenBy by);

/// A stretch where something else than the edge meets the paper. It is left out of the profile.
struct Hidden {
  double from_mm = 0.0, to_mm = 0.0;  ///< from the edge's first letter
  bool before = true;                 ///< towards the phone; else the edge stands back or is gone
  HiddenBy by = HiddenBy::kUnnamed;
  std::vector<double> legs_mm;  ///< middles of a row of legs, from the edge's first letter
  double out_mm = 0.0;          ///< how far it reaches before the edge
};
/// "3 legs at 31, 34, 37 mm".
std::string Describe(const Hidden& hidden);

/// Whether the upper edge, against the one that stands, shows the board to be twisted. Seen, no
/// measurement: nothing of it enters a reading or a verdict.
struct UpperEdge {
  std::string missing;  ///< the condition that is not met; empty when it was judged
  char corner = 'C';    ///< over the end of the standing edge
  double off_mm = 0.0;  ///< of that corner off the plane of the other three, towards the components
  double u_mm = 0.0;
  int photos = 0;  ///< that show it
  [[nodiscard]] bool twisted() const {
    return missing.empty() && std::abs(off_mm) > kNormal95 * u_mm;
  }
};
/// That it is no measurement, and how to make one.
extern const char* const kSeenNoMeasurement;

struct StandingResult {
  PhotoReading reading;
  Edge edge = Edge::kAB;
  Side seen = Side::kComponent;
  std::vector<StandingPoint> points;
  StandingPoint deepest;
  std::vector<Hidden> hidden;
  UpperEdge upper;
  std::vector<PhotoUse> photos;
  std::vector<std::string> warnings;
  std::string sheet;
  double length_mm = 0.0;      ///< of the edge as seen, in printed mm
  double scatter_mm = 0.0;     ///< robust, of the edge about its curve
  double inlier_share = 0.0;   ///< of the edge's length
  double elevation_deg = 0.0;  ///< of the lowest camera used
  double sheet_height_rms_mm = 0.0;
  double rms_px = 0.0;
  /// In printed mm over the edge's length, for the picture: every place found, by photo,
  /// away from the phone.
  std::vector<std::vector<Eigen::Vector2d>> traces_mm;  ///< along the chord, departure
  Eigen::VectorXd curve_mm;  ///< departures, every millimetre along the chord from its start
};

/// @error kNoFigure: no photo can be used, no sharp edge, too little of it; kRefused: an edge of
/// another length than the board's. Each with what to do.
Result<StandingResult> MeasureStanding(const std::vector<StandingPhoto>& photos,
                                       const Board& board,
                                       const StandingRequest& request,
                                       const Printed& printed,
                                       const Calib& calib);

}  // namespace lieflat
