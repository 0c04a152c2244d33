#pragma once
// A drawn board with known damage, for photos from above: conductors, chips, dots at known places;
// scratches, nicks, missing chips, dirt. Written for the tests; shares nothing with the code that
// measures.

#include "lieflat/board/board.h"

#include "support/render/sets.h"

namespace lieflat::testing {

struct DrawnScratch {
  std::vector<Eigen::Vector2d> course_mm;
  double width_mm = 0.3;
  bool to_copper = true;  ///< through the coating: bare copper where it crosses conductors
  int crossed = 0;
  [[nodiscard]] double Length() const;
};

struct DrawnNick {
  Edge edge = Edge::kAB;
  double at_mm = 0.0, depth_mm = 1.0, length_mm = 3.0;  ///< middle along the edge
};

struct DrawnChip {
  Eigen::Vector2d centre_mm, size_mm;
  Colour body;
  bool missing = false;
};

struct DrawnPin {
  Eigen::Vector2d at_mm;
  double off_share = 0.0;  ///< of its thickness, across the row
};

struct DamagedBoard {
  LyingBoard board;
  Board described;  ///< as a person measured it
  std::vector<DrawnScratch> scratches;
  std::vector<DrawnNick> nicks;
  std::vector<DrawnChip> chips;
  std::vector<DrawnPin> pins;
  double pin_mm = 0.64, pitch_mm = 2.54;
  std::vector<Eigen::Vector2d> dots_mm;  ///< white, round, 1.2 mm
};

struct DamageOptions {
  std::string paper = "a4";
  Eigen::Vector2d size_mm = Eigen::Vector2d(150, 100);
  int width = 2800, height = 2100;
  double largest_tilt_deg = 12.0;  ///< of the look from above
  int scratches = 2, nicks = 2, chips = 40, missing = 0;
  double dirt = 0.5;
};

struct DamagedSet {
  DamagedBoard drawn;
  Scene scene;
  Phone phone;
  Pose pose;
  std::string file;  ///< the photo, JPEG
};

/// The lay-out of a kind of board follows from `kind`, its damage, dirt, light and phone from
/// `random`: two sets of one kind show boards of the same kind.
DamagedSet DrawDamagedSet(const Calib& calib,
                          const DamageOptions& options,
                          std::uint64_t kind,
                          Random& random);

}  // namespace lieflat::testing
