#include "lieflat/shape/weight.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>

#include <Eigen/Cholesky>
#include <Eigen/QR>

#include "lieflat/board/mass.h"
#include "lieflat/board/upright.h"
#include "lieflat/plate/neighbourhood.h"

namespace lieflat {
namespace {

/// The sag is found when a round changes none of it by more than this.
constexpr double kSettledMm = 0.005;
constexpr double kDirectionStepMm = 0.05;

/// One thing that is not known exactly, moved by its standard deviation.
struct Unknown {
  const char* cause;
  PlateOptions moved;
};

std::vector<Unknown> UnknownsOf(const Board& board,
                                const MassModel& mass,
                                const Calib& calib,
                                const PlateOptions& base) {
  const auto one_up = [&](const char* cause, double PlateOptions::*factor, double relative) {
    Unknown unknown{cause, base};
    unknown.moved.*factor = 1.0 + relative;
    return unknown;
  };
  const auto relative = [](const Uncertain& x) { return x.u / x.value; };
  return {
      one_up("its weight: modulus",
             &PlateOptions::modulus_factor,
             relative(board.laminate.modulus_x_mpa)),
      one_up("its weight: shear modulus",
             &PlateOptions::shear_factor,
             relative(board.laminate.shear_mpa)),
      one_up(
          "its weight: thickness", &PlateOptions::thickness_factor, relative(board.thickness_mm)),
      one_up("its weight: mass", &PlateOptions::mass_factor, relative(mass.total_g)),
      one_up("its weight: where the mass sits",
             &PlateOptions::split_factor,
             calib.Number("supports", "/split_relative_sd").value)};
}

Hold HoldOf(const Holding& held) {
  Hold hold;
  hold.up = held.down == Side::kSolder ? Side::kComponent : Side::kSolder;
  hold.table = held.rest == Rest::kTable;
  for (const Eigen::Vector2d& at : held.supports_mm) hold.rests.push_back({at, 0.0, false});
  return hold;
}

/// The weighted sum of a sample's terms.
double AtSample(const Sample& sample, const std::function<double(const Eigen::Vector2d&)>& field) {
  double sum = 0.0;
  for (const Term& term : sample.terms) sum += term.weight * field(term.at_mm);
  return sum;
}

class WeightOut {
 public:
  WeightOut(const Board& board,
            const SampleSet& samples,
            const Calib& calib,
            const WeightOptions& options)
      : board_(board),
        raw_(samples),
        calib_(calib),
        most_rounds_(options.most_rounds),
        basis_(board) {
    base_.cell_mm =
        std::max(board.EdgeLength(Edge::kAB), board.EdgeLength(Edge::kBC)) / options.cells_along;
    base_.fine_mm = base_.cell_mm;
    for (const Sample& sample : samples.samples) {
      if (sample.held.weight_in() &&
          std::find(ways_.begin(), ways_.end(), sample.held) == ways_.end())
        ways_.push_back(sample.held);
    }
  }

  Result<Unweighed> Run() {
    out_.samples = raw_;
    out_.sag_mm.assign(raw_.samples.size(), 0.0);
    LeanBack();
    leant_ = out_.samples;
    if (!ways_.empty()) {
      auto mass = DistributeMass(board_, calib_);
      if (!mass) return mass.error();
      out_.mass_assumed = mass->assumed;
      if (auto settled = Settle(); !settled) return settled.error();
      for (const Unknown& unknown : UnknownsOf(board_, *mass, calib_, base_)) {
        if (auto added = AddError(unknown); !added) return added.error();
      }
      WhatShows();
    }
    out_.samples.weight_out = true;
    return std::move(out_);
  }

 private:
  /// A board on its edge buckles a little under its own weight; an edge that was read standing
  /// shows more bow than it has, one that was read lying on top does not. Which one it was is not
  /// known.
  void LeanBack() {
    const auto mass = DistributeMass(board_, calib_);
    if (!mass) return;  // refused further on where the mass matters
    const double pressure =
        mass->areal_kg_m2(board_) * calib_.Number("supports", "/gravity_m_s2").value * 1e-6;
    for (Sample& sample : out_.samples.samples) {
      if (sample.held.rest != Rest::kUpright || sample.figure != Figure::kDeparture) continue;
      const Eigen::Vector2d along = sample.terms.back().at_mm - sample.terms[1].at_mm;
      const bool along_x = std::abs(along.x()) > std::abs(along.y());
      const double stiffness = PlateStiffness(
          along_x ? board_.laminate.modulus_x_mpa.value : board_.laminate.modulus_y_mpa.value,
          board_.thickness_mm.value,
          board_.laminate.poisson.value);
      const auto factor = LeanFactor(along.norm(), CriticalHeight(stiffness, pressure));
      if (!factor) continue;  // it could not stand on that side, so it was not read so
      const double share = 0.5 * (*factor - 1.0) / (0.5 * (*factor + 1.0));
      sample.value_mm /= 0.5 * (*factor + 1.0);
      sample.errors.push_back({"leaning",
                               ErrorPart::Law::kRectangular,
                               std::abs(sample.value_mm) * share,
                               "",
                               1.0,
                               true});
    }
  }

