#include "lieflat/joints/flatten.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "lieflat/flatness/flatness.h"

namespace lieflat {
namespace {

double Number(const Calib& calib, const char* key) {
  return calib.Number("joints", std::string("/flatten/") + key).value;
}

Hold PlatesAt(double gap_mm) {
  Hold hold;
  hold.plate = Hold::TopPlate{gap_mm, 0.0};
  return hold;
}

/// One gap between the plates and what is read there.
struct Moment {
  double gap_mm = 0.0;
  Eigen::VectorXd figures;
};

/// The worst moment of one figure, and the moment whose draws stand for it: its own, or the end
/// when that is nearly as bad; `scale` makes up the difference.
struct Chosen {
  std::size_t moment = 0, draws_of = 0;
  double scale = 1.0;
};

Chosen Choose(const std::vector<double>& by_moment, double way_tolerance) {
  Chosen chosen;
  const std::size_t end = by_moment.size() - 1;
  chosen.moment = chosen.draws_of = end;
  for (std::size_t m = 0; m < end; ++m) {
    if (std::abs(by_moment[m]) > std::abs(by_moment[chosen.moment])) chosen.moment = m;
  }
  if (chosen.moment == end) return chosen;
  const double ratio = by_moment[chosen.moment] / by_moment[end];
  if (by_moment[end] != 0.0 && ratio > 0.0 && ratio <= 1.0 + way_tolerance) {
    chosen.scale = ratio;
  } else {
    chosen.draws_of = chosen.moment;
  }
  return chosen;
}

class Flattener {
 public:
  Flattener(const Board& board,
            const Surface& surface,
            const Calib& calib,
            const FlattenOptions& options)
      : board_(board),
        calib_(calib),
        options_(options),
        surface_(surface),
        cell_mm_(options.cell_mm > 0.0 ? options.cell_mm : Number(calib, "cell_mm")),
        fine_mm_(options.fine_mm > 0.0 ? options.fine_mm : Number(calib, "fine_mm")),
        inputs_(board,
                surface,
                calib,
                options.samples > 0 ? options.samples : options.draws,
                options.seed) {}

  Result<Flattening> Run() {
    const auto warp_mm = WarpToPress(
        board_, [&](const Eigen::Vector2d& at) { return surface_.Height(at); }, calib_);
    if (!warp_mm) return warp_mm.error();
    out_.warp_mm = *warp_mm;
    auto plate = inputs_.MakePlate(Middle(), cell_mm_, fine_mm_);
    if (!plate) return plate.error();
    out_.unknowns = plate->unknowns();
    out_.sampled = options_.samples > 0;
    const double least = Number(calib_, "flat_least_mm");
    out_.gap_mm = std::max(Number(calib_, "flat_share_of_warp") * out_.warp_mm, least);
    if (out_.warp_mm <= out_.gap_mm) {
      return Error{ErrorCode::kNoFigure,
                   "flattening",
                   fmt::format("the board is within {:.2f} mm of flat", out_.gap_mm),
                   "there is nothing to press out"};
    }
    readout_.emplace(board_, calib_, *plate);
    if (auto pressed = Press(std::move(*plate)); !pressed) return pressed.error();
    Settle();
    if (auto drawn = Draw(); !drawn) return drawn.error();
    Spread();
    return std::move(out_);
  }

 private:
  [[nodiscard]] PlateInputs::Point Middle() const { return inputs_.Along(0, 0.0); }

  bool Tell(double done) const {
    if (options_.progress) options_.progress(done);
    return options_.stop.stop_requested();
  }

  /// Closes the plates in steps; the last one is kept for the derivatives.
  Result<void> Press(Plate plate) {
    const HeightField heights = inputs_.Heights(Middle());
    const int steps = static_cast<int>(Number(calib_, "steps"));
    std::optional<PlateSolution> last;
    for (int i = 1; i < steps; ++i) {
      if (Tell(kPressingShare * (i - 1) / steps)) return Stopped();
      // Steps shorten towards the end, where the force climbs.
      const double left = 1.0 - static_cast<double>(i) / steps;
      const double gap = out_.gap_mm + left * left * (out_.warp_mm - out_.gap_mm);
      auto solved = plate.Solve(heights, PlatesAt(gap), {}, last ? &*last : nullptr);
      if (!solved && last) solved = plate.Solve(heights, PlatesAt(gap));
      if (!solved) {
        out_.notes.push_back(
            fmt::format("pressing it flat: nothing was found at {:.2f} mm on the way: {}",
                        gap,
                        solved.error().message));
        continue;
      }
      if (match_.empty()) match_ = readout_->MatchTo(plate, *solved);
      moments_.push_back({gap, readout_->Read(plate, *solved, match_)});
      last = std::move(*solved);
    }
    auto near = Neighbourhood::Make(std::move(plate), heights, PlatesAt(out_.gap_mm));
    if (!near) return near.error();
    if (match_.empty()) match_ = readout_->MatchTo(near->plate(), near->nominal());
    moments_.push_back({out_.gap_mm, readout_->Read(near->plate(), near->nominal(), match_)});
    out_.field = BendFieldOf(near->plate(), near->nominal());
    end_.emplace(std::move(*near));
    return {};
  }

