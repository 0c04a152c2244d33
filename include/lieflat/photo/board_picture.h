#pragma once
// The board's face as a picture to scale, from photos of it lying on the lay sheet: lens and
// perspective out, the warp too where it is known, so many pixels a millimetre everywhere.
//
//   picture px (column, row)  <->  board frame (low.x + column * mm_per_px,
//                                               low.y + (height - 1 - row) * mm_per_px)
//
// The cameras come from the sheet (bundle.h), the board's place from its outline, which is sought
// where light and colour change across the described outline. The outline's described size sets
// the scale; what of the scale is not known is stated. A solder side is kept in the board's own
// frame, as if seen through the board.
// Validity: what stands h above the face is displaced by h times the parallax there, away from the
// camera's foot; it is stated, not corrected.

#include <functional>
#include <string>
#include <vector>

#include "lieflat/photo/lying.h"

namespace lieflat {

struct BoardPhoto {
  std::string name;
  Picture colour;  ///< as wide as high at least, see TakeBoardPhoto
  SeenPhoto seen;
};

/// Decodes a photo in colour and looks at it. @error as DecodePicture.
Result<BoardPhoto> TakeBoardPhoto(std::string_view bytes,
                                  const std::string& name,
                                  const Printed& printed);

struct BoardPictureRequest {
  Side side = Side::kComponent;  ///< that is up
  /// By how much, counter-clockwise, AB is turned against the sheet's lower edge, to within 45
  /// degrees.
  int turned_deg = 0;
  /// The face's height over its mean plane, mm, towards the component side; none: not known.
  std::function<double(const Eigen::Vector2d& at_mm)> warp;
};

struct PartParallax {
  std::string ref;
  double mm = 0.0;  ///< by which its top is displaced
};

struct BoardPicture {
  Picture picture;  ///< RGB
  double mm_per_px = 0.1;
  Eigen::Vector2d low_mm;  ///< board frame: centre of the lower left pixel
  Side side = Side::kComponent;
  double scale_u = 0.0;        ///< of a length in the picture, as a share; standard uncertainty
  double place_u_mm = 0.0;     ///< of a place in the board frame
  double blur_mm = 0.0;        ///< standard deviation of its blur
  double parallax_most = 0.0;  ///< mm a mm of height, anywhere on the board
  std::vector<PartParallax> parts;
  /// The camera over the face: its foot in the board frame, its height. Where the foot lies beyond
  /// an edge the side wall shows there.
  Eigen::Vector3d eye_mm = Eigen::Vector3d(0.0, 0.0, 1e6);
  bool warp_known = false;
  /// The place on the sheet (its own frame, mm) that is seen at a place of the face's mean plane,
  /// as homogeneous coordinates.
  Eigen::Matrix3d sheet_of_face = Eigen::Matrix3d::Zero();
  std::string sheet, painted_from;
  std::vector<PhotoUse> photos;
  std::vector<std::string> warnings;

  [[nodiscard]] Eigen::Vector2d ToPx(const Eigen::Vector2d& at_mm) const;
  [[nodiscard]] Eigen::Vector2d ToMm(const Eigen::Vector2d& at_px) const;
};

/// @error kNoFigure: no photo that can be used, each with its reason and what to do; the board's
/// outline not found. kRefused: a board of another size than described.
Result<BoardPicture> MakeBoardPicture(const std::vector<BoardPhoto>& photos,
                                      const Board& board,
                                      const BoardPictureRequest& request,
                                      const Printed& printed,
                                      const Calib& calib);

/// Why a photo cannot become a picture, and what to do; empty: it can.
std::string WhyNoPicture(const SeenPhoto& photo, const Printed& printed, const Calib& calib);

/// A PNG of the pixels as they are.
std::string EncodePng(const Picture& picture);

/// A JPEG for a page: shrunk by a whole factor until its longer side has at most `most_px` pixels,
/// each the mean of those that it takes the place of. @error kInternal: no encoder.
Result<std::string> EncodeSmallJpeg(const Picture& picture, int most_px);

/// "lieflat-board-picture", version 1; without the pixels.
Json ToJson(const BoardPicture& picture, const std::string& label);
/// The inverse, with the pixels of a PNG. @error kRefused.
Result<BoardPicture> ParseBoardPicture(const Json& json,
                                       std::string_view png,
                                       const std::string& where);
std::string ToText(const BoardPicture& picture);

}  // namespace lieflat
