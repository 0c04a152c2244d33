#pragma once
// Measuring damage on a picture to scale (board_picture.h). All lengths in mm of the board frame;
// u95 is the half-width of a 95 % interval, the picture's own scale error included.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/damage/mark.h"
#include "lieflat/photo/board_picture.h"

namespace lieflat {

enum class Told { kNo, kYes, kNotResolved };
const char* Name(Told told);  ///< "no", "yes", "not-resolved"

struct ScratchSeen {
  std::vector<Eigen::Vector2d> course_mm;  ///< simplified to within 0.05 mm
  Measured length, width;
  bool brighter = true;  ///< than what lies beside it
  int conductors =
      0;  ///< under the coating beside it, that it crosses; one more or less at its ends
  Told conductors_told = Told::kNotResolved;
  Told copper = Told::kNotResolved;  ///< whether copper shows in it
};

/// The line between two places near a scratch's ends: found along a corridor of 2.5 mm to either
/// side and 4 mm beyond. Course: the path of most ridge response (dynamic programming), then the
/// peak across it. Width: a box of that width, blurred as the picture is, fitted to light across.
/// Validity: wider than the picture's blur, or the width's interval reaches to 0.
/// @error kBadUse: places off the board or together; kNoFigure: no line stands out.
Result<ScratchSeen> MeasureScratch(const BoardPicture& picture,
                                   const Eigen::Vector2d& from_mm,
                                   const Eigen::Vector2d& to_mm);

struct Departure {
  double from_mm = 0.0, to_mm = 0.0;  ///< along the edge from its first letter
  Measured depth, length;
  bool inwards = true;    ///< a nick or chip; else something stands out over the edge
  bool at_least = false;  ///< its deepest part is not told from the sheet: it may be deeper
  Eigen::Vector2d deepest_mm;
};

struct EdgeSeen {
  std::vector<Departure> departures;
  /// Stretches where board and sheet look alike; from, to along the edge.
  std::vector<Eigen::Vector2d> not_told_mm;
  double told_share = 0.0;
  double scatter_mm = 0.0;  ///< of the sound edge
};

/// Departures of an edge from the straight line through its sound part. Where the sheet's own
/// pattern changes beside the rim (`printed`), the rim is not told from it.
/// @error kNoFigure: less than a third of the edge is told from the sheet.
Result<EdgeSeen> MeasureEdge(const BoardPicture& picture,
                             const Board& board,
                             Edge edge,
                             const Printed& printed);

struct PinSeen {
  Eigen::Vector2d at_mm;
  Eigen::Vector2d off_mm;  ///< from its place in the row: along, across
  Measured share;          ///< of its thickness, by which it is off
};

struct PinRow {
  std::vector<PinSeen> pins;
  double pitch_mm = 0.0;
  Measured thickness;
  bool resolved = false;  ///< false: pins are too thin in this picture for shares
};

/// Pins in a row between two places (the middles of its first and last pin, roughly).
/// @error kNoFigure: no regular row of four pins or more stands out.
Result<PinRow> MeasurePins(const BoardPicture& picture,
                           const Eigen::Vector2d& from_mm,
                           const Eigen::Vector2d& to_mm);

struct Candidate {
  Eigen::Vector2d low_mm, high_mm;          ///< its box
  double weight = 0.0;                      ///< how much it stands out; the list is sorted by it
  std::optional<Eigen::Vector2d> moved_mm;  ///< found again there: displaced
  std::vector<std::string> parts;           ///< of the description, whose outline it touches
};

struct Comparison {
  std::vector<Candidate> candidates;
  double registration_rms_mm = 0.0;
  double shared_share = 0.0;  ///< of the board that both pictures show
};

/// What differs from a sound board of the same kind: missing, displaced, damaged parts. For a
/// person to confirm. Light, cast and smooth dirt are taken out.
/// @error kNoFigure: the pictures do not fit onto each other.
Result<Comparison> CompareWithSound(const BoardPicture& mine,
                                    const BoardPicture& sound,
                                    const Board& board);

}  // namespace lieflat
