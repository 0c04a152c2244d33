// The set without each photo in turn: what the covariance of one model cannot show.

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/lying_work.h"
#include "photo/plane.h"

namespace lieflat::internal {
namespace {

struct Moves {
  Eigen::VectorXd squares, counts;  // by sticker: of how far it moved, and how often it was solved
  int worst = -1;                   // the shot without which a height moves too far; -1: none
  bool unsettled = false;           // without some shot nothing could be solved
};

/// Adds what leaving `shot` out does to each height, and compares it with its uncertainty.
void LeaveOut(
    const LyingWork& work, int shot, const Eigen::VectorXd& sd, double& most, Moves& moves) {
  const SetIndex& index = work.set.index;
  const BundleProblem without = WithoutShot(work.set.bundle, work.out.bundle, shot);
  BundleOptions options;
  options.cuts = 0;
  options.max_passes = 25;
  const auto solved = SolveBundle(without, {}, options);
  if (!solved) {
    moves.unsettled = true;
    return;
  }
  std::vector<std::size_t> kept;
  for (const std::size_t k : AllStickers(index)) {
    if (ShotsOf(without, solved->used, index, k) >= 2) kept.push_back(k);
  }
  if (kept.size() < 4) return;
  const Eigen::MatrixX3d before = Centres(index, work.out.bundle.points_mm, kept);
  const Eigen::MatrixX3d after = Centres(index, solved->points_mm, kept);
  const Eigen::MatrixX3d b = OnPlane(before, FitPlane(before));
  const Eigen::MatrixX3d a = OnPlane(after, FitPlane(after));
  for (std::size_t i = 0; i < kept.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(kept[i]);
    const double moved = a(static_cast<Eigen::Index>(i), 2) - b(static_cast<Eigen::Index>(i), 2);
    moves.squares(row) += moved * moved;
    moves.counts(row) += 1.0;
    const double sigma = std::max(sd(row), work.Limit("/photos/moved_floor_mm"));
    const double share = std::abs(moved) / (work.Limit("/photos/moved_sigma") * sigma);
    if (share > most) {
      most = share;
      moves.worst = shot;
    }
  }
}

Moves LeaveEachOut(const LyingWork& work, const Eigen::VectorXd& sd) {
  Moves moves{Eigen::VectorXd::Zero(sd.size()), Eigen::VectorXd::Zero(sd.size())};
  double most = 1.0;
  for (int shot = 0; shot < static_cast<int>(work.set.bundle.shots.size()); ++shot)
    LeaveOut(work, shot, sd, most, moves);
  return moves;
}

/// Jackknife estimate of a standard error (Efron, 1982): (n - 1) / n times the sum of squares.
Eigen::VectorXd StandardErrors(const Moves& moves) {
  Eigen::VectorXd errors(moves.counts.size());
  for (Eigen::Index i = 0; i < errors.size(); ++i) {
    const double n = moves.counts(i);
    errors(i) = n >= 2.0 ? std::sqrt(moves.squares(i) * (n - 1.0) / n) : 0.0;
  }
  return errors;
}

}  // namespace

Result<void> LeaveOneOut(LyingWork& work) {
  while (true) {
    const Eigen::VectorXd sd = HeightsOf(work).covariance_mm2.diagonal().cwiseMax(0.0).cwiseSqrt();
    const Moves moves = LeaveEachOut(work, sd);
    if (moves.worst >= 0 && work.Used() > static_cast<int>(work.Limit("/photos/least_lying"))) {
      work.Drop(work.set.photo_of_shot[static_cast<std::size_t>(moves.worst)],
                fmt::format("without it heights move by over {:g} times their uncertainty: it does "
                            "not belong to the set",
                            work.Limit("/photos/moved_sigma")));
      if (auto solved = SolveUntilSound(work); !solved) return solved;
      continue;
    }
    work.jackknife_u_mm = StandardErrors(moves);
    if (moves.unsettled) {
      // What leaving a photo out does is not known: taken for three times the covariance's share.
      work.jackknife_u_mm = work.jackknife_u_mm.cwiseMax(3.0 * sd);
      work.out.warnings.push_back(
          "the set hangs on a single photo: take five, from all four sides and from above");
    }
    if (moves.worst >= 0) {
      const auto shot = static_cast<std::size_t>(moves.worst);
      work.out.warnings.push_back(
          fmt::format("{} moves a height by over {:g} times its uncertainty: take five photos",
                      work.photos[work.set.photo_of_shot[shot]].name,
                      work.Limit("/photos/moved_sigma")));
    }
    return {};
  }
}

}  // namespace lieflat::internal