  /// Rounds of: shape -> sag and how it follows the shape -> shape.
  Result<void> Settle() {
    SurfaceOptions quick;
    quick.draws = 40;
    quick.surface_draws = 20;
    auto as_seen = FitSurface(board_, leant_, calib_, quick);
    if (!as_seen) return as_seen.error();
    Eigen::VectorXd mean = as_seen->mean;
    double last_change = 0.0;
    for (out_.rounds = 1; out_.rounds <= most_rounds_; ++out_.rounds) {
      const std::vector<double> before = out_.sag_mm;
      if (auto bent = Bend(mean); !bent) return bent.error();
      const double change = Moved(before);
      if (out_.rounds == most_rounds_ || (out_.rounds > 2 && change < kSettledMm)) return {};
      auto surface = FitSurface(board_, out_.samples, calib_, quick);
      if (!surface) return surface.error();
      // Contact that comes and goes makes the rounds swing: half steps then.
      const bool swings = out_.rounds > 2 && change > 0.5 * last_change;
      mean = swings ? Eigen::VectorXd(0.5 * (mean + surface->mean)) : surface->mean;
      last_change = change;
    }
    return {};
  }

  /// Largest change of sag at a reading, the plane of each way taken out.
  [[nodiscard]] double Moved(const std::vector<double>& before) const {
    double largest = 0.0;
    for (const Holding& way : ways_) {
      std::vector<Eigen::RowVector4d> rows;
      for (std::size_t i = 0; i < before.size(); ++i) {
        const Sample& sample = raw_.samples[i];
        if (!(sample.held == way)) continue;
        rows.emplace_back(AtSample(sample, [](const Eigen::Vector2d&) { return 1.0; }),
                          AtSample(sample, [](const Eigen::Vector2d& at) { return 0.01 * at.x(); }),
                          AtSample(sample, [](const Eigen::Vector2d& at) { return 0.01 * at.y(); }),
                          out_.sag_mm[i] - before[i]);
      }
      Eigen::MatrixXd plane(static_cast<Eigen::Index>(rows.size()), 3);
      Eigen::VectorXd moved(plane.rows());
      for (Eigen::Index i = 0; i < plane.rows(); ++i) {
        plane.row(i) = rows[static_cast<std::size_t>(i)].head<3>();
        moved(i) = rows[static_cast<std::size_t>(i)](3);
      }
      moved -= plane * plane.completeOrthogonalDecomposition().solve(moved);
      largest = std::max(largest, moved.cwiseAbs().maxCoeff());
    }
    return largest;
  }

  /// Sag and response of every reading for the shape of these coefficients.
  Result<void> Bend(const Eigen::VectorXd& mean) {
    nearby_.clear();
    const HeightField shape = [this, mean](const Eigen::Vector2d& at) {
      return double(basis_.Row(at) * mean);
    };
    mean_ = mean;
    double highest = 0.0;
    for (const Holding& way : ways_) {
      auto model = MakePlateModel(board_, calib_, base_);
      if (!model) return model.error();
      auto plate = Plate::Make(std::move(*model));
      if (!plate) return plate.error();
      auto nearby = Neighbourhood::Make(std::move(*plate), shape, HoldOf(way));
      if (!nearby) return nearby.error();
      nearby_.push_back(std::move(*nearby));
      highest = std::max(highest, Range(nearby_.back().nominal(), nearby_.back().plate()));
    }
    out_.largest_sag_mm = highest;
    Eigen::MatrixXd response =
        Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(raw_.samples.size()), basis_.size());
    for (std::size_t w = 0; w < ways_.size(); ++w) {
      Sag(w, nearby_[w].plate(), nearby_[w].nominal(), out_.sag_mm);
      for (int k = 0; k < basis_.size(); ++k) {
        Eigen::VectorXd moved = mean;
        moved(k) += kDirectionStepMm;
        auto there = nearby_[w].Linear(
            nullptr, [&](const Eigen::Vector2d& at) { return double(basis_.Row(at) * moved); });
        if (!there) return there.error();
        std::vector<double> sag = out_.sag_mm;
        Sag(w, nearby_[w].plate(), *there, sag);
        for (std::size_t i = 0; i < sag.size(); ++i)
          response(static_cast<Eigen::Index>(i), k) += (sag[i] - out_.sag_mm[i]) / kDirectionStepMm;
      }
    }
    for (std::size_t i = 0; i < raw_.samples.size(); ++i) {
      Sample& sample = out_.samples.samples[i];
      if (!sample.held.weight_in()) continue;
      sample.response = response.row(static_cast<Eigen::Index>(i));
      sample.value_mm = leant_.samples[i].value_mm - out_.sag_mm[i] + sample.response * mean;
    }
    return {};
  }

