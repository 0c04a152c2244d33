#include "lieflat/press/press.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/mass.h"
#include "lieflat/board/polygon.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/joints/flatten.h"
#include "lieflat/joints/plate_draws.h"
#include "lieflat/joints/strain.h"

#include "press/press_draws.h"
#include "press/press_forces.h"

namespace lieflat {
namespace {

constexpr double kMicrostrain = 1e6;
constexpr double kSameMm = 1e-4;  // contact is exact to a few millionths of a millimetre

double Setting(const Calib& calib, const char* key) {
  return calib.Number("joints", std::string("/flatten/") + key).value;
}

class Presser {
 public:
  Presser(const Board& board,
          const Surface& surface,
          const PressWay& way,
          const Calib& calib,
          const PressOptions& options)
      : board_(board),
        way_(way),
        calib_(calib),
        options_(options),
        cell_mm_(options.cell_mm > 0.0 ? options.cell_mm : Setting(calib, "cell_mm")),
        fine_mm_(options.fine_mm > 0.0 ? options.fine_mm : Setting(calib, "fine_mm")),
        inputs_(board,
                surface,
                calib,
                options.samples > 0 ? options.samples : options.draws,
                options.seed) {}

  Result<Pressing> Run() {
    if (auto sound = CheckWay(way_, board_); !sound) return sound.error();
    if (auto sound = CheckPoints(); !sound) return sound.error();
    heights_ = inputs_.Heights(Middle());
    const auto warp_mm = WarpToPress(board_, heights_, calib_);
    if (!warp_mm) return warp_mm.error();
    out_.warp_mm = *warp_mm;
    auto plate = inputs_.MakePlate(Middle(), cell_mm_, fine_mm_);
    if (!plate) return plate.error();
    out_.way = Name(way_);
    out_.unknowns = plate->unknowns();
    out_.flat_mm = std::max(Setting(calib_, "flat_share_of_warp") * out_.warp_mm,
                            Setting(calib_, "flat_least_mm"));
    readout_.emplace(board_, calib_, *plate);
    if (auto pressed = Press(*plate); !pressed) return pressed.error();
    Rate();
    if (inputs_.count() > 0) {
      if (auto spread = Spread(); !spread) return spread.error();
    }
    if (auto described = DescribeEnd(*plate); !described) return described.error();
    if (std::holds_alternative<OnStandOffs>(way_)) MeasureUnforcedGaps(*plate);
    SayWhatIsLeftOut();
    return std::move(out_);
  }

 private:
  [[nodiscard]] PlateInputs::Point Middle() const { return inputs_.Along(0, 0.0); }

  bool Tell(double done) const {
    if (options_.progress) options_.progress(done);
    return options_.stop.stop_requested();
  }

  [[nodiscard]] Result<void> CheckPoints() const {
    for (std::size_t i = 0; i < options_.points_mm.size(); ++i) {
      const Eigen::Vector2d& at = options_.points_mm[i];
      if (OnBoard(board_, at)) continue;
      return Error{ErrorCode::kRefused,
                   fmt::format("point {}", i + 1),
                   fmt::format("{:.4g},{:.4g} mm is not on the board", at.x(), at.y()),
                   "give a place in mm from corner A"};
    }
    return {};
  }

  [[nodiscard]] Hold At(double share) const {
    Hold hold = HoldAt(way_, board_, heights_, out_.warp_mm, share, options_.up, calib_);
    hold.own_weight = options_.own_weight;
    return hold;
  }

  [[nodiscard]] SolveOptions Solving() const {
    SolveOptions solving;
    solving.large_deflection = options_.large_deflection;
    return solving;
  }

  /// Solves one share of the way after the other.
  Result<void> Press(const Plate& plate) {
    const int steps = static_cast<int>(calib_.Number("press", "/steps").value);
    const double pressing = inputs_.count() > 0 ? kPressingShare : 1.0;
    std::optional<Error> failed;
    for (int i = 1; i <= steps; ++i) {
      if (Tell(pressing * (i - 1) / steps)) return Stopped();
      const double share = static_cast<double>(i) / steps;
      const Hold hold = At(share);
      auto solved = plate.Solve(heights_, hold, Solving(), last_ ? &*last_ : nullptr);
      if (!solved && last_) solved = plate.Solve(heights_, hold, Solving());
      if (!solved) {
        if (solved.error().code != ErrorCode::kNoFigure) return solved.error();
        failed = solved.error();
        out_.validity.push_back(fmt::format(
            "nothing was found at {:.0f} % of the way: {}", 100.0 * share, failed->message));
        out_.reached = false;
        continue;
      }
      out_.reached = true;
      Take(plate, hold, share, std::move(*solved));
    }
    if (out_.steps.empty()) return *failed;
    return {};
  }

