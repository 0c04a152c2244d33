#pragma once
// One measurement of a lying board under way, and its steps in their order. lying.cpp runs them.

#include <set>

#include "lieflat/photo/lying.h"

#include "photo/lying_set.h"

namespace lieflat::internal {

struct LyingWork {
  const Board& board;
  const LyingRequest& request;
  const Printed& printed;
  const Calib& calib;
  std::vector<SeenPhoto> photos;   ///< lying across; used or not: out.photos, in the same order
  std::set<int> bad_stickers;      ///< ids that take no part any more
  std::map<int, double> size_mm;   ///< of each sticker's black square, as solved
  std::vector<LaidPage> pages;     ///< of the sheet, roughly as they lie
  SetProblem set;                  ///< of the photos still used
  Eigen::VectorXd jackknife_u_mm;  ///< by sticker of the set
  LyingResult out;

  [[nodiscard]] double Limit(const char* pointer) const {
    return calib.Number("photo", pointer).value;
  }
  [[nodiscard]] int Used() const;
  [[nodiscard]] std::string NameOf(int sticker) const { return printed.stickers.NameOf(sticker); }
  /// Pages of the set's sheet are alike: any tells version and rulers.
  [[nodiscard]] const MatLayout& Page() const { return *printed.PagesOf(out.sheet).front(); }
  void Drop(std::size_t photo, std::string why);
};

/// Each photo judged by itself, then against the others: one sheet, one size, one lens.
void SortOutPhotos(LyingWork& work);
/// @error kNoFigure with each photo's reason when too few are left.
Result<void> EnoughPhotos(const LyingWork& work);

/// Bundle adjustment, again and again without the photo or stickers that contradict the rest.
Result<void> SolveUntilSound(LyingWork& work);
/// Drops the photo that fits the others worst, when it fits them badly: moved board, other board,
/// other lens. True when one went.
bool DropForeignPhoto(LyingWork& work);
/// Drops stickers that are no flat squares, or whose rays meet too flat, or that few photos agree
/// on. True when one went.
bool DropBadStickers(LyingWork& work);
/// The set without each photo in turn: how far each height moves. A photo that moves one far too
/// far goes, and all is solved again.
Result<void> LeaveOneOut(LyingWork& work);

/// The stations on the board, in true length, with their uncertainty: the reading.
Result<void> PlaceStations(LyingWork& work);

/// Centres of some stickers of the set, world frame, from the solved points.
Eigen::MatrixX3d Centres(const SetIndex& index,
                         const std::vector<Eigen::Vector3d>& points,
                         const std::vector<std::size_t>& which);
std::vector<std::size_t> AllStickers(const SetIndex& index);

/// The centres' heights over their own plane as solved, and their covariance, mm2.
struct Heights {
  Eigen::MatrixX3d on_plane;  ///< x, y along the plane, z over it
  Eigen::MatrixXd covariance_mm2;
};
Heights HeightsOf(const LyingWork& work);

}  // namespace lieflat::internal