  template <typename Of>
  Chosen ChooseBy(const Of& of) {
    std::vector<double> by_moment;
    by_moment.reserve(moments_.size());
    for (const Moment& moment : moments_) by_moment.push_back(of(moment.figures));
    const Chosen chosen = Choose(by_moment, Number(calib_, "way_tolerance"));
    draws_.try_emplace(chosen.draws_of);
    return chosen;
  }

  /// The worst moment of each part.
  void Settle() {
    draws_.try_emplace(moments_.size() - 1);
    for (std::size_t i = 0; i < board_.parts.size(); ++i) {
      const auto strain = [&](const Eigen::VectorXd& f) { return readout_->Strain(i, f).strain; };
      const auto axial = [&](const Eigen::VectorXd& f) { return readout_->Joints(i, f)->axial_n; };
      const auto shear = [&](const Eigen::VectorXd& f) { return readout_->Joints(i, f)->shear_n; };
      FlattenedPart part;
      part.ref = board_.parts[i].ref;
      std::array<Chosen, 3> chosen;
      chosen[0] = ChooseBy(strain);
      const Moment& worst = moments_[chosen[0].moment];
      part.worst = readout_->Strain(i, worst.figures);
      part.strain.value = part.worst.strain;
      part.gap_mm = worst.gap_mm;
      part.end_strain = strain(moments_.back().figures);
      if (readout_->Joints(i, worst.figures)) {
        chosen[1] = ChooseBy(axial);
        chosen[2] = ChooseBy(shear);
        const auto joints = readout_->Joints(i, moments_[chosen[1].moment].figures);
        part.joints.emplace();
        part.joints->corners = joints->corners;
        part.joints->axial_n.value = joints->axial_n;
        part.joints->shear_n.value = shear(moments_[chosen[2].moment].figures);
        part.joints->beams = readout_->Beams(i);
      }
      out_.parts.push_back(std::move(part));
      chosen_.push_back(chosen);
    }
    out_.force_n.value = readout_->PlateForce(moments_.back().figures);
  }

  /// Draws at every moment that some part needs them.
  Result<void> Draw() {
    std::size_t done = 0;
    for (auto& [moment, drawn] : draws_) {
      const double from = kPressingShare + (1.0 - kPressingShare) * static_cast<double>(done) /
                                               static_cast<double>(draws_.size());
      const double share = (1.0 - kPressingShare) / static_cast<double>(draws_.size());
      const auto tell = [&](double of_this) { return Tell(from + share * of_this); };
      auto made = options_.samples > 0 ? Sampled(moment, tell) : Linear(moment, tell);
      if (!made) return made.error();
      drawn = std::move(*made);
      ++done;
    }
    Tell(1.0);
    auto kept = AnsweredEverywhere(draws_, inputs_.count(), calib_);
    if (!kept) return kept.error();
    if (!kept->note.empty()) out_.notes.push_back("pressing it flat: " + kept->note);
    kept_ = std::move(kept->draws);
    return {};
  }

  Result<DrawnFigures> Linear(std::size_t moment, const ::lieflat::Tell& tell) {
    if (moment + 1 == moments_.size())
      return DrawLinear(inputs_, *readout_, *end_, cell_mm_, fine_mm_, tell);
    auto plate = inputs_.MakePlate(Middle(), cell_mm_, fine_mm_);
    if (!plate) return plate.error();
    auto near = Neighbourhood::Make(
        std::move(*plate), inputs_.Heights(Middle()), PlatesAt(moments_[moment].gap_mm));
    if (!near) return near.error();
    return DrawLinear(inputs_, *readout_, *near, cell_mm_, fine_mm_, tell);
  }

