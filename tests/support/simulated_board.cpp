#include "support/simulated_board.h"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>

#include "lieflat/base/statistics.h"

namespace lieflat::testing {
namespace {

constexpr int kFine = 201;

/// What the blades of the simulated person are, by the same sources as calib/gauges.json.
constexpr double kBladeStep = 0.05, kThickestBlade = 1.0, kBladeTolerance = 0.009,
                 kBladeFeel = 0.015;
constexpr double kIndicatorU = 0.02, kImportedU = 0.03, kRuleU = 0.3, kTipU = 1.0,
                 kStripLength = 600.0, kStraightedgeBase = 0.005, kStraightedgePerMm = 5e-5;

double SumOfRectangular(int count, double half_width, Random& random) {
  double sum = 0.0;
  for (int i = 0; i < count; ++i) sum += random.Uniform(-half_width, half_width);
  return sum;
}

/// The thickest pile that goes in, in steps, and the next that does not. Each pile is of other
/// blades.
void ReadWithBlades(double gap_mm, Random& random, GaugeRow& row) {
  const double felt = std::max(0.0, gap_mm) + kBladeFeel * random.Normal();
  const double air = random.Uniform(0.01, 0.06);
  int steps = static_cast<int>(felt / kBladeStep) + 2;
  int blades = 1;
  for (; steps > 0; --steps) {
    const double nominal = steps * kBladeStep;
    blades = static_cast<int>(std::ceil(nominal / kThickestBlade - 1e-9));
    const double thick = nominal * (blades > 1 ? 1.0 + air : 1.0) +
                         SumOfRectangular(blades, kBladeTolerance, random);
    if (thick <= felt) break;
  }
  row.go_mm = steps * kBladeStep;
  row.no_go_mm = (steps + 1) * kBladeStep;
  // Written as 1.00 and 1.00+0.05, the pair counts as stacked, as a sheet's reader counts it.
  row.blades = std::max(1, static_cast<int>(std::ceil(*row.no_go_mm / kThickestBlade - 1e-9)));
}

/// Gap at mid-edge under a straightedge that rests on the edge's hull on one face.
double StraightedgeGap(const Board& board, const TrueShape& shape, Edge edge, Side side) {
  const double sign = side == Side::kComponent ? 1.0 : -1.0;
  std::array<double, kFine> z{};
  for (std::size_t i = 0; i < kFine; ++i) {
    const double s = static_cast<double>(i) / (kFine - 1);
    z[i] = sign * shape.Height((1.0 - s) * board.EdgeStart(edge) + s * board.EdgeEnd(edge));
  }
  constexpr std::size_t kMiddle = kFine / 2;
  double highest = -1e9;  // of all chords across the middle, the highest there is the hull's
  for (std::size_t i = 0; i < kMiddle; ++i) {
    for (std::size_t j = kMiddle + 1; j < kFine; ++j) {
      const double at = static_cast<double>(kMiddle - i) / static_cast<double>(j - i);
      highest = std::max(highest, (1.0 - at) * z[i] + at * z[j]);
    }
  }
  return highest - z[kMiddle];
}

/// @param bow_share  of the straightedge itself, as a share of its tolerance
GaugeRow UprightRow(const Board& board,
                    const TrueShape& shape,
                    Edge edge,
                    bool rule,
                    double bow_share,
                    Random& random) {
  const Eigen::Vector2d middle = 0.5 * (board.EdgeStart(edge) + board.EdgeEnd(edge));
  const double departure = shape.Height(middle) - 0.5 * (shape.Height(board.EdgeStart(edge)) +
                                                         shape.Height(board.EdgeEnd(edge)));
  GaugeRow row;
  row.edge = edge;
  row.side = departure > 0.0 ? Side::kSolder : Side::kComponent;
  const double gap = StraightedgeGap(board, shape, edge, *row.side) +
                     bow_share * (kStraightedgeBase + kStraightedgePerMm * board.EdgeLength(edge));
  if (rule) {
    row.value_mm = std::max(0.0, gap + kRuleU * random.Normal());
    row.u_mm = kRuleU;
  } else {
    ReadWithBlades(gap, random, row);
  }
  return row;
}

std::vector<Eigen::Vector2d> PlacesOf(const Board& board, Stations stations) {
  std::vector<Eigen::Vector2d> places;
  const auto [low, high] = board.Box();
  const int across = stations == Stations::kGrid25 ? 5 : 3;
  for (int j = 0; j < across; ++j) {
    for (int i = 0; i < across; ++i) {
      if (stations == Stations::kEight && i == 1 && j == 1) continue;
      places.push_back(low + Eigen::Vector2d(i, j).cwiseProduct(high - low) / (across - 1));
    }
  }
  return places;
}

}  // namespace

double TrueShape::Height(const Eigen::Vector2d& at_mm) const {
  const double u = 2.0 * at_mm.x() / size_mm.x() - 1.0;
  const double v = 2.0 * at_mm.y() / size_mm.y() - 1.0;
  const double u2 = u * u, v2 = v * v;
  double z = bow_x * (1.0 - u2) + bow_y * (1.0 - v2) + twist * u * v;
  z += cubic[0] * (u2 * u - u) + cubic[1] * (v2 * v - v) + cubic[2] * u * (1.0 - v2) +
       cubic[3] * v * (1.0 - u2);
  z += quartic[0] * u2 * (1.0 - u2) + quartic[1] * v2 * (1.0 - v2) +
       quartic[2] * (1.0 - u2) * (1.0 - v2);
  for (const Bump& bump : bumps) {
    z += bump.height_mm *
         std::exp(-0.5 * (at_mm - bump.at_mm).squaredNorm() / (bump.width_mm * bump.width_mm));
  }
  return z;
}

double TrueShape::EdgeBow(const Board& board, Edge edge) const {
  const Eigen::Vector2d start = board.EdgeStart(edge), end = board.EdgeEnd(edge);
  const double z0 = Height(start), z1 = Height(end);
  double worst = 0.0;
  for (int i = 1; i < kFine - 1; ++i) {
    const double s = static_cast<double>(i) / (kFine - 1);
    const double departure = Height((1.0 - s) * start + s * end) - (1.0 - s) * z0 - s * z1;
    if (std::abs(departure) > std::abs(worst)) worst = departure;
  }
  return worst;
}

double TrueShape::BowPercent(const Board& board) const {
  double largest = 0.0;
  for (const Edge edge : kEdges) {
    largest = std::max(largest, 100.0 * std::abs(EdgeBow(board, edge)) / board.EdgeLength(edge));
  }
  return largest;
}

double TrueShape::TwistQ(const Board& board) const {
  return Height(board.corners_mm[0]) - Height(board.corners_mm[1]) + Height(board.corners_mm[2]) -
         Height(board.corners_mm[3]);
}

TrueShape RandomShape(const Board& board,
                      double bow_percent,
                      Random& random,
                      const Roughness& rough) {
  TrueShape shape;
  const auto [low, high] = board.Box();
  shape.size_mm = high - low;
  // One of the two bows leads, the other follows it anywhere down to nothing, either way.
  const bool along_x = random.Uniform() < 0.6;
  const double lead = random.Uniform() < 0.5 ? 1.0 : -1.0;
  const double other =
      random.Uniform(-1.0, 1.0) * shape.size_mm.minCoeff() / shape.size_mm.maxCoeff();
  shape.bow_x = along_x ? lead : other;
  shape.bow_y = along_x ? other : lead;
  shape.twist = random.Uniform(-0.7, 0.7);
  for (double& c : shape.cubic) c = random.Uniform(-1.0, 1.0) * rough.cubic_share;
  for (double& c : shape.quartic) c = random.Uniform(-1.0, 1.0) * rough.quartic_share;
  const double scale = bow_percent / shape.BowPercent(board);
  for (double* c : {&shape.bow_x, &shape.bow_y, &shape.twist}) *c *= scale;
  for (double& c : shape.cubic) c *= scale;
  for (double& c : shape.quartic) c *= scale;
  const double kink =
      rough.bump_mm + rough.bump_share * std::max(std::abs(shape.bow_x), std::abs(shape.bow_y));
  for (int i = 0; i < 6; ++i) {
    const Eigen::Vector2d at =
        low + Eigen::Vector2d(random.Uniform(), random.Uniform()).cwiseProduct(high - low);
    shape.bumps.push_back({at, kink * random.Normal(), random.Uniform(15.0, 45.0)});
  }
  return shape;
}

const char* Name(Stations stations) {
  switch (stations) {
    case Stations::kMids:
      return "mid-edges, blades";
    case Stations::kMidsRule:
      return "mid-edges, rule";
    case Stations::kMidsThrice:
      return "mid-edges, three times";
    case Stations::kEight:
      return "corners and mid-edges";
    case Stations::kNine:
      return "3 x 3";
    case Stations::kGrid25:
      return "5 x 5";
  }
  return "";
}

Gauge TakeReadings(
    const Board& board, const TrueShape& shape, Rest rest, Stations stations, Random& random) {
  Gauge gauge;
  gauge.rest = rest;
  gauge.temperature_c = 21.0;
  if (rest == Rest::kUpright) {
    gauge.instrument = stations == Stations::kMidsRule ? "steel-rule" : "blades";
    gauge.surface = "straightedge";
    const int times = stations == Stations::kMidsThrice ? 3 : 1;
    const double bow_share = random.Uniform(-1.0, 1.0);
    for (int time = 0; time < times; ++time) {
      for (const Edge edge : kEdges) {
        gauge.rows.push_back(
            UprightRow(board, shape, edge, stations == Stations::kMidsRule, bow_share, random));
      }
    }
    StripReading strips;
    strips.strip_length_mm = kStripLength;
    strips.tip_u_mm = kTipU;
    const double width = 0.5 * (board.EdgeLength(Edge::kDA) + board.EdgeLength(Edge::kBC));
    strips.tip_difference_mm = shape.TwistQ(board) * kStripLength / width + kTipU * random.Normal();
    gauge.strips = strips;
    return gauge;
  }
  gauge.surface = rest == Rest::kFree ? "none" : "plate-grade-1";
  gauge.lead_tail_mm = 0.0;
  const bool blades = rest != Rest::kFree && stations == Stations::kEight;
  gauge.instrument = blades ? "blades" : "dial-indicator";
  gauge.face = blades || rest == Rest::kFree ? Face::kUnder : Face::kOver;
  if (rest == Rest::kPoints) {
    gauge.rest_height_mm = 30.0;
    gauge.supports = {{"A", board.corners_mm[0]},
                      {"B", board.corners_mm[1]},
                      {"C", board.corners_mm[2]},
                      {"D", board.corners_mm[3]}};
  }
  const std::vector<Eigen::Vector2d> places = PlacesOf(board, stations);
  double lowest = 1e9;
  for (const Eigen::Vector2d& at : places) lowest = std::min(lowest, shape.Height(at));
  const double zone = 0.01 + board.EdgeLength(Edge::kAB) * 1e-5;  // DIN 876, grade 1
  const Eigen::Vector3d surface(
      random.Uniform(-zone, zone), random.Uniform(-zone, zone), random.Uniform(-zone, zone));
  for (const Eigen::Vector2d& at : places) {
    GaugeRow row;
    row.at_mm = at;
    const Eigen::Vector2d s = at.cwiseQuotient(shape.size_mm);
    double height = shape.Height(at) - lowest;
    if (rest != Rest::kFree) {
      height += surface.x() * 4.0 * s.x() * (1.0 - s.x()) +
                surface.y() * 4.0 * s.y() * (1.0 - s.y()) +
                surface.z() * 0.5 * (2.0 * s.x() - 1.0) * (2.0 * s.y() - 1.0);
    }
    if (blades) {
      ReadWithBlades(height, random, row);
    } else {
      row.u_mm = rest == Rest::kFree ? kImportedU : kIndicatorU;
      row.value_mm = height + *row.u_mm * random.Normal() +
                     (gauge.face == Face::kOver ? board.thickness_mm.value : 0.0);
    }
    gauge.rows.push_back(row);
  }
  return gauge;
}

namespace {

/// Stations of one edge as shares of its length, and the weights that turn samples into departures
/// there.
struct EdgeStations {
  std::vector<double> share;
  std::vector<Eigen::RowVectorXd> weights;
};

EdgeStations StationsOn(const Board& board, Edge edge, const SampleSet& samples) {
  EdgeStations out;
  const Eigen::Vector2d start = board.EdgeStart(edge), chord = board.EdgeEnd(edge) - start;
  const auto n = static_cast<Eigen::Index>(samples.samples.size());
  const auto share_of = [&](const Eigen::Vector2d& at) -> double {
    const Eigen::Vector2d offset = at - start;
    const double across =
        std::abs(offset.x() * chord.y() - offset.y() * chord.x()) / chord.squaredNorm();
    return across < 1e-6 ? offset.dot(chord) / chord.squaredNorm() : -1.0;
  };
  Eigen::RowVectorXd at_start = Eigen::RowVectorXd::Zero(n), at_end = at_start, mean = at_start;
  int departures = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples.samples[static_cast<std::size_t>(i)];
    const double share = share_of(sample.terms.front().at_mm);
    if (sample.figure == Figure::kHeight && share >= -1e-6 && share < 1e-6) at_start(i) = 1.0;
    if (sample.figure == Figure::kHeight && share > 1.0 - 1e-6 && share < 1.0 + 1e-6)
      at_end(i) = 1.0;
    if (sample.figure == Figure::kDeparture && share > 0.4 && share < 0.6) {
      mean(i) = 1.0;
      ++departures;
    }
  }
  if (departures > 0) return {{0.5}, {mean / departures}};
  for (Eigen::Index i = 0; i < n; ++i) {
    const double share = share_of(samples.samples[static_cast<std::size_t>(i)].terms.front().at_mm);
    if (samples.samples[static_cast<std::size_t>(i)].figure != Figure::kHeight || share < 1e-6 ||
        share > 1.0 - 1e-6)
      continue;
    Eigen::RowVectorXd weights = -(1.0 - share) * at_start - share * at_end;
    weights(i) += 1.0;
    out.share.push_back(share);
    out.weights.push_back(weights);
  }
  return out;
}

/// Departure of one edge drawn: a polynomial (zero at both ends) through the stations, then terms
/// that they cannot see.
double DrawEdge(const EdgeStations& stations,
                const Eigen::VectorXd& values,
                double length_mm,
                Random& random,
                const Roughness& rough) {
  const auto n = static_cast<Eigen::Index>(stations.share.size());
  Eigen::MatrixXd powers(n, n);
  Eigen::VectorXd departures(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double u = 2.0 * stations.share[static_cast<std::size_t>(i)] - 1.0;
    for (Eigen::Index k = 0; k < n; ++k) powers(i, k) = (1.0 - u * u) * std::pow(u, k);
    departures(i) = stations.weights[static_cast<std::size_t>(i)] * values;
  }
  const Eigen::VectorXd coefficients = powers.partialPivLu().solve(departures);
  const double bow = departures.cwiseAbs().maxCoeff();
  const double cubic = n < 2 ? bow * rough.cubic_share * random.Uniform(-1.0, 1.0) : 0.0;
  const double quartic = n < 3 ? bow * rough.quartic_share * random.Uniform(-1.0, 1.0) : 0.0;
  // Of six kinks on a board about one comes near a given edge, and what it does at the stations has
  // been read.
  const double kink = (rough.bump_mm + rough.bump_share * bow) * random.Normal();
  const double kink_at = random.Uniform(), kink_width = random.Uniform(15.0, 45.0) / length_mm;
  const double nearby = random.Uniform() < 0.7 ? 1.0 : 0.0;
  double worst = 0.0;
  for (int i = 1; i < 40; ++i) {
    const double s = i / 40.0, u = 2.0 * s - 1.0;
    double z = 0.0;
    for (Eigen::Index k = 0; k < n; ++k) z += coefficients(k) * (1.0 - u * u) * std::pow(u, k);
    z += cubic * (u * u * u - u) + quartic * u * u * (1.0 - u * u);
    double from_station = 1.0;
    for (const double at : stations.share)
      from_station = std::min(from_station, std::abs(s - at) / kink_width);
    z += nearby * kink * std::exp(-0.5 * std::pow((s - kink_at) / kink_width, 2)) *
         std::min(1.0, from_station);
    worst = std::max(worst, std::abs(z));
  }
  return worst;
}

}  // namespace

