#pragma once
// Heights of a board's face from photos of it lying on (or standing behind) a printed lay sheet,
// numbered stickers at its points. The sheet may be several pages (tiles), laid side by side
// anyhow: each finds its own place in the adjustment.
//
// Method: chessboard corners and sticker corners to hundredths of a pixel, one bundle adjustment in
// which the sheet's points are free (bundle.h), sticker centres as the points. Uncertainty: the
// larger of the bundle's covariance and a leave-one-photo-out jackknife, point by point, and a
// floor for how flat a label lies. Accuracy on rendered photos stands in DEVELOPERS.md; on real
// phones it is not yet proved.

#include <map>
#include <string>
#include <vector>

#include "lieflat/photo/bundle.h"
#include "lieflat/photo/seen.h"
#include "lieflat/readings/photo.h"

namespace lieflat {

struct LyingRequest {
  Gauge held;                                    ///< rest, side down, supports ...; no rows
  std::map<std::string, Eigen::Vector2d> table;  ///< places of stickers, board frame; may be empty
  std::optional<double> ruler_x_mm, ruler_y_mm;  ///< lengths of the sheet's rulers as measured
};

struct PhotoUse {
  std::string name;
  bool used = false;
  std::string why_not;  ///< and what to do; empty when used
  int corners = 0, stickers = 0;
  double rms_px = 0.0;
};

struct Station {
  std::string name;
  Eigen::Vector2d at_mm;   ///< board frame
  double height_mm = 0.0;  ///< over the board's mean plane, towards the component side
  double u_mm = 0.0;
  double covariance_u_mm = 0.0, jackknife_u_mm = 0.0;
  int photos = 0;
  double size_mm = 0.0;  ///< of the black square
};

struct LaidTile {
  std::string id;
  int number = 0;
  Eigen::Vector2d at_mm;    ///< of its chessboard's origin, in the frame of the first listed
  double turned_rad = 0.0;  ///< counter-clockwise, seen from above
};

struct LyingResult {
  PhotoReading reading;
  std::vector<Station> stations;
  std::vector<PhotoUse> photos;
  std::vector<std::string> dropped;   ///< stickers left out, each with its reason
  std::vector<std::string> warnings;  ///< what costs certainty, and what to do
  std::string sheet;
  std::vector<LaidTile> tiles;  ///< as they lie; empty where the sheet is one page
  double sheet_height_rms_mm = 0.0;
  double scale = 1.0, scale_u = 0.0;  ///< true over nominal length
  double print_y = 1.0;               ///< y over x of the print
  double rms_px = 0.0, s0 = 0.0;
  Bundle bundle;
  std::vector<Sighting> sightings;                   ///< as in the bundle
  std::vector<Eigen::Vector2d> station_on_sheet_mm;  ///< for the picture of what was seen
};

/// Judges one photo as it comes: empty when it can be used. Never looks at other photos.
struct ShotVerdict {
  std::string problem;                ///< why it cannot be used, and what to do
  std::vector<std::string> warnings;  ///< what could be better
};
ShotVerdict JudgeShot(const SeenPhoto& photo,
                      const Printed& printed,
                      bool stand,
                      const Calib& calib);

/// @error kNoFigure: too few photos or stickers that can be used, with what to do; kRefused: a
/// sheet fitted to the page, stickers the other way round, stickers off the board.
Result<LyingResult> MeasureLying(const std::vector<SeenPhoto>& photos,
                                 const Board& board,
                                 const LyingRequest& request,
                                 const Printed& printed,
                                 const Calib& calib);

}  // namespace lieflat
