#include "lieflat/joints/plate_draws.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <Eigen/SVD>
#include <fmt/format.h>

#include "lieflat/base/random.h"
#include "lieflat/board/mass.h"

namespace lieflat {
namespace {

/// Of the modulus, shear modulus, thickness, mass and its split; the first directions after those
/// of the surface.
constexpr Eigen::Index kBoardNumbers = 5;
/// A derivative's step, in standard deviations: what is quadratic in it stays a thousandth of the
/// spread, and rounding of the solution (1e-9) stays far below.
constexpr double kDerivativeStep = 0.02;

/// The spread of the logarithm that gives a positive number this relative standard deviation.
double LogSd(double relative_sd) { return std::sqrt(std::log1p(relative_sd * relative_sd)); }

double Relative(const Uncertain& number) { return number.u / number.value; }

/// Relative standard deviation of a class's joint stiffness.
double JointSpread(const std::string& part_class, const Calib& calib) {
  const auto axial = calib.Find("part_classes", "/classes/" + part_class + "/joint_axial_n_per_mm");
  if (axial && axial->uncertainty > 0.0) return axial->uncertainty / axial->value;
  return calib.Number("joints", "/flatten/joint_relative_sd").value;
}

/// Relative standard deviation of the board's mass; a mass that is refused is refused with the
/// plate.
double MassSpread(const Board& board, const Calib& calib) {
  const auto mass = DistributeMass(board, calib);
  return mass ? Relative(mass->total_g) : 0.0;
}

}  // namespace

Error Stopped() {
  return {ErrorCode::kNoFigure, "samples", "stopped", "run it again, or with fewer samples"};
}

bool WasStopped(const Error& error) {
  const Error stopped = Stopped();
  return error.code == stopped.code && error.message == stopped.message;
}

PlateInputs::PlateInputs(
    const Board& board, const Surface& surface, const Calib& calib, int count, std::uint64_t seed)
    : board_(board), surface_(surface), calib_(calib) {
  ReduceSurface(calib);
  log_sd_ = {LogSd(Relative(board.laminate.modulus_x_mpa)),
             LogSd(Relative(board.laminate.shear_mpa)),
             LogSd(Relative(board.thickness_mm)),
             LogSd(MassSpread(board, calib)),
             LogSd(calib.Number("supports", "/split_relative_sd").value)};
  std::set<std::string> classes;
  for (const Part& part : board.parts) classes.insert(part.part_class);
  joint_classes_.assign(classes.begin(), classes.end());
  for (const std::string& name : joint_classes_) log_sd_.push_back(LogSd(JointSpread(name, calib)));

  const Eigen::Index shapes = shape_directions_.cols();
  scores_.resize(shapes + static_cast<Eigen::Index>(log_sd_.size()), count);
  Random random(seed);
  for (Eigen::Index k = 0; k < count; ++k) {
    scores_.col(k).head(shapes) = shape_scores_.col(k % shape_scores_.cols());
    for (Eigen::Index i = shapes; i < scores_.rows(); ++i) scores_(i, k) = random.Normal();
  }
}

/// The directions in which the draws of the surface differ in curvature, since that is what strains
/// parts: few carry nearly all of it.
void PlateInputs::ReduceSurface(const Calib& calib) {
  constexpr int kGrid = 7;
  const double kept_share = calib.Number("joints", "/flatten/kept_variance").value;
  const auto [low, high] = board_.Box();
  Eigen::MatrixXd curvature(3 * kGrid * kGrid, surface_.basis.size());
  for (int i = 0; i < kGrid * kGrid; ++i) {
    const Eigen::Vector2d share((i % kGrid + 0.5) / kGrid, (i / kGrid + 0.5) / kGrid);
    curvature.middleRows<3>(3 * i) =
        surface_.basis.SecondDerivatives(low + share.cwiseProduct(high - low));
  }
  const Eigen::MatrixXd spread = surface_.coefficient_draws.colwise() - surface_.mean;
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(curvature.transpose() * curvature,
                                              Eigen::ComputeThinU | Eigen::ComputeThinV);
  // weigh^T weigh = the grid's sum of squares of the curvature.
  const Eigen::MatrixXd weigh =
      svd.singularValues().cwiseSqrt().asDiagonal() * svd.matrixV().transpose();
  const Eigen::MatrixXd back =
      svd.matrixV() * svd.singularValues().cwiseSqrt().cwiseInverse().asDiagonal();
  const Eigen::MatrixXd weighed = weigh * spread;
  const Eigen::JacobiSVD<Eigen::MatrixXd> parts(weighed * weighed.transpose(), Eigen::ComputeThinU);
  const Eigen::VectorXd& variance = parts.singularValues();
  const auto draws = static_cast<double>(spread.cols());
  const double all = variance.sum();
  Eigen::Index kept = 0;
  double sum = 0.0;
  while (kept < variance.size() && sum < kept_share * all) sum += variance(kept++);
  Eigen::MatrixXd directions = parts.matrixU().leftCols(kept);
  shape_scores_ = directions.transpose() * weighed;
  for (Eigen::Index i = 0; i < kept; ++i) {
    const double sd = std::sqrt(variance(i) / draws);
    directions.col(i) *= sd;
    shape_scores_.row(i) /= sd;
  }
  shape_directions_ = back * directions;
}

bool PlateInputs::Point::same_plate() const {
  return modulus == 1.0 && shear == 1.0 && thickness == 1.0 && mass == 1.0 && split == 1.0 &&
         std::all_of(joints.begin(), joints.end(), [](double factor) { return factor == 1.0; });
}

double PlateInputs::FactorOf(std::size_t number, double score) const {
  return std::exp(log_sd_[number] * score);
}

PlateFactors PlateInputs::Factors(Eigen::Index k, const std::string& part_class) const {
  const Eigen::Index shapes = shape_directions_.cols();
  const auto at = std::lower_bound(joint_classes_.begin(), joint_classes_.end(), part_class);
  const Eigen::Index joint = kBoardNumbers + (at - joint_classes_.begin());
  PlateFactors factors;
  factors.modulus = FactorOf(0, scores_(shapes, k));
  factors.thickness = FactorOf(2, scores_(shapes + 2, k));
  factors.joint = FactorOf(static_cast<std::size_t>(joint), scores_(shapes + joint, k));
  return factors;
}

PlateInputs::Point PlateInputs::PointOf(const Eigen::VectorXd& scores,
                                        const Eigen::VectorXd& coefficients) const {
  const Eigen::Index shapes = shape_directions_.cols();
  const auto factor = [&](Eigen::Index i) {
    return FactorOf(static_cast<std::size_t>(i), scores(shapes + i));
  };
  Point point;
  point.coefficients = coefficients;
  point.modulus = factor(0);
  point.shear = factor(1);
  point.thickness = factor(2);
  point.mass = factor(3);
  point.split = factor(4);
  for (Eigen::Index i = kBoardNumbers; i < static_cast<Eigen::Index>(log_sd_.size()); ++i)
    point.joints.push_back(factor(i));
  return point;
}

PlateInputs::Point PlateInputs::Along(Eigen::Index direction, double by) const {
  Eigen::VectorXd scores = Eigen::VectorXd::Zero(directions());
  scores(direction) = by;
  return PointOf(scores, surface_.mean + shape_directions_ * scores.head(shape_directions_.cols()));
}

PlateInputs::Point PlateInputs::Draw(Eigen::Index k) const {
  // The surface as it was drawn, not its reduction.
  return PointOf(scores_.col(k),
                 surface_.coefficient_draws.col(k % surface_.coefficient_draws.cols()));
}

Result<Plate> PlateInputs::MakePlate(const Point& point, double cell_mm, double fine_mm) const {
  PlateOptions options;
  options.cell_mm = cell_mm;
  options.fine_mm = fine_mm;
  options.modulus_factor = point.modulus;
  options.shear_factor = point.shear;
  options.thickness_factor = point.thickness;
  options.mass_factor = point.mass;
  options.split_factor = point.split;
  auto model = MakePlateModel(board_, calib_, options);
  if (!model) return model.error();
  for (Stiffener& stiffener : model->stiffeners) {
    const Part* part = board_.FindPart(stiffener.ref);
    const auto at =
        std::lower_bound(joint_classes_.begin(), joint_classes_.end(), part->part_class);
    const double factor = point.joints[static_cast<std::size_t>(at - joint_classes_.begin())];
    stiffener.axial_n_per_mm *= factor;
    stiffener.shear_n_per_mm *= factor;
  }
  return Plate::Make(std::move(*model));
}

HeightField PlateInputs::Heights(const Point& point) const {
  return [this, coefficients = point.coefficients](const Eigen::Vector2d& at_mm) {
    return surface_.basis.Row(at_mm).dot(coefficients);
  };
}

Result<DrawnFigures> DrawLinear(const PlateInputs& inputs,
                                const PartReadout& readout,
                                Neighbourhood& near,
                                double cell_mm,
                                double fine_mm,
                                const Tell& tell) {
  const PartReadout::Match match = readout.MatchTo(near.plate(), near.nominal());
  const Eigen::VectorXd nominal = readout.Read(near.plate(), near.nominal(), match);
  Eigen::MatrixXd derivative(nominal.size(), inputs.directions());
  for (Eigen::Index i = 0; i < inputs.directions(); ++i) {
    if (tell(static_cast<double>(i) / static_cast<double>(inputs.directions()))) return Stopped();
    const PlateInputs::Point point = inputs.Along(i, kDerivativeStep);
    std::optional<Plate> other;
    if (!point.same_plate()) {
      auto made = inputs.MakePlate(point, cell_mm, fine_mm);
      if (!made) return made.error();
      other.emplace(std::move(*made));
    }
    const auto moved = near.Linear(other ? &*other : nullptr, inputs.Heights(point));
    if (!moved) return moved.error();
    const Eigen::VectorXd there = readout.Read(other ? *other : near.plate(), *moved, match);
    derivative.col(i) = (there - nominal) / kDerivativeStep;
  }
  DrawnFigures drawn;
  drawn.figures = (derivative * inputs.scores()).colwise() + nominal;
  drawn.answered.assign(static_cast<std::size_t>(inputs.count()), true);
  return drawn;
}

Result<DrawnFigures> DrawFull(const PlateInputs& inputs,
                              const PartReadout& readout,
                              const Eigen::VectorXd& nominal,
                              const Hold& hold,
                              double cell_mm,
                              double fine_mm,
                              const Tell& tell) {
  const PlateInputs::Point middle = inputs.Along(0, 0.0);
  auto plate = inputs.MakePlate(middle, cell_mm, fine_mm);
  if (!plate) return plate.error();
  auto near = Neighbourhood::Make(std::move(*plate), inputs.Heights(middle), hold);
  if (!near) return near.error();
  const PartReadout::Match match = readout.MatchTo(near->plate(), near->nominal());
  const Eigen::VectorXd offset = nominal - readout.Read(near->plate(), near->nominal(), match);
  DrawnFigures drawn;
  drawn.figures.resize(nominal.size(), inputs.count());
  for (Eigen::Index k = 0; k < inputs.count(); ++k) {
    if (tell(static_cast<double>(k) / static_cast<double>(inputs.count()))) return Stopped();
    const PlateInputs::Point point = inputs.Draw(k);
    auto other = inputs.MakePlate(point, cell_mm, fine_mm);
    if (!other) return other.error();
    const auto solved = near->Full(&*other, inputs.Heights(point));
    drawn.answered.push_back(solved.has_value());
    if (solved) drawn.figures.col(k) = offset + readout.Read(*other, *solved, match);
  }
  return drawn;
}

Result<KeptDraws> AnsweredEverywhere(const std::map<std::size_t, DrawnFigures>& drawn,
                                     Eigen::Index count,
                                     const Calib& calib) {
  KeptDraws kept;
  for (Eigen::Index k = 0; k < count; ++k) {
    const bool answered = std::all_of(drawn.begin(), drawn.end(), [&](const auto& moment) {
      return moment.second.answered[static_cast<std::size_t>(k)];
    });
    if (answered) kept.draws.push_back(k);
  }
  const auto lost = count - static_cast<Eigen::Index>(kept.draws.size());
  if (lost == 0) return kept;
  const double most = calib.Number("joints", "/flatten/most_lost_samples").value;
  const std::string how_many = fmt::format("{} of {} samples found no equilibrium", lost, count);
  if (static_cast<double>(lost) > most * static_cast<double>(count) ||
      kept.draws.size() < static_cast<std::size_t>(kFewestDraws)) {
    return Error{ErrorCode::kNoFigure,
                 "samples",
                 how_many,
                 "the readings leave too much open; read more places, or run without samples"};
  }
  kept.note = how_many + " and were left out";
  return kept;
}

std::optional<Error> ProblemOfDraws(int count) {
  if (count >= kFewestDraws && count <= kMostDraws) return std::nullopt;
  return Error{ErrorCode::kBadUse,
               "samples",
               fmt::format("{} is outside {} to {}", count, kFewestDraws, kMostDraws),
               "1000 samples serve most purposes"};
}

}  // namespace lieflat
