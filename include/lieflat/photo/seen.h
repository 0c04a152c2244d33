#pragma once
// What one photo shows: which sheet, its chessboard corners, the stickers; to a few hundredths of a
// pixel.

#include <array>
#include <map>
#include <string>
#include <vector>

#include "lieflat/photo/picture.h"
#include "lieflat/sheet/layout.h"

namespace lieflat {

struct SeenCorner {
  int column = 0, row = 0;  ///< of the layout
  Eigen::Vector2d at_px;
  int tile = 0;  ///< of a sheet of several pages
};

struct SeenSticker {
  int id = 0;
  std::array<Eigen::Vector2d, 4> corners_px;  ///< of the black square, in its printed order
};

/// The sheets that can be told apart, and their markers.
struct Printed {
  std::vector<MatLayout> mats;
  MarkerFamily mat_markers, sticker_markers;
  StickerLayout stickers;
  static Printed Of(const Calib& calib);
  [[nodiscard]] const MatLayout* Find(const std::string& id) const;
  /// The pages of a sheet, in order: one, or its tiles.
  [[nodiscard]] std::vector<const MatLayout*> PagesOf(const std::string& sheet) const;
};

struct SeenPhoto {
  std::string name;
  int width = 0, height = 0;
  std::optional<double> focal_35mm;
  std::string sheet;  ///< id of the sheet (or tile) with the most markers in view; empty: none
  std::map<std::string, int> markers_of_sheet;  ///< how many of each
  std::map<std::string, int> markers_twice;     ///< and how many of them at two places
  int mirrored_markers = 0;
  std::vector<SeenCorner> corners;  ///< of the sheet; of tiles, of all that belong to it
  std::vector<SeenSticker> stickers;
  std::vector<int> twice;      ///< sticker ids seen at two places: dropped
  double edge_width_px = 0.0;  ///< 10..90 % of the markers' edges, median; 0: no marker
  double wider_edge_px = 0.0;  ///< the same of each marker's wider two sides: smeared one way
  double paper_light = 0.0;    ///< of the paper between the markers, linear 0..1
  /// Homography of the plane in the frame of `sheet`; zero: not known.
  Eigen::Matrix3d px_from_mat = Eigen::Matrix3d::Zero();
};

SeenPhoto LookAt(const Picture& grey, const std::string& name, const Printed& printed);

}  // namespace lieflat
