#include "shape/evidence.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <Eigen/QR>

namespace lieflat {
namespace {

/// Readings at more places than this do not sharpen the weights of the scales, they only cost time.
constexpr Eigen::Index kMostForWeights = 120;

std::vector<double> LogLadder(double low, double high, int steps) {
  std::vector<double> rungs;
  for (int i = 0; i < steps; ++i) {
    rungs.push_back(steps == 1 ? low
                               : low * std::pow(high / low, static_cast<double>(i) / (steps - 1)));
  }
  return rungs;
}

std::vector<double> Normalised(std::vector<double> log_weights) {
  const double top = *std::max_element(log_weights.begin(), log_weights.end());
  double sum = 0.0;
  for (double& w : log_weights) sum += (w = std::exp(w - top));
  for (double& w : log_weights) w /= sum;
  return log_weights;
}

double LogEvidence(const Eigen::LLT<Eigen::MatrixXd>& factor, const Eigen::VectorXd& values) {
  const Eigen::VectorXd half = factor.matrixL().solve(values);
  const double log_det = 2.0 * factor.matrixLLT().diagonal().array().log().sum();
  return -0.5 * (half.squaredNorm() + log_det +
                 static_cast<double>(values.size()) * std::log(2.0 * std::numbers::pi));
}

/// What the other readings say of one, on each rung.
struct LeftOut {
  Eigen::VectorXd gap, variance;  ///< reading less prediction, by reading
};

LeftOut LeaveEachOut(const Contrasts& contrasts, const Eigen::LLT<Eigen::MatrixXd>& factor) {
  const Eigen::MatrixXd solved = factor.solve(contrasts.null_space.transpose());
  const Eigen::VectorXd precision =
      contrasts.null_space.cwiseProduct(solved.transpose()).rowwise().sum();
  const Eigen::VectorXd weighted = contrasts.null_space * factor.solve(contrasts.values);
  return {weighted.cwiseQuotient(precision), precision.cwiseInverse()};
}

/// The plane's columns, a set of three for each way that the board lay.
Eigen::MatrixXd PlanesOf(const SampleSet& samples, const Eigen::MatrixXd& plane) {
  std::vector<const Holding*> ways;
  std::vector<Eigen::Index> way_of;
  for (const Sample& sample : samples.samples) {
    const auto found = std::find_if(
        ways.begin(), ways.end(), [&](const Holding* way) { return *way == sample.held; });
    way_of.push_back(found - ways.begin());
    if (found == ways.end()) ways.push_back(&sample.held);
  }
  Eigen::MatrixXd planes =
      Eigen::MatrixXd::Zero(plane.rows(), 3 * static_cast<Eigen::Index>(ways.size()));
  for (Eigen::Index i = 0; i < plane.rows(); ++i)
    planes.block(i, 3 * way_of[static_cast<std::size_t>(i)], 1, 3) = plane.row(i);
  return planes;
}

/// The readings as weights on distinct places, readings x places; the places come back beside.
Eigen::MatrixXd WeightsOnPlaces(const SampleSet& samples, std::vector<Eigen::Vector2d>& places) {
  const auto n = static_cast<Eigen::Index>(samples.samples.size());
  std::vector<std::vector<std::pair<Eigen::Index, double>>> weights(samples.samples.size());
  constexpr double kSamePlaceMm = 1e-6;
  for (std::size_t i = 0; i < samples.samples.size(); ++i) {
    for (const Term& term : samples.samples[i].terms) {
      const auto found =
          std::find_if(places.begin(), places.end(), [&](const Eigen::Vector2d& place) {
            return (place - term.at_mm).norm() < kSamePlaceMm;
          });
      weights[i].emplace_back(found - places.begin(), term.weight);
      if (found == places.end()) places.push_back(term.at_mm);
    }
  }
  Eigen::MatrixXd sums = Eigen::MatrixXd::Zero(n, static_cast<Eigen::Index>(places.size()));
  for (Eigen::Index i = 0; i < n; ++i) {
    for (const auto& [place, weight] : weights[static_cast<std::size_t>(i)])
      sums(i, place) += weight;
  }
  return sums;
}

/// What no column of `planes` reaches, orthonormal.
Eigen::MatrixXd NullSpaceOf(const Eigen::MatrixXd& planes) {
  const Eigen::Index n = planes.rows();
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(planes);
  qr.setThreshold(1e-9);
  const Eigen::MatrixXd q = qr.householderQ() * Eigen::MatrixXd::Identity(n, n);
  // A matrix of zeros has rank 0 whatever the threshold; rounding of exact departures must not
  // count as a plane.
  const Eigen::Index rank = planes.cwiseAbs().maxCoeff() < 1e-6 ? 0 : qr.rank();
  return rank == 0 ? Eigen::MatrixXd::Identity(n, n) : Eigen::MatrixXd(q.rightCols(n - rank));
}

/// Which readings the others can contradict: those without which the rest still fixes as much of
/// plane, bows and twist. The only reading of a twist is contradicted by nothing, however straight
/// the edges are.
std::vector<bool> SpokenOf(const SurfaceBasis& basis, const SampleSet& samples) {
  constexpr Eigen::Index kBowsAndTwist = 3;
  const auto n = static_cast<Eigen::Index>(samples.samples.size());
  Eigen::MatrixXd plane = Eigen::MatrixXd::Zero(n, 3);
  Eigen::MatrixXd bends = Eigen::MatrixXd::Zero(n, kBowsAndTwist);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples.samples[static_cast<std::size_t>(i)];
    for (const Term& term : sample.terms) {
      const Eigen::Vector2d& at = term.at_mm;
      plane.row(i) += term.weight * Eigen::RowVector3d(1.0, at.x() / 100.0, at.y() / 100.0);
      bends.row(i) += term.weight * basis.Row(at).head<kBowsAndTwist>();
    }
    if (sample.response.size() > 0) bends.row(i) += sample.response.head<kBowsAndTwist>();
  }
  const Eigen::MatrixXd planes = PlanesOf(samples, plane);
  Eigen::MatrixXd design(n, planes.cols() + kBowsAndTwist);
  design << planes, bends;
  const auto rank = [](const Eigen::MatrixXd& rows) {
    if (rows.rows() == 0) return Eigen::Index{0};
    Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(rows);
    qr.setThreshold(1e-6);  // exact sums of values near 1, so only rounding lies below
    return qr.rank();
  };
  const Eigen::Index all = rank(design);
  std::vector<bool> spoken_of;
  for (Eigen::Index i = 0; i < n; ++i) {
    Eigen::MatrixXd others(n - 1, design.cols());
    others << design.topRows(i), design.bottomRows(n - 1 - i);
    spoken_of.push_back(rank(others) == all);
  }
  return spoken_of;
}

/// The reading that the others contradict most, with its chance; nothing when none is under
/// `chance`.
std::optional<std::pair<std::size_t, Outlier>> WorstReading(const SampleSet& samples,
                                                            const Contrasts& contrasts,
                                                            const std::vector<bool>& spoken_of,
                                                            const std::vector<Scales>& ladder,
                                                            double chance) {
  std::vector<LeftOut> left_out;
  std::vector<double> log_weights;
  for (const Scales& scales : ladder) {
    const Eigen::LLT<Eigen::MatrixXd> factor(contrasts.Covariance(scales));
    left_out.push_back(LeaveEachOut(contrasts, factor));
    log_weights.push_back(LogEvidence(factor, contrasts.values));
  }
  std::optional<std::pair<std::size_t, Outlier>> worst;
  const auto n = static_cast<double>(samples.samples.size());
  for (std::size_t i = 0; i < samples.samples.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    if (!spoken_of[i]) continue;
    // The weights as they would stand without this reading: else a blunder argues for a wild board
    // and hides itself.
    std::vector<double> without(ladder.size());
    for (std::size_t k = 0; k < ladder.size(); ++k) {
      const double variance = left_out[k].variance(row);
      const double gap = left_out[k].gap(row);
      without[k] = log_weights[k] +
                   0.5 * (std::log(2.0 * std::numbers::pi * variance) + gap * gap / variance);
    }
    without = Normalised(without);
    double tail = 0.0, mean_gap = 0.0, mean_square = 0.0;
    for (std::size_t k = 0; k < ladder.size(); ++k) {
      const double gap = left_out[k].gap(row);
      const double variance = left_out[k].variance(row);
      tail += without[k] * 2.0 * NormalCdf(-std::abs(gap) / std::sqrt(variance));
      mean_gap += without[k] * gap;
      mean_square += without[k] * (variance + gap * gap);
    }
    const double among_all = std::min(1.0, n * tail);
    if (among_all >= chance || (worst && worst->second.chance <= among_all)) continue;
    const Sample& sample = samples.samples[i];
    const double own = sample.sd_mm();
    const double spread = mean_square - mean_gap * mean_gap - own * own;
    worst = {i,
             Outlier{sample.name,
                     sample.where,
                     sample.value_mm,
                     sample.value_mm - mean_gap,
                     std::sqrt(std::max(spread, 0.0)),
                     among_all}};
  }
  return worst;
}

}  // namespace

