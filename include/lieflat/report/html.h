#pragma once
// One self-contained page: no script, no network, printable on A4 and Letter, readable at 390 px
// and in greyscale.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"

namespace lieflat {

struct HistoryLine {
  std::string id, at, text;
  bool voided = false;
};

/// A picture of one face to scale, to lie under marks of damage.
struct FacePicture {
  Side side = Side::kComponent;     ///< the solder side as if seen through the board
  std::string data_uri;             ///< "data:image/jpeg;base64,..."
  Eigen::Vector2d low_mm, high_mm;  ///< board frame: of its outer rim
  double scale_u95_percent = 0.0, place_u95_mm = 0.0, parallax_most = 0.0;
};

/// What the photos of one reading showed, as it was drawn then.
struct SeenPicture {
  std::string id, at;    ///< of the log entry
  std::string file;      ///< in the board's folder
  std::string data_uri;  ///< "data:image/svg+xml;base64,..."; empty: it cannot be shown
  std::string words;     ///< what its marks mean; of one that cannot be shown, why
};

/// @param followed  its holds and readings over days, for the chart; null: none.
/// @param calib  the one that the assessment was made with: names and sources of the part classes.
/// @param pictures  its faces to scale: the marks are shown on them, and the component side's lies
/// faintly under the sheet.
/// @param seen  what its photos showed.
std::string ReportHtml(const Assessment& assessment,
                       const std::vector<HistoryLine>& history,
                       const Instant& now,
                       const Calib& calib = Calib::Embedded(),
                       const FollowedBoard* followed = nullptr,
                       const std::vector<FacePicture>& pictures = {},
                       const std::vector<SeenPicture>& seen = {});

// The drawings alone, as <svg> elements. They carry no style of their own; DrawingStyle() is the
// content of the <style> that must stand beside them.
/// One edge against a ruler, the limit as a stack of blades at the widest gap. All edges of a board
/// share one scale.
std::string EdgeSvg(const Assessment& assessment, Edge edge);
/// The board as a topographic sheet; empty without a surface.
std::string SheetSvg(const Assessment& assessment);
/// A face's picture with the marks of damage on it, numbered.
std::string FaceSvg(const Assessment& assessment, const FacePicture& picture);
/// Readings over days, with holds and what is foreseen.
std::string TrendSvg(const FollowedBoard& board);
std::string DrawingStyle();

}  // namespace lieflat
