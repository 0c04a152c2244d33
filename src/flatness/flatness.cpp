#include "lieflat/flatness/flatness.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "lieflat/base/check.h"
#include "lieflat/flatness/formulas.h"
#include "lieflat/flatness/known.h"

namespace lieflat {
namespace {

constexpr int kPlaces = Surface::kEdgePlaces;

/// The largest departure of an edge from its chord towards one side (sign +1 or -1), positive
/// there; between the places by the parabola through the worst three.
double LargestTowards(const Eigen::Ref<const Eigen::VectorXd>& heights, double sign) {
  const auto departure = [&](int i) {
    const double s = static_cast<double>(i) / (kPlaces - 1);
    return sign * (heights(i) - (1.0 - s) * heights(0) - s * heights(kPlaces - 1));
  };
  int at = 1;
  double worst = departure(1);
  for (int i = 2; i < kPlaces - 1; ++i) {
    if (const double here = departure(i); here > worst) {
      worst = here;
      at = i;
    }
  }
  const double before = departure(at - 1);
  const double after = departure(at + 1);
  const double bend = before - 2.0 * worst + after;
  if (bend >= 0.0 || worst < before || worst < after) return worst;
  return worst - (after - before) * (after - before) / (8.0 * bend);
}

struct EdgeFigures {
  EdgeBow bow;
  Eigen::VectorXd draws_percent;    ///< the largest to either side, signed
  Eigen::VectorXd towards_percent;  ///< the largest to the side of the figure, positive there
};

EdgeFigures MeasureEdge(const Board& board, const Surface& surface, std::size_t index) {
  EdgeFigures out;
  out.bow.edge = kEdges[index];
  out.bow.length_mm = board.EdgeLength(kEdges[index]);
  const auto first = static_cast<Eigen::Index>(index) * kPlaces;
  const auto mean = surface.edge_mean.segment(first, kPlaces);
  const double up = LargestTowards(mean, 1.0);
  const double down = LargestTowards(mean, -1.0);
  const double departure = up >= down ? up : -down;
  out.bow.gap_mm = std::abs(departure);
  out.bow.percent = BowPercent(departure, out.bow.length_mm);
  const Eigen::Index draws = surface.edge_draws.cols();
  out.draws_percent.resize(draws);
  out.towards_percent.resize(draws);
  for (Eigen::Index j = 0; j < draws; ++j) {
    const auto drawn = surface.edge_draws.col(j).segment(first, kPlaces);
    const double one = BowPercent(LargestTowards(drawn, 1.0), out.bow.length_mm);
    const double other = BowPercent(LargestTowards(drawn, -1.0), out.bow.length_mm);
    out.draws_percent(j) = one >= other ? one : -other;
    out.towards_percent(j) = up >= down ? one : other;
  }
  out.bow.percent95 = ShortestInterval(out.draws_percent);
  out.bow.gap_u95_mm = BowGap(out.bow.percent95.half_width(), out.bow.length_mm);
  return out;
}

/// A draw takes the largest over many places, so all draws may lie on one side of the figure: the
/// interval holds it too.
Interval Holding(Interval interval, double figure) {
  return {std::min(interval.low, figure), std::max(interval.high, figure)};
}

Interval EqualTails(const Eigen::VectorXd& draws) {
  return {Quantile(draws, 0.025), Quantile(draws, 0.975)};
}

/// Magnitude's interval from signed draws: that of the signed figure, folded at zero. It holds the
/// magnitude whenever the signed one holds the figure; the shortest interval of the folded draws
/// does not, near zero.
Interval MagnitudeInterval(const Eigen::VectorXd& draws) {
  const Interval s = EqualTails(draws);
  const double far = std::max(std::abs(s.low), std::abs(s.high));
  return {s.low <= 0.0 && s.high >= 0.0 ? 0.0 : std::min(std::abs(s.low), std::abs(s.high)), far};
}

/// Interval of the largest of several edges. Each draw adds what is not known and then takes the
/// largest, so where two edges or both sides contend, nearly all draws lie above the truth: they
/// bound it from above only. From below it is bounded by `one`, the edge and side of the figure
/// alone, as the largest is at least that. With tails a below and 0.05 - a above, 95 % are held
/// whatever a; the shortest is taken, in steps of half a percent, as a finer choice would follow
/// the accidents of the draws.
Interval OfTheLargest(const Eigen::VectorXd& one, const Eigen::VectorXd& largest) {
  constexpr double kOutside = 0.05;
  constexpr int kSteps = 10;
  Interval best{0.0, std::numeric_limits<double>::infinity()};
  for (int k = 1; k < kSteps; ++k) {
    const double below = kOutside * k / kSteps;
    const Interval held{std::max(0.0, Quantile(one, below)),
                        Quantile(largest, 1.0 - kOutside + below)};
    if (held.half_width() < best.half_width()) best = held;
  }
  return best;
}

Interval Widened(const Interval& interval, double by) {
  return {std::max(0.0, interval.low - by), interval.high + by};
}

void MeasureBow(const std::vector<EdgeFigures>& figures, const Known& known, Flatness& out) {
  Eigen::VectorXd largest, one;
  double sag_percent = 0.0;
  for (std::size_t e = 0; e < figures.size(); ++e) {
    EdgeBow bow = figures[e].bow;
    bow.known = known.edges[e];
    const double sag = out.sag_bound_mm > 0.0 ? BowPercent(out.sag_bound_mm, bow.length_mm) : 0.0;
    if (bow.known) {
      bow.verdict =
          Judge(Widened(MagnitudeInterval(figures[e].draws_percent), sag), out.limit.percent);
      if (!out.bow_measured || std::abs(bow.percent) > out.bow_percent) {
        out.bow_percent = std::abs(bow.percent);
        out.bow_edge = bow.edge;
        one = figures[e].towards_percent;
        out.bow_towards = bow.percent >= 0.0 ? Side::kComponent : Side::kSolder;
        sag_percent = sag;
      }
      const Eigen::VectorXd magnitudes = figures[e].draws_percent.cwiseAbs();
      largest = out.bow_measured ? Eigen::VectorXd(largest.cwiseMax(magnitudes)) : magnitudes;
      out.bow_measured = true;
    }
    out.edges.push_back(bow);
  }
  if (!out.bow_measured) return;
  out.bow_percent95 = Holding(OfTheLargest(one, largest), out.bow_percent);
  out.bow_u95_percent = out.bow_percent95.half_width();
  out.bow_verdict = Judge(Widened(out.bow_percent95, sag_percent), out.limit.percent);
  // "Over" may rest on one edge; "within" and "too close" need them all.
  const bool all =
      std::all_of(out.edges.begin(), out.edges.end(), [](const EdgeBow& bow) { return bow.known; });
  if (!all && out.bow_verdict != Verdict::kOver) out.bow_verdict = Verdict::kNotMeasured;
}

void MeasureTwist(const Board& board, const Surface& surface, const Known& known, Flatness& out) {
  // Corners A, B, C, D are the first places of the four edges.
  const auto q_of = [](const auto& heights) {
    return CornerTwist(heights(0), heights(kPlaces), heights(2 * kPlaces), heights(3 * kPlaces));
  };
  const double q = q_of(surface.edge_mean);
  Eigen::VectorXd draws(surface.edge_draws.cols());
  for (Eigen::Index j = 0; j < draws.size(); ++j) draws(j) = q_of(surface.edge_draws.col(j));
  const double diagonal = board.Diagonal();
  out.twist_percent95 = MagnitudeInterval(draws * (100.0 / (2.0 * diagonal)));
  out.twist_measured =
      known.twist || (known.surface &&
                      out.twist_percent95.half_width() <= known.coverage_share * out.limit.percent);
  if (!out.twist_measured) return;
  out.twist_q_mm = q;
  out.twist_q_u95_mm = EqualTails(draws).half_width();
  out.twist_percent = TwistPercent(q, diagonal);
  out.twist_u95_percent = out.twist_percent95.half_width();
  out.high_diagonal = q >= 0.0 ? "AC" : "BD";
  out.twist_procedure = known.twist_procedure;
  const double sag = out.sag_bound_mm > 0.0 ? TwistPercent(out.sag_bound_mm, diagonal) : 0.0;
  out.twist_verdict = Judge(Widened(out.twist_percent95, sag), out.limit.percent);
}

/// Both flatness figures of the smooth surface over a grid of the board's box.
void MeasureWholeBoard(const Board& board, const Surface& surface, Flatness& out) {
  constexpr int kAcross = 9;
  constexpr Eigen::Index kDraws = 200;
  const auto [low, high] = board.Box();
  Eigen::MatrixX3d points(kAcross * kAcross, 3);
  Eigen::MatrixXd rows(points.rows(), surface.basis.size());
  for (Eigen::Index k = 0; k < points.rows(); ++k) {
    const Eigen::Vector2d share(static_cast<double>(k % kAcross) / (kAcross - 1),
                                static_cast<double>(k / kAcross) / (kAcross - 1));
    const Eigen::Vector2d at = low + share.cwiseProduct(high - low);
    points.row(k).head<2>() = at.transpose();
    rows.row(k) = surface.basis.Row(at);
  }
  points.col(2) = rows * surface.mean;
  out.ls_mm = LeastSquaresFlatness(points);
  out.zone_mm = MinimumZoneFlatness(points);
  const Eigen::Index draws = std::min(kDraws, surface.coefficient_draws.cols());
  const Eigen::MatrixXd heights = rows * surface.coefficient_draws.leftCols(draws);
  Eigen::VectorXd ls(draws), zone(draws);
  for (Eigen::Index j = 0; j < draws; ++j) {
    points.col(2) = heights.col(j);
    ls(j) = LeastSquaresFlatness(points);
    zone(j) = MinimumZoneFlatness(points);
  }
  // Errors only add height to a surface: where they are large, its own lies below that of its
  // draws.
  const auto interval = [](Eigen::VectorXd of_draws, double figure) {
    Interval found = ShortestInterval(std::move(of_draws));
    return Interval{std::min(found.low, figure), std::max(found.high, figure)};
  };
  out.ls95_mm = interval(std::move(ls), out.ls_mm);
  out.zone95_mm = interval(std::move(zone), out.zone_mm);
  out.flatness_measured = true;
}

std::string EdgeList(const std::vector<EdgeBow>& edges, bool known) {
  std::vector<std::string> names;
  for (const EdgeBow& bow : edges) {
    if (bow.known == known) names.emplace_back(Name(bow.edge));
  }
  return Join(names, ", ");
}

void SayWhatIsMissing(const SampleSet& samples, Flatness& out) {
  const std::string missing = EdgeList(out.edges, false);
  const bool weight_in = samples.weight_in();
  const std::string how =
      weight_in || samples.rest == Rest::kFree
          ? "the height at the middle of each of these edges, and at their corners"
          : "a straightedge along each of these edges, the board held upright";
  if (!missing.empty()) out.not_measured.push_back("bow of " + missing + ": needs " + how);
  if (!out.twist_measured) {
    out.not_measured.emplace_back(
        weight_in || samples.rest == Rest::kFree
            ? "twist: needs the heights of all four corners"
            : "twist: needs two straight strips along DA and BC, sighted, or the gap under the "
              "fourth corner with three touching");
  }
  if (!out.not_measured.empty()) {
    out.next_reading = out.not_measured.front();
    return;
  }
  const bool open =
      out.bow_verdict == Verdict::kUndecided || out.twist_verdict == Verdict::kUndecided;
  if (!open) return;
  if (weight_in) {
    out.next_reading = fmt::format(
        "hold the board upright and read its edges with a straightedge: lying as it does, its own "
        "weight may bend it by up to {:.1f} mm",
        out.sag_bound_mm);
  } else if (out.bow_verdict == Verdict::kUndecided) {
    const EdgeBow* widest = nullptr;
    for (const EdgeBow& bow : out.edges) {
      if (bow.verdict == Verdict::kUndecided &&
          (widest == nullptr || std::abs(bow.percent) > std::abs(widest->percent)))
        widest = &bow;
    }
    const EdgeBow& edge =
        widest != nullptr ? *widest : out.edges[static_cast<std::size_t>(out.bow_edge)];
    out.next_reading = fmt::format(
        "read {} three more times, at the widest gap, with blades 0.05 mm apart: the limit is "
        "{:.2f} mm there",
        Name(edge.edge),
        BowGap(out.limit.percent, edge.length_mm));
  } else {
    out.next_reading =
        "read the twist again another way: the fourth corner's gap with blades, or longer strips";
  }
}

}  // namespace

const char* Name(Verdict verdict) {
  switch (verdict) {
    case Verdict::kWithin:
      return "within";
    case Verdict::kOver:
      return "over";
    case Verdict::kUndecided:
      return "undecided";
    case Verdict::kNotMeasured:
      return "not-measured";
  }
  LIEFLAT_CHECK(false, "a verdict is one of four");
}

const char* Plain(Verdict verdict) {
  switch (verdict) {
    case Verdict::kWithin:
      return "within";
    case Verdict::kOver:
      return "over";
    case Verdict::kUndecided:
      return "too close to call";
    case Verdict::kNotMeasured:
      return "not measured yet";
  }
  LIEFLAT_CHECK(false, "a verdict is one of four");
}

Verdict Judge(const Interval& percent95, double limit_percent) {
  if (percent95.high <= limit_percent) return Verdict::kWithin;
  if (percent95.low > limit_percent) return Verdict::kOver;
  return Verdict::kUndecided;
}

Limit LimitOf(const Board& board, const Calib& calib) {
  Limit limit;
  if (board.limit) {
    limit.percent = board.limit->percent;
    limit.source = board.limit->origin;
    limit.meaning = calib.Text("acceptance", "/meaning/own");
    return limit;
  }
  const CalibNumber number =
      calib.Number("acceptance", "/bow_twist/" + board.mounting + "/limit_percent");
  limit.percent = number.value;
  limit.source = number.source + " [" + Name(number.confidence) + "]";
  limit.meaning = calib.Text("acceptance", "/meaning/bare");
  if (board.populated) limit.meaning += " " + calib.Text("acceptance", "/meaning/soldered");
  if (!board.corners_are_outline)
    limit.meaning += " " + calib.Text("acceptance", "/meaning/by_agreement");
  return limit;
}

Flatness MeasureFlatness(const Board& board,
                         const SampleSet& samples,
                         const Surface& surface,
                         double sag_bound_mm,
                         const Calib& calib) {
  Flatness out;
  out.weight_removed = !samples.weight_in();
  out.sag_bound_mm = out.weight_removed ? 0.0 : sag_bound_mm;
  out.limit = LimitOf(board, calib);
  std::vector<EdgeFigures> figures;
  for (std::size_t e = 0; e < kEdges.size(); ++e) figures.push_back(MeasureEdge(board, surface, e));

  Known known = WhatIsRead(board, samples);
  known.coverage_share = calib.Number("acceptance", "/coverage_share").value;
  for (std::size_t e = 0; e < figures.size(); ++e) {
    // An edge that was not read counts when the fitted surface covers it closely enough.
    known.edges[e] =
        known.edges[e] || (known.surface && figures[e].bow.percent95.half_width() <=
                                                known.coverage_share * out.limit.percent);
  }
  MeasureBow(figures, known, out);
  MeasureTwist(board, surface, known, out);
  const bool all =
      std::all_of(out.edges.begin(), out.edges.end(), [](const EdgeBow& bow) { return bow.known; });
  if (all && out.twist_measured) MeasureWholeBoard(board, surface, out);
  SayWhatIsMissing(samples, out);
  return out;
}

}  // namespace lieflat