  void Take(const Plate& plate, const Hold& hold, double share, PlateSolution solution) {
    if (match_.empty()) match_ = readout_->MatchTo(plate, solution);
    figures_.push_back(readout_->Read(plate, solution, match_));
    PressStep step;
    step.share = share;
    step.load_n = PressingLoad(way_, hold, solution);
    step.contact_n = GroundForce(solution);
    step.gap_mm = solution.gap_mm();
    step.highest_mm = solution.highest_mm;
    step.largest_strain = plate.LargestStrain(solution, calib_.Number("press", "/rim_mm").value);
    for (std::size_t i = 0; i < board_.parts.size(); ++i)
      step.parts.push_back(
          {readout_->Strain(i, figures_.back()), readout_->Joints(i, figures_.back())});
    if (!out_.flat_load_n && step.gap_mm <= out_.flat_mm + kSameMm)
      out_.flat_load_n = FlatLoad(step);
    out_.steps.push_back(std::move(step));
    hold_ = hold;
    last_ = std::move(solution);
  }

  /// Between the last step and this one, which is the first that is flat.
  [[nodiscard]] double FlatLoad(const PressStep& step) const {
    if (out_.steps.empty()) return step.load_n;
    const PressStep& before = out_.steps.back();
    if (before.gap_mm <= step.gap_mm) return step.load_n;
    const double along = (before.gap_mm - out_.flat_mm) / (before.gap_mm - step.gap_mm);
    return before.load_n + along * (step.load_n - before.load_n);
  }

  [[nodiscard]] double ShareOf(std::size_t part, double strain) const {
    return options_.limits.empty() ? 0.0 : std::abs(strain) / options_.limits[part].allowed;
  }

  /// The worst step of each part and of all; the chances without draws.
  void Rate() {
    LIEFLAT_CHECK(options_.limits.empty() || options_.limits.size() == board_.parts.size(),
                  "one limit a part");
    const double relative_t = board_.thickness_mm.u / board_.thickness_mm.value;
    std::vector<double> chances;
    for (std::size_t i = 0; i < board_.parts.size(); ++i) {
      PressedPart part;
      part.ref = board_.parts[i].ref;
      for (std::size_t k = 0; k < out_.steps.size(); ++k) {
        const double strain = out_.steps[k].parts[i].strain.strain;
        if (k > 0 && std::abs(strain) <= std::abs(part.strain)) continue;
        part.strain = strain;
        part.worst_step = k;
      }
      part.share = ShareOf(i, part.strain);
      if (!options_.limits.empty()) {
        const PartLimit& limit = options_.limits[i];
        part.damage_probability =
            DamageProbability(part.strain, 0.0, limit.median, limit.log_sd, relative_t);
        chances.push_back(part.damage_probability);
        part.rating = RateJoint(part.share, part.damage_probability, kOnePress, calib_);
      }
      out_.parts.push_back(std::move(part));
    }
    out_.any_damage_probability = AnyDamageProbability(chances);
    FindWorst();
  }

  void FindWorst() {
    const auto badness = [&](const PressStep& step) {
      double most = 0.0;
      for (std::size_t i = 0; i < step.parts.size(); ++i) {
        const double strain = step.parts[i].strain.strain;
        most = std::max(most, options_.limits.empty() ? std::abs(strain) : ShareOf(i, strain));
      }
      return step.parts.empty() ? step.largest_strain : most;
    };
    double most = -1.0;
    for (std::size_t k = 0; k < out_.steps.size(); ++k) {
      // Where two are alike the later one: more of the way is known of it.
      if (const double bad = badness(out_.steps[k]); bad >= most) {
        most = bad;
        out_.worst = k;
      }
    }
  }

  Result<void> Spread() {
    std::vector<std::size_t> moments;
    for (const PressedPart& part : out_.parts) moments.push_back(part.worst_step);
    const DrawAt draw_at{inputs_, *readout_, cell_mm_, fine_mm_, heights_, Solving(), calib_};
    const auto hold_of = [&](std::size_t step) { return At(out_.steps[step].share); };
    auto drawn =
        DrawMoments(draw_at, moments, figures_, hold_of, options_.samples > 0, [&](double done) {
          return Tell(kPressingShare + (1.0 - kPressingShare) * done);
        });
    if (!drawn) return drawn.error();
    if (!drawn->note.empty()) out_.validity.push_back(drawn->note);
    std::vector<Eigen::VectorXd> strains;
    for (std::size_t i = 0; i < out_.parts.size(); ++i) {
      PressedPart& part = out_.parts[i];
      const Eigen::MatrixXd& figures = drawn->figures.at(part.worst_step);
      Eigen::VectorXd strain(figures.cols());
      for (Eigen::Index k = 0; k < figures.cols(); ++k)
        strain(k) = readout_->Strain(i, figures.col(k)).strain;
      part.strain95 = Holding(ShortestInterval(strain), part.strain);
      if (!options_.limits.empty()) {
        const PartLimit& limit = options_.limits[i];
        part.share95 = Holding(ShortestInterval(strain.cwiseAbs() / limit.allowed), part.share);
        part.damage_probability = DamageProbability(strain, limit);
        part.rating = RateJoint(part.share, part.damage_probability, kOnePress, calib_);
      }
      strains.push_back(std::move(strain));
    }
    if (!options_.limits.empty())
      out_.any_damage_probability = AnyDamageProbability(strains, options_.limits);
    Tell(1.0);
    return {};
  }

