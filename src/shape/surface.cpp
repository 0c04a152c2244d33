#include "lieflat/shape/surface.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "shape/evidence.h"

namespace lieflat {
namespace {

constexpr std::size_t kMostSamples = 1000;
/// Rungs are weighed on at most this many readings, spread over the set.
constexpr std::size_t kMostForWeights = 120;

/// The places on the edges at which heights are drawn, corners once each, and where each edge finds
/// its own.
struct EdgePlaces {
  std::vector<Eigen::Vector2d> distinct;
  std::vector<Eigen::Index> of_edges;  ///< kEdgePlaces per edge, in order
};

EdgePlaces PlacesOnEdges(const Board& board) {
  EdgePlaces places;
  for (const Edge edge : kEdges) places.distinct.push_back(board.EdgeStart(edge));
  constexpr int n = Surface::kEdgePlaces;
  for (std::size_t e = 0; e < kEdges.size(); ++e) {
    places.of_edges.push_back(static_cast<Eigen::Index>(e));
    for (int i = 1; i < n - 1; ++i) {
      const double s = static_cast<double>(i) / (n - 1);
      places.of_edges.push_back(static_cast<Eigen::Index>(places.distinct.size()));
      places.distinct.push_back((1.0 - s) * board.EdgeStart(kEdges[e]) +
                                s * board.EdgeEnd(kEdges[e]));
    }
    places.of_edges.push_back(static_cast<Eigen::Index>((e + 1) % 4));
  }
  return places;
}

SampleSet Thinned(const SampleSet& samples, std::size_t most) {
  if (samples.samples.size() <= most) return samples;
  SampleSet thin = samples;
  thin.samples.clear();
  for (std::size_t i = 0; i < most; ++i)
    thin.samples.push_back(samples.samples[i * samples.samples.size() / most]);
  return thin;
}

/// On one rung: the linear estimator of the targets (edge heights, then coefficients) and the
/// spread that even perfect readings would leave.
struct RungPosterior {
  Eigen::MatrixXd gain;    ///< targets x contrasts
  Eigen::VectorXd mean;    ///< targets
  Eigen::MatrixXd spread;  ///< lower Cholesky factor
};

class Targets {
 public:
  Targets(const SurfaceBasis& basis,
          const std::vector<Eigen::Vector2d>& heights_at,
          const Contrasts& contrasts,
          double length_mm)
      : basis_(basis),
        contrasts_(contrasts),
        rows_(static_cast<Eigen::Index>(heights_at.size()) + basis.size(), basis.size()) {
    const auto heights = static_cast<Eigen::Index>(heights_at.size());
    for (Eigen::Index i = 0; i < heights; ++i)
      rows_.row(i) = basis.Row(heights_at[static_cast<std::size_t>(i)]);
    rows_.bottomRows(basis.size()).setIdentity();
    local_own_ = Eigen::MatrixXd::Zero(rows_.rows(), rows_.rows());
    local_own_.topLeftCorner(heights, heights) = LocalKernel(heights_at, heights_at, length_mm);
    local_cross_ = Eigen::MatrixXd::Zero(rows_.rows(), contrasts.count());
    if (contrasts.count() > 0) {
      local_cross_.topRows(heights) =
          LocalKernel(heights_at, contrasts.places, length_mm) * contrasts.local.transpose();
    }
  }

  [[nodiscard]] RungPosterior On(const Scales& scales) const {
    const Eigen::MatrixXd prior = PriorCovariance(basis_, scales);
    const double local2 = scales.local_mm * scales.local_mm;
    Eigen::MatrixXd spread = rows_ * prior * rows_.transpose() + local2 * local_own_;
    RungPosterior out;
    out.gain = Eigen::MatrixXd::Zero(rows_.rows(), contrasts_.count());
    out.mean = Eigen::VectorXd::Zero(rows_.rows());
    if (contrasts_.count() > 0) {
      const Eigen::MatrixXd cross =
          rows_ * prior * contrasts_.smooth.transpose() + local2 * local_cross_;
      const Eigen::MatrixXd covariance = contrasts_.Covariance(scales);
      const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
      out.gain = factor.solve(cross.transpose()).transpose();
      out.mean = out.gain * contrasts_.values;
      const Eigen::MatrixXd explained = out.gain * cross.transpose();
      spread += out.gain * (covariance - contrasts_.noise) * out.gain.transpose() - explained -
                explained.transpose();
    }
    // Perfect readings leave no spread in some directions: lift the zero eigenvalues above rounding
    // (30 nm).
    spread.diagonal().array() += 1e-9 + 1e-12 * spread.diagonal().maxCoeff();
    const Eigen::LLT<Eigen::MatrixXd> factor(spread);
    LIEFLAT_CHECK(factor.info() == Eigen::Success, "the spread of the surface is no covariance");
    out.spread = factor.matrixL();
    return out;
  }

