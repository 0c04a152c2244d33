#pragma once
// What the printed sheets look like, in mm: the lay and stand mats (a chessboard with a square
// marker in each white square) and the stickers. Read from calib/mats.json and calib/markers.json;
// whoever prints a sheet and whoever measures on its photo read the same layout. A lay mat larger
// than the paper is several pages, its tiles: each a layout with markers of its own.
//
// Mat frame: seen from above, origin at the lower left corner of the chessboard, x to the right, y
// up, z out of the paper. Squares (column, row) from the origin; black when column + row is even.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/base/result.h"

namespace lieflat {

/// A family of square markers: a black border one cell wide round bits x bits cells.
struct MarkerFamily {
  std::string name;  ///< "mat", "sticker"
  int bits = 0;
  int distance = 0;                  ///< any two differ in at least so many cells, however turned
  std::vector<std::uint64_t> words;  ///< by id; row by row from the top left, 1 is white

  /// A cell of the pattern with its border: row and column 0 .. bits + 1 from the top left.
  [[nodiscard]] bool White(int id, int row, int column) const;
};
MarkerFamily MarkerFamilyOf(const Calib& calib, const std::string& name);

struct MatMarker {
  int id = 0;
  int column = 0, row = 0;
  Eigen::Vector2d centre_mm;
};

/// The blank band of a stand mat: squares from .. to - 1 are left out.
struct Band {
  int from_column = 0, to_column = 0, from_row = 0, to_row = 0;
  double line_mm = 0.0;  ///< the board stands on a line so far from the band's lower edge
};

struct MatLayout {
  std::string id;     ///< "lay-a3"
  std::string sheet;  ///< the same; of a tile what it is a page of: "lay-a4-tiles"
  int tile = 0;       ///< from 1 on; 0: the sheet is this one page
  int version = 1;
  bool stand = false;
  std::string paper, plain;  ///< "a3", "lay sheet, A3"
  int columns = 0, rows = 0;
  double square_mm = 0.0, marker_mm = 0.0;
  Eigen::Vector2d origin_on_page_mm;  ///< the chessboard's lower left corner
  int first_marker = 0;
  double ruler_mm = 0.0;
  std::optional<Band> band;

  [[nodiscard]] double width_mm() const { return columns * square_mm; }
  [[nodiscard]] double height_mm() const { return rows * square_mm; }
  [[nodiscard]] bool InBand(int column, int row) const;
  [[nodiscard]] bool Black(int column, int row) const;
  /// Every marker, in the order of the ids.
  [[nodiscard]] std::vector<MatMarker> Markers() const;
  /// Whether four squares that alternate meet at the inner corner (column, row), 1 .. columns - 1.
  [[nodiscard]] bool HasCorner(int column, int row) const;
  [[nodiscard]] Eigen::Vector2d Corner(int column, int row) const {
    return {column * square_mm, row * square_mm};
  }
  /// The line on which the board stands: y in the mat frame. Stand mats only.
  [[nodiscard]] double LineY() const;
};

struct StickerLayout {
  std::vector<double> sizes_mm;  ///< of the black square; the first is the usual one
  double rim_mm = 0.0;
  std::vector<std::string> lettered;  ///< ids from 0 on
  int count = 0;

  /// "AB" for a lettered one, else its number.
  [[nodiscard]] std::string NameOf(int id) const;
  [[nodiscard]] std::optional<int> IdOf(const std::string& name) const;
};

struct Paper {
  std::string name, plain;
  Eigen::Vector2d size_mm;  ///< landscape
};

std::vector<MatLayout> MatLayouts(const Calib& calib);
StickerLayout StickerLayoutOf(const Calib& calib);
std::vector<std::string> PaperNames(const Calib& calib);
/// @error kBadUse listing the names.
Result<Paper> PaperNamed(const Calib& calib, const std::string& name);
/// The newest lay or stand mat of one page for a paper; every paper has both.
MatLayout MatFor(const Calib& calib, const std::string& paper, bool stand);
/// The tiles of a paper's lay mat, the first first; empty: it has none.
std::vector<MatLayout> TilesFor(const Calib& calib, const std::string& paper);

}  // namespace lieflat