  Result<DrawnFigures> Sampled(std::size_t moment, const ::lieflat::Tell& tell) {
    return DrawFull(inputs_,
                    *readout_,
                    moments_[moment].figures,
                    PlatesAt(moments_[moment].gap_mm),
                    Number(calib_, "sample_cell_mm"),
                    Number(calib_, "sample_fine_mm"),
                    tell);
  }

  [[nodiscard]] PlateFactors FactorsOf(std::size_t part, Eigen::Index draw) const {
    return part < board_.parts.size() ? inputs_.Factors(draw, board_.parts[part].part_class)
                                      : PlateFactors{};
  }

  template <typename Of>
  void SpreadOne(const Chosen& chosen, std::size_t part, const Of& of, DrawnFigure& figure) const {
    const Eigen::MatrixXd& drawn = draws_.at(chosen.draws_of).figures;
    figure.draws.resize(static_cast<Eigen::Index>(kept_.size()));
    for (std::size_t k = 0; k < kept_.size(); ++k)
      figure.draws(static_cast<Eigen::Index>(k)) =
          chosen.scale * of(drawn.col(kept_[k]), FactorsOf(part, kept_[k]));
    figure.interval95 = ShortestInterval(figure.draws);
    figure.interval95.low = std::min(figure.interval95.low, figure.value);
    figure.interval95.high = std::max(figure.interval95.high, figure.value);
  }

  void Spread() {
    for (std::size_t i = 0; i < out_.parts.size(); ++i) {
      FlattenedPart& part = out_.parts[i];
      SpreadOne(
          chosen_[i][0],
          i,
          [&](const Eigen::VectorXd& f, const PlateFactors&) {
            return readout_->Strain(i, f).strain;
          },
          part.strain);
      if (!part.joints) continue;
      SpreadOne(
          chosen_[i][1],
          i,
          [&](const Eigen::VectorXd& f, const PlateFactors& factors) {
            return readout_->Joints(i, f, factors)->axial_n;
          },
          part.joints->axial_n);
      SpreadOne(
          chosen_[i][2],
          i,
          [&](const Eigen::VectorXd& f, const PlateFactors& factors) {
            return readout_->Joints(i, f, factors)->shear_n;
          },
          part.joints->shear_n);
    }
    Chosen end;
    end.moment = end.draws_of = moments_.size() - 1;
    SpreadOne(
        end,
        0,
        [&](const Eigen::VectorXd& f, const PlateFactors&) {
          // Plates do not pull.
          return std::max(0.0, readout_->PlateForce(f));
        },
        out_.force_n);
  }

  static constexpr double kPressingShare = 0.2;  ///< of the work shown by the progress

  const Board& board_;
  const Calib& calib_;
  const FlattenOptions& options_;
  const Surface& surface_;
  double cell_mm_, fine_mm_;
  PlateInputs inputs_;
  Flattening out_;
  std::optional<PartReadout> readout_;
  PartReadout::Match match_;
  std::optional<Neighbourhood> end_;
  std::vector<Moment> moments_;
  std::vector<std::array<Chosen, 3>> chosen_;  ///< by part: strain, axial, shear
  std::map<std::size_t, DrawnFigures> draws_;  ///< by moment
  std::vector<Eigen::Index> kept_;             ///< draws that have an answer
};

}  // namespace

Result<double> WarpToPress(const Board& board,
                           const std::function<double(const Eigen::Vector2d& at_mm)>& height_mm,
                           const Calib& calib) {
  const double warp_mm = Warp(board, height_mm);
  const double most_mm = Number(calib, "most_warp_share") * board.Diagonal();
  if (warp_mm <= most_mm) return warp_mm;
  return Error{ErrorCode::kNoFigure,
               "readings",
               fmt::format("the board would stand {:.0f} mm out of its plane; what a press does is "
                           "worked out up to {:.0f} mm",
                           warp_mm,
                           most_mm),
               "read the heights again; a board bent that far is not pressed"};
}

Result<Flattening> FlattenBetweenPlates(const Board& board,
                                        const Surface& surface,
                                        const Calib& calib,
                                        const FlattenOptions& options) {
  if (auto problem = ProblemOfDraws(options.samples != 0 ? options.samples : options.draws))
    return *std::move(problem);
  return Flattener(board, surface, calib, options).Run();
}

}  // namespace lieflat
