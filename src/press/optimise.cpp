#include "lieflat/press/optimise.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/flatten.h"
#include "lieflat/joints/plate_draws.h"

namespace lieflat {
namespace {

double Setting(const Calib& calib, const char* key) {
  return calib.Number("press", std::string("/optimise/") + key).value;
}

/// How one hold does, with all of it on.
struct Score {
  double share = 0.0, gap_mm = 0.0;
};

class Search {
 public:
  Search(const Board& board,
         const Surface& surface,
         const Calib& calib,
         const PressOptions& options)
      : board_(board),
        calib_(calib),
        options_(options),
        inputs_(board, surface, calib, 0, options.seed),
        most_(static_cast<int>(Setting(calib, "most_holds"))) {}

  Result<Optimised> Run(const PressWay& way) {
    if (auto sound = CheckWay(way, board_); !sound) return sound.error();
    const auto cell = [&](const char* key) {
      return calib_.Number("joints", std::string("/flatten/sample_") + key).value;
    };
    const PlateInputs::Point middle = inputs_.Along(0, 0.0);
    heights_ = inputs_.Heights(middle);
    const auto warp_mm = WarpToPress(board_, heights_, calib_);
    if (!warp_mm) return warp_mm.error();
    warp_mm_ = *warp_mm;
    auto plate = inputs_.MakePlate(middle, cell("cell_mm"), cell("fine_mm"));
    if (!plate) return plate.error();
    plate_.emplace(std::move(*plate));
    readout_.emplace(board_, calib_, *plate_);
    auto first = Try(way);
    if (!first) return first.error();
    out_.before = out_.after = first->share;
    out_.way = way;
    Result<void> done;
    if (auto* under = std::get_if<UnderWeights>(&out_.way)) {
      done = MoveWeights(*first, *under);
    } else if (auto* mount = std::get_if<OnStandOffs>(&out_.way)) {
      done = ChooseWashers(*mount);
    } else {
      return Error{ErrorCode::kBadUse,
                   "--optimise",
                   "there is nothing to choose in this way",
                   "it goes with --way weights or --way mount"};
    }
    if (!done) return done.error();
    return std::move(out_);
  }

 private:
  Result<Score> Try(const PressWay& way) {
    if (options_.progress) options_.progress(static_cast<double>(out_.searched) / most_);
    if (options_.stop.stop_requested()) return Stopped();
    ++out_.searched;
    Hold hold = HoldAt(way, board_, heights_, warp_mm_, 1.0, options_.up, calib_);
    hold.own_weight = options_.own_weight;
    auto solved = plate_->Solve(heights_, hold);
    if (!solved) return solved.error();
    if (match_.empty()) match_ = readout_->MatchTo(*plate_, *solved);
    const Eigen::VectorXd figures = readout_->Read(*plate_, *solved, match_);
    Score score;
    score.gap_mm = solved->gap_mm();
    for (std::size_t i = 0; i < board_.parts.size(); ++i) {
      const double share =
          std::abs(readout_->Strain(i, figures).strain) / options_.limits[i].allowed;
      score.share = std::max(score.share, share);
    }
    return score;
  }

  /// A move that is kept when it costs less. One without an answer is no move; being stopped ends
  /// it all.
  Result<bool> Better(const PressWay& way, const std::function<double(const Score&)>& cost) {
    if (out_.searched >= most_) return false;
    const auto score = Try(way);
    if (!score) {
      if (WasStopped(score.error())) return score.error();
      return false;
    }
    constexpr double kWorthIt = 1e-3;  // of the cost: less is the mesh's
    if (cost(*score) >= (1.0 - kWorthIt) * cost_) return false;
    cost_ = cost(*score);
    out_.after = score->share;
    return true;
  }

