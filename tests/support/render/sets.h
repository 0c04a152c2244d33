#pragma once
// Whole sets of rendered photos with their truth, drawn from a seed.

#include "lieflat/board/board.h"

#include "support/render/phone.h"

namespace lieflat::testing {

struct SetOptions {
  int photos = 5;
  int width = 4000, height = 3000;
  std::string paper = "a3";
  Eigen::Vector2d board_mm = Eigen::Vector2d(244, 170);
  double unknown_px = 0.0;
  bool exif = true;
  double aside_deg = 25.0;     ///< standing: of the photos from the sides, off straight on
  double further = 1.0;        ///< standing: how much further off the phone is held
  bool extra_stickers = true;  ///< numbered ones beside the nine lettered
  /// Tiles of the lay sheet, across and down, laid by hand: gaps of 1 to 5 mm, turns to 0.6
  /// degrees.
  int tile_columns = 1, tile_rows = 1;
};

struct RenderedSet {
  Scene scene;
  Phone phone;
  std::vector<Pose> poses;
  std::vector<std::string> files;  ///< JPEG, one a pose
};

/// A set of a lying board: phone, print, paper, board and shots drawn; nothing photographed yet.
RenderedSet DrawLyingSet(const Calib& calib, const SetOptions& options, Random& random);
/// Takes the photos of the poses.
void Photograph(RenderedSet& set, const SetOptions& options, Random& random);

/// Three photos or one of a board standing on a stand sheet taped to a flat plate, looked down at
/// by 50 to 70 degrees: straight on, and 20 to 30 degrees from each side.
RenderedSet DrawStandingSet(const Calib& calib, const SetOptions& options, Random& random);

/// The true height of the board's face at a sticker, mm over the board's own middle plane, positive
/// towards the component side.
double TrueHeight(const LyingBoard& board, int sticker);
/// The true place of a sticker in the board's frame.
Eigen::Vector2d TruePlace(const LyingBoard& board, int sticker);
/// The board as a person describes it.
Board DescribedBoard(const Calib& calib, const Eigen::Vector2d& size_mm);

}  // namespace lieflat::testing