  static Interval Holding(Interval interval, double figure) {
    return {std::min(interval.low, figure), std::max(interval.high, figure)};
  }

  Result<void> DescribeEnd(const Plate& plate) {
    out_.hold = hold_;
    out_.field = BendFieldOf(plate, *last_);
    auto forces = ForcesOnBoard(way_, board_, hold_, plate, *last_, calib_);
    if (!forces) return forces.error();
    out_.forces = std::move(*forces);
    const double up = options_.up == Side::kComponent ? 1.0 : -1.0;
    const Side down = options_.up == Side::kComponent ? Side::kSolder : Side::kComponent;
    for (const Eigen::Vector2d& at : options_.points_mm) {
      const auto principal = [&](Side face) {
        const auto [first, second] = Principal(plate.Strain(*last_, at, face));
        return Eigen::Vector2d(first, second);
      };
      out_.points.push_back(
          {at, up * plate.Height(*last_, at), principal(options_.up), principal(down)});
    }
    double worst_strain = 0.0;
    for (const PressStep& step : out_.steps)
      worst_strain = std::max(worst_strain, step.largest_strain);
    const auto slowly = [&](const char* key) {
      return calib_.Number("press", std::string("/bring_on/") + key).value;
    };
    out_.lower_over_s =
        std::max(slowly("least_s"), std::ceil(worst_strain * kMicrostrain / slowly("ue_per_s")));
    return {};
  }

  void MeasureUnforcedGaps(const Plate& plate) {
    const Hold lying = UnforcedOnStandOffs(board_, options_.up);
    const auto solved = plate.Solve(heights_, lying, Solving());
    if (!solved) {
      out_.validity.push_back("how it lies on bare stand-offs was not found: " +
                              solved.error().message);
      return;
    }
    const double up = options_.up == Side::kComponent ? 1.0 : -1.0;
    const std::vector<int> holes = MountHoles(board_);
    for (std::size_t k = 0; k < holes.size(); ++k) {
      const double gap = up * plate.Height(*solved, lying.rests[k].at_mm);
      out_.unforced_gaps.push_back({holes[k], std::max(0.0, gap)});
    }
  }

  void SayWhatIsLeftOut() {
    if (const auto* plates = std::get_if<BetweenPlates>(&way_);
        plates != nullptr && plates->gap_mm && out_.end().load_n == 0.0)
      out_.validity.emplace_back("the plates do not reach it: nothing is pressed at this gap");
    if (!options_.large_deflection) {
      out_.validity.emplace_back(
          "worked out as for small bends: a domed board takes more load than this says");
    }
    std::vector<std::string> soft;
    for (const NotStiffening& part : PartsNotStiffening(board_, calib_)) soft.push_back(part.ref);
    if (!soft.empty()) {
      out_.validity.push_back(
          fmt::format("taken as no stiffer than the bare board: {}", Join(soft, ", ")));
    }
  }

  static constexpr double kPressingShare = 0.4;  ///< of the work shown by the progress
  static constexpr double kOnePress = 0.0;       ///< the wear of one press is not counted here

  const Board& board_;
  const PressWay& way_;
  const Calib& calib_;
  const PressOptions& options_;
  double cell_mm_, fine_mm_;
  PlateInputs inputs_;
  HeightField heights_;
  Pressing out_;
  std::optional<PartReadout> readout_;
  PartReadout::Match match_;
  std::vector<Eigen::VectorXd> figures_;  ///< by step
  Hold hold_;                             ///< of the last step found
  std::optional<PlateSolution> last_;
};

std::optional<Error> Problem(const PressOptions& options) {
  const int count = options.samples != 0 ? options.samples : options.draws;
  return count == 0 ? std::nullopt : ProblemOfDraws(count);
}

}  // namespace

bool Pressing::flat() const { return end().gap_mm <= flat_mm + kSameMm; }

Result<Pressing> PressBoard(const Board& board,
                            const Surface& surface,
                            const PressWay& way,
                            const Calib& calib,
                            const PressOptions& options) {
  if (auto problem = Problem(options)) return *std::move(problem);
  return Presser(board, surface, way, calib, options).Run();
}

}  // namespace lieflat