BruteForce BruteForceWidths(const Board& board,
                            const SampleSet& samples,
                            int draws,
                            Random& random,
                            const Roughness& rough) {
  const auto n = static_cast<Eigen::Index>(samples.samples.size());
  Eigen::VectorXd values(n);
  for (Eigen::Index i = 0; i < n; ++i)
    values(i) = samples.samples[static_cast<std::size_t>(i)].value_mm;
  const Eigen::MatrixXd errors = samples.DrawErrors(draws, random);
  std::vector<EdgeStations> stations;
  for (const Edge edge : kEdges) stations.push_back(StationsOn(board, edge, samples));

  Eigen::RowVectorXd q_weights = Eigen::RowVectorXd::Zero(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples.samples[static_cast<std::size_t>(i)];
    if (sample.figure == Figure::kTwist) q_weights(i) = 1.0;
    for (std::size_t c = 0; c < 4 && sample.figure == Figure::kHeight; ++c) {
      if ((sample.terms.front().at_mm - board.corners_mm[c]).norm() < 1e-6)
        q_weights(i) = c % 2 == 0 ? 1.0 : -1.0;
    }
  }
  Eigen::VectorXd bow(draws), twist(draws);
  for (int j = 0; j < draws; ++j) {
    const Eigen::VectorXd drawn = values - errors.col(j);
    double largest = 0.0;
    for (std::size_t e = 0; e < 4; ++e) {
      const double length = board.EdgeLength(kEdges[e]);
      largest =
          std::max(largest, 100.0 * DrawEdge(stations[e], drawn, length, random, rough) / length);
    }
    bow(j) = largest;
    twist(j) = 100.0 * std::abs(q_weights * drawn) / (2.0 * board.Diagonal());
  }
  const Interval b = ShortestInterval(bow), t = ShortestInterval(twist);
  return {b.high - b.low, t.high - t.low};
}

}  // namespace lieflat::testing