  void Sag(std::size_t way,
           const Plate& plate,
           const PlateSolution& solution,
           std::vector<double>& sag) const {
    for (std::size_t i = 0; i < raw_.samples.size(); ++i) {
      const Sample& sample = raw_.samples[i];
      if (!(sample.held == ways_[way])) continue;
      sag[i] = AtSample(
          sample, [&](const Eigen::Vector2d& at) { return plate.Displacement(solution, at); });
    }
  }

  /// Of the sag over the corners and edge middles, tilt taken out.
  [[nodiscard]] double Range(const PlateSolution& solution, const Plate& plate) const {
    std::vector<Eigen::Vector2d> places;
    for (const Edge edge : kEdges) {
      places.push_back(board_.EdgeStart(edge));
      places.push_back(0.5 * (board_.EdgeStart(edge) + board_.EdgeEnd(edge)));
    }
    const auto n = static_cast<Eigen::Index>(places.size());
    Eigen::MatrixXd plane(n, 3);
    Eigen::VectorXd sag(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const Eigen::Vector2d& at = places[static_cast<std::size_t>(i)];
      plane.row(i) << 1.0, at.x(), at.y();
      sag(i) = plate.Displacement(solution, at);
    }
    const Eigen::VectorXd rest =
        sag - plane * (plane.transpose() * plane).ldlt().solve(plane.transpose() * sag);
    return rest.maxCoeff() - rest.minCoeff();
  }

  /// What one standard deviation of it does to every reading.
  Result<void> AddError(const Unknown& unknown) {
    std::vector<double> sag = out_.sag_mm;
    double range = 0.0;
    for (std::size_t w = 0; w < ways_.size(); ++w) {
      auto model = MakePlateModel(board_, calib_, unknown.moved);
      if (!model) return model.error();
      auto plate = Plate::Make(std::move(*model));
      if (!plate) return plate.error();
      auto there = nearby_[w].Linear(
          &*plate, [this](const Eigen::Vector2d& at) { return double(basis_.Row(at) * mean_); });
      if (!there) return there.error();
      Sag(w, *plate, *there, sag);
      range = std::max(
          range, std::abs(Range(*there, *plate) - Range(nearby_[w].nominal(), nearby_[w].plate())));
    }
    out_.largest_sag_u_mm = std::hypot(out_.largest_sag_u_mm, range);
    for (std::size_t i = 0; i < sag.size(); ++i) {
      const double change = sag[i] - out_.sag_mm[i];
      if (change == 0.0) continue;
      out_.samples.samples[i].errors.push_back({unknown.cause,
                                                ErrorPart::Law::kNormal,
                                                std::abs(change),
                                                unknown.cause,
                                                change > 0.0 ? -1.0 : 1.0,
                                                true});
    }
    return {};
  }

  /// Which of bow, twist and bow the readings still show, the plane taken out.
  void WhatShows() {
    const auto n = static_cast<Eigen::Index>(raw_.samples.size());
    Eigen::MatrixXd plane(n, 3);
    for (Eigen::Index i = 0; i < n; ++i) {
      const Sample& sample = raw_.samples[static_cast<std::size_t>(i)];
      plane(i, 0) = AtSample(sample, [](const Eigen::Vector2d&) { return 1.0; });
      plane(i, 1) = AtSample(sample, [](const Eigen::Vector2d& at) { return 0.01 * at.x(); });
      plane(i, 2) = AtSample(sample, [](const Eigen::Vector2d& at) { return 0.01 * at.y(); });
    }
    const auto fit = plane.completeOrthogonalDecomposition();
    const auto shown = [&](int k) {
      Eigen::VectorXd whole(n), seen(n);
      for (Eigen::Index i = 0; i < n; ++i) {
        const Sample& sample = out_.samples.samples[static_cast<std::size_t>(i)];
        whole(i) = AtSample(sample, [&](const Eigen::Vector2d& at) { return basis_.Row(at)(k); });
        seen(i) = whole(i) + (sample.response.size() > 0 ? sample.response(k) : 0.0);
      }
      const Eigen::VectorXd w = whole - plane * fit.solve(whole),
                            s = seen - plane * fit.solve(seen);
      return w.squaredNorm() > 0.0 ? std::clamp(w.dot(s) / w.squaredNorm(), 0.0, 1.0) : 1.0;
    };
    out_.bow_ab_shown = shown(0);
    out_.twist_shown = shown(1);
    out_.bow_bc_shown = shown(2);
  }

  const Board& board_;
  const SampleSet& raw_;
  const Calib& calib_;
  int most_rounds_;
  SurfaceBasis basis_;
  PlateOptions base_;
  std::vector<Holding> ways_;
  std::vector<Neighbourhood> nearby_;
  Eigen::VectorXd mean_;
  SampleSet leant_;
  Unweighed out_;
};

}  // namespace

Result<Unweighed> TakeWeightOut(const Board& board,
                                const SampleSet& samples,
                                const Calib& calib,
                                const WeightOptions& options) {
  return WeightOut(board, samples, calib, options).Run();
}

}  // namespace lieflat