  /// Weights must go on pressing: what leaves more of the bend than at first is paid for.
  Result<void> MoveWeights(const Score& first, UnderWeights& under) {
    const double allowed_gap = first.gap_mm * (1.0 + Setting(calib_, "more_gap_share"));
    const auto cost = [&](const Score& score) {
      constexpr double kForbidding = 100.0;
      return score.share + kForbidding * std::max(0.0, score.gap_mm / allowed_gap - 1.0);
    };
    cost_ = cost(first);
    const double finest = Setting(calib_, "finest_step_mm");
    out_.finest_step_mm = finest;
    for (double step = Setting(calib_, "first_step_mm"); step >= finest; step *= 0.5) {
      for (bool moved = true; moved && out_.searched < most_;) {
        moved = false;
        for (UnderWeights::Weight& weight : under.weights) {
          for (const Eigen::Vector2d& by : {Eigen::Vector2d(step, 0),
                                            Eigen::Vector2d(-step, 0),
                                            Eigen::Vector2d(0, step),
                                            Eigen::Vector2d(0, -step)}) {
            const Eigen::Vector2d back = weight.at_mm;
            weight.at_mm += by;
            if (!Fits(weight)) {
              weight.at_mm = back;
              continue;
            }
            const auto better = Better(out_.way, cost);
            if (!better) return better.error();
            if (*better) {
              moved = true;
            } else {
              weight.at_mm = back;
            }
          }
        }
      }
    }
    return {};
  }

  /// Wholly over the board's box, its middle on the board.
  [[nodiscard]] bool Fits(const UnderWeights::Weight& weight) const {
    const auto [low, high] = board_.Box();
    constexpr double kEdge = 1e-9;
    return (weight.at_mm - 0.5 * weight.size_mm - low).minCoeff() >= -kEdge &&
           (high - weight.at_mm - 0.5 * weight.size_mm).minCoeff() >= -kEdge &&
           CheckWay(UnderWeights{{weight}}, board_).has_value();
  }

  /// From the gaps of the board as it lies on bare stand-offs, in whole washers.
  Result<void> ChooseWashers(OnStandOffs& mount) {
    const double washer = Setting(calib_, "washer_mm");
    out_.finest_step_mm = washer;
    const auto cost = [](const Score& score) { return score.share; };
    const std::vector<int> holes = MountHoles(board_);
    const Hold lying = UnforcedOnStandOffs(board_, options_.up);
    const auto solved = plate_->Solve(heights_, lying);
    if (!solved) return solved.error();
    const double up = options_.up == Side::kComponent ? 1.0 : -1.0;
    for (std::size_t k = 0; k < holes.size(); ++k) {
      const double gap = up * plate_->Height(*solved, lying.rests[k].at_mm);
      mount.shims_mm[holes[k]] = washer * std::max(0.0, std::round(gap / washer));
    }
    const auto first = Try(out_.way);
    if (!first) return first.error();
    cost_ = first->share;
    out_.after = first->share;
    for (bool moved = true; moved && out_.searched < most_;) {
      moved = false;
      for (const int hole : holes) {
        for (const double by : {washer, -washer}) {
          const double back = mount.shims_mm[hole];
          if (back + by < 0.0) continue;
          mount.shims_mm[hole] = back + by;
          const auto better = Better(out_.way, cost);
          if (!better) return better.error();
          if (*better) {
            moved = true;
          } else {
            mount.shims_mm[hole] = back;
          }
        }
      }
    }
    return {};
  }

  const Board& board_;
  const Calib& calib_;
  const PressOptions& options_;
  PlateInputs inputs_;
  int most_;
  HeightField heights_;
  double warp_mm_ = 0.0, cost_ = 0.0;
  std::optional<Plate> plate_;
  std::optional<PartReadout> readout_;
  PartReadout::Match match_;
  Optimised out_;
};

}  // namespace

Result<Optimised> OptimiseWay(const Board& board,
                              const Surface& surface,
                              const PressWay& way,
                              const Calib& calib,
                              const PressOptions& options) {
  if (board.parts.empty() || options.limits.size() != board.parts.size()) {
    return Error{ErrorCode::kNoFigure,
                 "--optimise",
                 "the board has no parts whose share could be made less",
                 "add its large soldered parts"};
  }
  return Search(board, surface, calib, options).Run(way);
}

}  // namespace lieflat
