#pragma once
// Heights measured from photos, as a log entry of kind "photo" carries them: points with one
// covariance matrix. They go the same way as gauge readings.

#include "lieflat/readings/sample.h"

namespace lieflat {

struct PhotoPoint {
  std::string name;        ///< "A", "AB", "12" (stickers), "AB at 30 mm" (an edge's profile)
  Eigen::Vector2d at_mm;   ///< board frame
  double height_mm = 0.0;  ///< towards the component side
};

struct PhotoReading {
  std::string pose;  ///< "lying" "standing"
  /// How the board was held: rest, side down, supports, temperature, what was fitted. No rows.
  Gauge held;
  /// Heights over the board's own mean plane; with `edge`, departures from that edge's chord.
  std::vector<PhotoPoint> points;
  std::optional<Edge> edge;
  Eigen::MatrixXd covariance_mm2;  ///< n x n, of the heights
  std::string sheet;               ///< "lay-a3/1"; empty when none was in view
  int photos = 0;
};

/// The saved form: pose, rest, down, at, temperature_c, edge, sheet, photos, points [{name, x_mm,
/// y_mm, height_mm}], covariance_um2 (the lower triangle row by row, in square micrometres).
Json ToJson(const PhotoReading& reading);
/// @error kRefused: field, value, rule; a covariance that is none (negative variance, wrong count).
Result<PhotoReading> ParsePhotoReading(const Json& json, const std::string& where);

/// @error kRefused: a point off the board, supports that do not carry it.
Result<SampleSet> ToSamples(const PhotoReading& reading,
                            const Board& board,
                            const Calib& calib,
                            const std::string& where);

}  // namespace lieflat