std::vector<Scales> LadderOfScales(const Calib& calib) {
  const auto number = [&](const char* pointer) { return calib.Number("shape", pointer).value; };
  const auto ladder = [&](const std::string& name) {
    return LogLadder(number((name + "/low").c_str()),
                     number((name + "/high").c_str()),
                     static_cast<int>(number((name + "/steps").c_str())));
  };
  const double floor = number("/local/floor_mm");
  std::vector<Scales> rungs;
  for (const double warp : ladder("/warp_scale_mm")) {
    for (const double share : ladder("/higher_share")) {
      for (const double local : {number("/local/share_low"), number("/local/share_high")}) {
        rungs.push_back({warp, share, std::hypot(floor, local * warp)});
      }
    }
  }
  return rungs;
}

double LocalLength(const Board& board, const Calib& calib) {
  const auto [low, high] = board.Box();
  const Eigen::Vector2d size = high - low;
  return calib.Number("shape", "/local/length_share").value * std::sqrt(size.x() * size.y());
}

Eigen::MatrixXd LocalKernel(const std::vector<Eigen::Vector2d>& a,
                            const std::vector<Eigen::Vector2d>& b,
                            double length_mm) {
  Eigen::MatrixXd kernel(a.size(), b.size());
  const double scale = -0.5 / (length_mm * length_mm);
  for (std::size_t j = 0; j < b.size(); ++j) {
    for (std::size_t i = 0; i < a.size(); ++i) {
      kernel(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) =
          std::exp(scale * (a[i] - b[j]).squaredNorm());
    }
  }
  return kernel;
}