 private:
  const SurfaceBasis& basis_;
  const Contrasts& contrasts_;
  Eigen::MatrixXd rows_, local_own_, local_cross_;
};

/// Which rung each draw comes from: a golden-ratio sequence against the cumulative weights, so that
/// any leading part of the draws represents the whole.
std::vector<std::vector<int>> DrawsByRung(const std::vector<double>& weights, int draws) {
  std::vector<double> cumulative(weights.size());
  std::partial_sum(weights.begin(), weights.end(), cumulative.begin());
  std::vector<std::vector<int>> by_rung(weights.size());
  double u = 0.5;
  for (int i = 0; i < draws; ++i) {
    u += 0.61803398874989485;
    u -= std::floor(u);
    const auto rung = std::upper_bound(cumulative.begin(), cumulative.end(), u * cumulative.back());
    by_rung[static_cast<std::size_t>(std::min<std::ptrdiff_t>(
                rung - cumulative.begin(), static_cast<std::ptrdiff_t>(weights.size()) - 1))]
        .push_back(i);
  }
  return by_rung;
}

Eigen::MatrixXd Normals(Eigen::Index rows, Eigen::Index columns, Random& random) {
  Eigen::MatrixXd z(rows, columns);
  for (Eigen::Index j = 0; j < columns; ++j) {
    for (Eigen::Index i = 0; i < rows; ++i) z(i, j) = random.Normal();
  }
  return z;
}

/// Draws for one rung: the estimate, less what the readings' errors did to it, plus what the
/// readings cannot show.
void DrawOnRung(const RungPosterior& rung,
                const std::vector<int>& draws,
                const Eigen::MatrixXd& errors,
                const EdgePlaces& places,
                int surface_draws,
                Random& random,
                Surface& surface) {
  const auto heights = static_cast<Eigen::Index>(places.distinct.size());
  const auto whole = static_cast<Eigen::Index>(
      std::count_if(draws.begin(), draws.end(), [&](int draw) { return draw < surface_draws; }));
  const auto columns = static_cast<Eigen::Index>(draws.size());
  const Eigen::Index functions = rung.mean.size() - heights;

  Eigen::MatrixXd mine(errors.rows(), columns);
  for (Eigen::Index j = 0; j < columns; ++j)
    mine.col(j) = errors.col(draws[static_cast<std::size_t>(j)]);
  const Eigen::MatrixXd z = Normals(heights, columns, random);
  Eigen::MatrixXd edge =
      rung.spread.topLeftCorner(heights, heights).triangularView<Eigen::Lower>() * z;
  edge.noalias() -= rung.gain.topRows(heights) * mine;
  edge.colwise() += rung.mean.head(heights);

  // Draws are in rising order, so those of the whole surface come first; a rung of little weight
  // may have none.
  Eigen::MatrixXd coefficients(functions, whole);
  if (whole > 0) {
    coefficients = rung.spread.bottomLeftCorner(functions, heights) * z.leftCols(whole);
    const Eigen::MatrixXd corner = rung.spread.bottomRightCorner(functions, functions);
    coefficients += corner.triangularView<Eigen::Lower>() * Normals(functions, whole, random);
    // Fewer readings than a plane has terms leave nothing that the surface could be held against.
    if (mine.rows() > 0) coefficients -= rung.gain.bottomRows(functions) * mine.leftCols(whole);
    coefficients.colwise() += rung.mean.tail(functions);
  }

  for (Eigen::Index j = 0; j < columns; ++j) {
    const auto draw = static_cast<Eigen::Index>(draws[static_cast<std::size_t>(j)]);
    for (std::size_t k = 0; k < places.of_edges.size(); ++k) {
      surface.edge_draws(static_cast<Eigen::Index>(k), draw) = edge(places.of_edges[k], j);
    }
    if (j < whole) surface.coefficient_draws.col(draw) = coefficients.col(j);
  }
}

std::string OrderInWords(const Surface& surface) {
  // Higher terms count as seen when, somewhere on the edges or inside, they stand clear of their
  // own uncertainty.
  const Eigen::Index n = surface.mean.size();
  double strongest = 0.0;
  for (Eigen::Index i = 0; i < n; ++i) {
    if (!surface.basis.IsHigher(static_cast<int>(i))) continue;
    const Eigen::RowVectorXd draws = surface.coefficient_draws.row(i);
    const double sd = std::sqrt((draws.array() - draws.mean()).square().mean());
    if (sd > 0.0) strongest = std::max(strongest, std::abs(surface.mean(i)) / sd);
  }
  constexpr double kClear = 3.0;
  return strongest > kClear ? "plane, two bows, twist and higher terms"
                            : "plane, two bows and twist";
}

std::optional<Error> TooFewOrMany(const SampleSet& samples, const Board& board) {
  if (samples.samples.empty()) {
    return Error{ErrorCode::kNoFigure,
                 board.label,
                 "no reading counts yet",
                 "read the board first: lieflat gauge DIR"};
  }
  if (samples.samples.size() > kMostSamples) {
    return Error{ErrorCode::kRefused,
                 samples.samples.front().where,
                 std::to_string(samples.samples.size()) + " readings; a surface takes at most " +
                     std::to_string(kMostSamples),
                 "thin them, or give means over small squares with their u_mm"};
  }
  return std::nullopt;
}

/// Room for the draws and their means, zero.
void MakeRoom(const EdgePlaces& places, const SurfaceOptions& options, Surface& surface) {
  for (const Eigen::Index k : places.of_edges)
    surface.edge_places_mm.push_back(places.distinct[static_cast<std::size_t>(k)]);
  const auto rows = static_cast<Eigen::Index>(places.of_edges.size());
  surface.edge_draws.resize(rows, options.draws);
  surface.edge_mean = Eigen::VectorXd::Zero(rows);
  surface.coefficient_draws.resize(surface.basis.size(),
                                   std::min(options.surface_draws, options.draws));
  surface.mean = Eigen::VectorXd::Zero(surface.basis.size());
}

/// Means and draws over the rungs that have any.
void DrawSurface(const Targets& targets,
                 const std::vector<Scales>& ladder,
                 const std::vector<double>& weights,
                 const Eigen::MatrixXd& errors,
                 const EdgePlaces& places,
                 Random& random,
                 Surface& surface) {
  const auto heights = static_cast<Eigen::Index>(places.distinct.size());
  const auto by_rung = DrawsByRung(weights, static_cast<int>(surface.edge_draws.cols()));
  double shared = 0.0;
  for (std::size_t k = 0; k < ladder.size(); ++k) {
    if (by_rung[k].empty()) continue;
    const RungPosterior rung = targets.On(ladder[k]);
    shared += weights[k];
    for (Eigen::Index i = 0; i < surface.edge_mean.size(); ++i) {
      surface.edge_mean(i) += weights[k] * rung.mean(places.of_edges[static_cast<std::size_t>(i)]);
    }
    surface.mean += weights[k] * rung.mean.tail(rung.mean.size() - heights);
    DrawOnRung(rung,
               by_rung[k],
               errors,
               places,
               static_cast<int>(surface.coefficient_draws.cols()),
               random,
               surface);
  }
  surface.edge_mean /= shared;
  surface.mean /= shared;
}

}  // namespace

Result<Surface> FitSurface(const Board& board,
                           const SampleSet& samples,
                           const Calib& calib,
                           const SurfaceOptions& options) {
  if (auto refused = TooFewOrMany(samples, board)) return *refused;
  Surface surface{SurfaceBasis(board)};
  const double length = LocalLength(board, calib);
  const std::vector<Scales> ladder = LadderOfScales(calib);
  const Contrasts contrasts = MakeContrasts(surface.basis, samples, length);
  const std::vector<double> weights =
      samples.samples.size() <= kMostForWeights
          ? WeighScales(contrasts, ladder)
          : WeighScales(MakeContrasts(surface.basis, Thinned(samples, kMostForWeights), length),
                        ladder);
  surface.outliers = FindOutliers(
      surface.basis, samples, ladder, length, calib.Number("shape", "/outlier_chance").value);

  const EdgePlaces places = PlacesOnEdges(board);
  MakeRoom(places, options, surface);
  Random random(options.seed);
  const Eigen::MatrixXd errors =
      contrasts.null_space.transpose() * samples.DrawErrors(options.draws, random);
  const Targets targets(surface.basis, places.distinct, contrasts, length);
  DrawSurface(targets, ladder, weights, errors, places, random, surface);

  surface.order = OrderInWords(surface);
  const Eigen::VectorXd residual = contrasts.values - contrasts.smooth * surface.mean;
  if (contrasts.count() > 0) {
    surface.residual_rms_mm =
        std::sqrt(residual.squaredNorm() / static_cast<double>(contrasts.count()));
  }
  return surface;
}

}  // namespace lieflat