Eigen::MatrixXd InverseEnergy(const SurfaceBasis& basis) {
  const Eigen::Index n = basis.size();
  Eigen::Index first = 0;
  while (first < n && !basis.IsHigher(static_cast<int>(first))) ++first;
  const Eigen::Index higher = n - first;
  Eigen::MatrixXd inverse = Eigen::MatrixXd::Zero(n, n);
  inverse.bottomRightCorner(higher, higher) = basis.energy()
                                                  .bottomRightCorner(higher, higher)
                                                  .llt()
                                                  .solve(Eigen::MatrixXd::Identity(higher, higher));
  return inverse;
}

Eigen::MatrixXd PriorCovariance(const SurfaceBasis& basis, const Scales& scales) {
  Eigen::MatrixXd covariance =
      std::pow(scales.higher_share * scales.warp_mm, 2) * InverseEnergy(basis);
  for (int i = 0; i < basis.size() && !basis.IsHigher(i); ++i)
    covariance(i, i) = scales.warp_mm * scales.warp_mm;
  return covariance;
}

Eigen::MatrixXd Contrasts::Covariance(const Scales& scales) const {
  const double warp2 = scales.warp_mm * scales.warp_mm;
  return warp2 * (from_bows + scales.higher_share * scales.higher_share * from_higher) +
         scales.local_mm * scales.local_mm * from_local + noise;
}

Contrasts MakeContrasts(const SurfaceBasis& basis,
                        const SampleSet& samples,
                        double local_length_mm) {
  Contrasts out;
  const Eigen::MatrixXd sums = WeightsOnPlaces(samples, out.places);
  const auto n = sums.rows(), places = sums.cols();
  Eigen::MatrixXd functions(places, basis.size());
  Eigen::MatrixXd plane(places, 3);
  for (Eigen::Index p = 0; p < places; ++p) {
    const Eigen::Vector2d& at = out.places[static_cast<std::size_t>(p)];
    functions.row(p) = basis.Row(at);
    plane.row(p) << 100.0, at.x(), at.y();  // columns of like size
  }

  // Contrasts that no plane changes; a board laid down otherwise has another plane.
  out.null_space = NullSpaceOf(PlanesOf(samples, sums * plane));
  Eigen::VectorXd values(n);
  for (Eigen::Index i = 0; i < n; ++i)
    values(i) = samples.samples[static_cast<std::size_t>(i)].value_mm;
  const Eigen::MatrixXd contrast = out.null_space.transpose();
  out.values = contrast * values;
  out.local = contrast * sums;
  Eigen::MatrixXd smooth = sums * functions;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::RowVectorXd& response = samples.samples[static_cast<std::size_t>(i)].response;
    if (response.size() > 0) smooth.row(i) += response;
  }
  out.smooth = contrast * smooth;
  out.noise = contrast * samples.Covariance() * out.null_space;

  const Scales bows_only{1.0, 0.0, 0.0};
  out.from_bows = out.smooth * PriorCovariance(basis, bows_only) * out.smooth.transpose();
  out.from_higher = out.smooth * InverseEnergy(basis) * out.smooth.transpose();
  out.from_local =
      out.local * LocalKernel(out.places, out.places, local_length_mm) * out.local.transpose();
  return out;
}

std::vector<double> WeighScales(const Contrasts& contrasts, const std::vector<Scales>& ladder) {
  std::vector<double> log_weights;
  for (const Scales& scales : ladder) {
    if (contrasts.count() == 0) {
      log_weights.push_back(0.0);
      continue;
    }
    log_weights.push_back(
        LogEvidence(Eigen::LLT<Eigen::MatrixXd>(contrasts.Covariance(scales)), contrasts.values));
  }
  return Normalised(log_weights);
}

std::vector<Outlier> FindOutliers(const SurfaceBasis& basis,
                                  const SampleSet& samples,
                                  const std::vector<Scales>& ladder,
                                  double local_length_mm,
                                  double chance) {
  std::vector<Outlier> found;
  SampleSet rest = samples;
  const std::size_t most =
      samples.samples.size() / 4;  // if more are off, it is the board or the method, not a reading
  while (found.size() < most) {
    const Contrasts contrasts = MakeContrasts(basis, rest, local_length_mm);
    if (contrasts.count() < 2 || contrasts.count() > kMostForWeights) break;
    const auto worst = WorstReading(rest, contrasts, SpokenOf(basis, rest), ladder, chance);
    if (!worst) break;
    found.push_back(worst->second);
    rest.samples.erase(rest.samples.begin() + static_cast<std::ptrdiff_t>(worst->first));
  }
  return found;
}

}  // namespace lieflat
