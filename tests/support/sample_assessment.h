#pragma once
// Assessments made by hand, for tests of what is shown: a board whose edges bow by given gaps and
// whose corners twist by a given q, known to a given uncertainty, with parts of given shares.
// Nothing here is measured or computed by the program's own chain except the verdicts.

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include <Eigen/QR>
#include <fmt/format.h>

#include "lieflat/assess/assessment.h"

namespace lieflat::test {

struct SamplePart {
  std::string ref, part_class;
  Eigen::Vector2d centre_mm, size_mm;  ///< a size of 0: no place
  double share = 0.2;
  std::string region = {};
};

struct SampleSpec {
  std::string label = "crate-3/017";
  double length_mm = 305.0, width_mm = 244.0;
  std::array<double, 4> gaps_mm = {
      3.47, 0.56, 2.73, 0.55};  ///< of AB BC CD DA, + towards the components
  double twist_q_mm = 2.2;
  double u95_mm = 0.12;
  std::vector<Edge> unread = {};
  bool twist_read = true;
  std::string works = "yes", need = "case", mounting = "mixed";
  std::vector<SamplePart> parts = {{"U1", "pbga", {120, 140}, {35, 35}, 0.68},
                                   {"J4", "slot", {230, 100}, {12, 138}, 0.12},
                                   {"U7", "qfp", {0, 0}, {0, 0}, 0.31, "top-left"}};
  bool weight_removed = true;
  std::string recommended = "use-as-is";
};

/// A Coons patch of four parabolas over the corners' twist.
inline double SampleHeight(const SampleSpec& spec, double x, double y) {
  const auto& g = spec.gaps_mm;
  return 4.0 * x * (1.0 - x) * ((1.0 - y) * g[0] + y * g[2]) +
         4.0 * y * (1.0 - y) * (x * g[1] + (1.0 - x) * g[3]) +
         0.25 * spec.twist_q_mm * (1.0 - 2.0 * x) * (1.0 - 2.0 * y);
}

/// Coefficients of the basis (its plane left out) that lie nearest to the height, on a 15 x 15
/// grid.
class Projector {
 public:
  Projector(const Board& board, const SurfaceBasis& basis) {
    Eigen::MatrixXd columns(kSide * kSide, basis.size() + 3);
    const auto [low, high] = board.Box();
    for (int i = 0; i < kSide * kSide; ++i) {
      const Eigen::Vector2d part = Part(i);
      columns.row(i) << 1.0, part.x(), part.y(), basis.Row(low + part.cwiseProduct(high - low));
    }
    solver_.compute(columns);
  }
  [[nodiscard]] Eigen::VectorXd Coefficients(const SampleSpec& spec) const {
    Eigen::VectorXd heights(kSide * kSide);
    for (int i = 0; i < kSide * kSide; ++i)
      heights[i] = SampleHeight(spec, Part(i).x(), Part(i).y());
    const Eigen::VectorXd all = solver_.solve(heights);
    return all.tail(all.size() - 3);
  }

 private:
  static constexpr int kSide = 15;
  static Eigen::Vector2d Part(int i) {
    return {static_cast<double>(i % kSide) / (kSide - 1),
            static_cast<double>(i / kSide) / (kSide - 1)};
  }
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> solver_;
};

inline Surface SampleSurface(const Board& board, const SampleSpec& spec) {
  constexpr int kDraws = 200;
  Surface surface{SurfaceBasis(board)};
  const Projector projector(board, surface.basis);
  surface.mean = projector.Coefficients(spec);
  surface.coefficient_draws.resize(surface.basis.size(), kDraws);
  std::mt19937_64 random(20260302);
  std::normal_distribution<double> normal(0.0, spec.u95_mm / 1.96);
  for (int draw = 0; draw < kDraws; ++draw) {
    SampleSpec drawn = spec;
    for (std::size_t i = 0; i < 4; ++i) {
      const bool unread =
          std::find(spec.unread.begin(), spec.unread.end(), kEdges[i]) != spec.unread.end();
      // An edge that was not read has the width of a prior: a percent of its length.
      const double widen = unread ? 0.01 * board.EdgeLength(kEdges[i]) / (spec.u95_mm / 1.96) : 1.0;
      drawn.gaps_mm[i] += widen * normal(random);
    }
    drawn.twist_q_mm += 2.0 * normal(random);
    surface.coefficient_draws.col(draw) = projector.Coefficients(drawn);
  }
  surface.edge_mean.resize(4 * Surface::kEdgePlaces);
  surface.edge_draws.resize(4 * Surface::kEdgePlaces, kDraws);
  for (Eigen::Index i = 0; i < surface.edge_mean.size(); ++i) {
    const Edge edge = kEdges[static_cast<std::size_t>(i / Surface::kEdgePlaces)];
    const double s = static_cast<double>(i % Surface::kEdgePlaces) / (Surface::kEdgePlaces - 1);
    const Eigen::Vector2d place = (1.0 - s) * board.EdgeStart(edge) + s * board.EdgeEnd(edge);
    surface.edge_places_mm.push_back(place);
    const Eigen::RowVectorXd row = surface.basis.Row(place);
    surface.edge_mean[i] = row * surface.mean;
    surface.edge_draws.row(i) = row * surface.coefficient_draws;
  }
  surface.order = "plane, two bows and twist";
  return surface;
}

inline void FillEdges(const Board& board, const SampleSpec& spec, Flatness& flatness) {
  for (std::size_t i = 0; i < 4; ++i) {
    EdgeBow edge;
    edge.edge = kEdges[i];
    edge.length_mm = board.EdgeLength(edge.edge);
    edge.known = std::find(spec.unread.begin(), spec.unread.end(), edge.edge) == spec.unread.end();
    if (!edge.known) {
      flatness.not_measured.push_back(fmt::format(
          "bow of {}: needs a straightedge along {}", Name(edge.edge), Name(edge.edge)));
    } else {
      const double per_mm = 100.0 / edge.length_mm;
      edge.gap_mm = std::abs(spec.gaps_mm[i]);
      edge.gap_u95_mm = spec.u95_mm;
      edge.percent = per_mm * spec.gaps_mm[i];
      edge.percent95 = {per_mm * (spec.gaps_mm[i] - spec.u95_mm),
                        per_mm * (spec.gaps_mm[i] + spec.u95_mm)};
      const double magnitude = std::abs(edge.percent);
      const Interval around = {std::max(0.0, magnitude - per_mm * spec.u95_mm),
                               magnitude + per_mm * spec.u95_mm};
      edge.verdict = Judge(around, flatness.limit.percent);
      if (!flatness.bow_measured || magnitude > flatness.bow_percent) {
        flatness.bow_measured = true;
        flatness.bow_percent = magnitude;
        flatness.bow_percent95 = around;
        flatness.bow_u95_percent = per_mm * spec.u95_mm;
        flatness.bow_edge = edge.edge;
        flatness.bow_towards = edge.percent < 0.0 ? Side::kSolder : Side::kComponent;
        flatness.bow_verdict = edge.verdict;
      }
    }
    flatness.edges.push_back(edge);
  }
  if (!spec.unread.empty() && flatness.bow_verdict == Verdict::kWithin)
    flatness.bow_verdict = Verdict::kNotMeasured;
}

inline void FillTwist(const Board& board, const SampleSpec& spec, Flatness& flatness) {
  flatness.twist_measured = spec.twist_read;
  if (!spec.twist_read) {
    flatness.not_measured.push_back(
        "twist: needs two straight strips along opposite edges, or the four corner heights");
    return;
  }
  const double per_mm = 100.0 / (2.0 * board.Diagonal());
  flatness.twist_q_mm = spec.twist_q_mm;
  flatness.twist_q_u95_mm = 2.0 * spec.u95_mm;
  flatness.twist_percent = per_mm * std::abs(spec.twist_q_mm);
  flatness.twist_u95_percent = per_mm * flatness.twist_q_u95_mm;
  flatness.twist_percent95 = {std::max(0.0, flatness.twist_percent - flatness.twist_u95_percent),
                              flatness.twist_percent + flatness.twist_u95_percent};
  flatness.high_diagonal = spec.twist_q_mm < 0.0 ? "BD" : "AC";
  flatness.twist_procedure = "strips";
  flatness.twist_verdict = Judge(flatness.twist_percent95, flatness.limit.percent);
}

inline PartRating SampleRating(const SamplePart& part, bool measured) {
  PartRating rating;
  rating.ref = part.ref;
  rating.part_class = part.part_class;
  rating.measured = measured;
  rating.where_taken = part.size_mm.x() > 0.0 ? "at its place" : "largest in its region (top-left)";
  if (!measured) return rating;
  rating.allowed_strain = 460e-6;
  rating.share = part.share;
  rating.share95 = {0.8 * part.share, 1.2 * part.share};
  rating.flatten_strain = -part.share * rating.allowed_strain;
  rating.flatten_strain95 = {1.2 * rating.flatten_strain, 0.8 * rating.flatten_strain};
  rating.found_share = 0.2 * part.share;
  rating.damage_probability = part.share > 1.0 ? 0.2 : part.share > 0.5 ? 0.02 : 0.002;
  rating.rating = part.share > 1.0   ? Rating::kHigh
                  : part.share > 0.5 ? Rating::kModerate
                                     : Rating::kLow;
  rating.set_by = "share";
  return rating;
}

inline Board SampleBoard(const SampleSpec& spec) {
  Board board = RectangularBoard(spec.length_mm, spec.width_mm, Calib::Embedded()).value();
  board.label = spec.label;
  board.need = spec.need;
  board.works = spec.works;
  board.mounting = spec.mounting;
  board.mass_g = Uncertain{640.0, 5.0};
  for (const SamplePart& sample : spec.parts) {
    Part part;
    part.ref = sample.ref;
    part.part_class = sample.part_class;
    part.region = sample.region;
    if (sample.size_mm.x() > 0.0) {
      part.centre_mm = sample.centre_mm;
      part.size_mm = sample.size_mm;
    }
    board.parts.push_back(part);
  }
  return board;
}

/// @param read  false: nothing was read; no surface, no figures.
inline Assessment SampleAssessment(const SampleSpec& spec = {}, bool read = true) {
  Assessment a;
  a.board = SampleBoard(spec);
  a.works_now = spec.works;
  a.read = read;
  a.calib_origin = "embedded";
  Flatness& flatness = a.flatness;
  flatness.limit = LimitOf(a.board, Calib::Embedded());
  flatness.weight_removed = spec.weight_removed;
  flatness.sag_bound_mm = spec.weight_removed ? 0.0 : 1.7;
  a.recommended.cautions = {"Let the board rest at room temperature before it is read again.",
                            "Old solder holds lead: wash your hands after handling it."};
  if (!read) {
    SampleSpec nothing = spec;
    nothing.unread = {kEdges.begin(), kEdges.end()};
    nothing.twist_read = false;
    FillEdges(a.board, nothing, flatness);
    FillTwist(a.board, nothing, flatness);
    flatness.next_reading =
        "lay a straightedge along AB and along BC and read the gap in the middle";
    a.recommended.name = "measure-further";
    a.recommended.because = {"Nothing was read yet."};
    for (const SamplePart& part : spec.parts) a.parts.push_back(SampleRating(part, false));
    return a;
  }
  a.read_at = ParseInstant("2026-03-02T20:00:00+01:00", "sample").value();
  a.held = spec.weight_removed ? "upright, straightedge" : "lying on a table, solder side down";
  a.surface = SampleSurface(a.board, spec);
  FillEdges(a.board, spec, flatness);
  FillTwist(a.board, spec, flatness);
  flatness.flatness_measured = spec.unread.empty() && spec.twist_read;
  if (flatness.flatness_measured) {
    flatness.ls_mm = 3.9;
    flatness.ls95_mm = {3.7, 4.1};
    flatness.zone_mm = 3.8;
    flatness.zone95_mm = {3.6, 4.0};
  }
  if (!spec.unread.empty()) {
    flatness.next_reading =
        fmt::format("a straightedge along {}, gap in the middle", Name(spec.unread.front()));
  }
  for (const EdgeBow& edge : flatness.edges) {
    if (!edge.known) continue;
    const double gap = edge.percent * edge.length_mm / 100.0;
    a.used.push_back({"e2", Name(edge.edge), gap + 0.01, 0.03, gap});
  }
  if (spec.twist_read)
    a.used.push_back({"e3", "strips DA, BC", spec.twist_q_mm - 0.05, 0.12, spec.twist_q_mm});
  for (const SamplePart& part : spec.parts)
    a.parts.push_back(SampleRating(part, spec.unread.size() < 3));
  a.recommended.name = spec.recommended;
  a.recommended.because = {"What stays after pressing is less than your blades can see.",
                           "It works as it is."};
  a.notes = {"The thickness of 1.57 mm is the usual one; it was not measured."};
  return a;
}

/// The boards that the page must show well, each with a file's name.
struct NamedAssessment {
  std::string name;
  Assessment assessment;
};

inline std::vector<SamplePart> ManyParts() {
  std::vector<SamplePart> parts;
  const std::array<const char*, 5> classes = {"pbga", "qfp", "slot", "plcc", "connector"};
  for (int i = 0; i < 30; ++i) {
    const std::size_t kind = static_cast<std::size_t>(i) % classes.size();
    const Eigen::Vector2d at(24.0 + 51.0 * (i % 6), 22.0 + 48.0 * (i / 6));
    const Eigen::Vector2d size = kind == 2
                                     ? Eigen::Vector2d(8, 44)
                                     : Eigen::Vector2d(12.0 + 4.0 * (i % 5), 10.0 + 5.0 * (i % 4));
    parts.push_back({fmt::format("U{}", 100 + i), classes[kind], at, size, 0.05 * i});
  }
  return parts;
}

inline std::vector<NamedAssessment> AssessmentsToShow() {
  std::vector<NamedAssessment> all;
  const auto add = [&](const char* name, const SampleSpec& spec, bool read = true) {
    all.push_back({name, SampleAssessment(spec, read)});
  };
  add("bowed", {});
  add("flat",
      {.label = "flat board",
       .gaps_mm = {0.12, -0.05, 0.2, 0.1},
       .twist_q_mm = 0.1,
       .need = "none",
       .parts = {{"U1", "pbga", {120, 140}, {35, 35}, 0.04},
                 {"J4", "slot", {230, 100}, {12, 138}, 0.01}},
       .recommended = "leave"});
  add("twisted",
      {.gaps_mm = {0.4, -0.3, 0.5, 0.2}, .twist_q_mm = -8.4, .works = "partly", .need = "cards"});
  add("undecided",
      {.gaps_mm = {2.2, -1.7, -2.1, 0.4},
       .u95_mm = 0.5,
       .works = "untested",
       .weight_removed = false});
  add("some-edges",
      {.gaps_mm = {-3.1, 0.5, 0.0, 0.0}, .unread = {Edge::kCD, Edge::kDA}, .twist_read = false});
  add("corners-only",
      {.gaps_mm = {0, 0, 0, 0}, .twist_q_mm = 2.0, .unread = {kEdges.begin(), kEdges.end()}});
  add("nothing-read", {}, false);
  add("many-parts", {.label = "thirty parts", .parts = ManyParts()});
  add("no-parts", {.parts = {}});
  add("markup",
      {.label = "<b>\"A & B\"</b> 'crate' <script>alert(1)</script>",
       .parts = {{"U<1>&", "pbga", {120, 140}, {35, 35}, 0.68}}});
  add("long-label", {.label = std::string(140, 'w')});
  add("huge",
      {.label = "backplane",
       .length_mm = 690,
       .width_mm = 560,
       .gaps_mm = {9.1, -3.0, 7.7, 2.0},
       .twist_q_mm = 6.0});
  add("tiny",
      {.label = "module",
       .length_mm = 68,
       .width_mm = 22,
       .gaps_mm = {0.61, 0.03, 0.55, 0.02},
       .twist_q_mm = 0.2,
       .u95_mm = 0.04,
       .parts = {{"U1", "csp", {20, 11}, {9, 9}, 0.9}, {"C3", "mlcc", {55, 11}, {3.2, 1.6}, 1.3}}});
  add("strip",
      {.label = "long strip",
       .length_mm = 400,
       .width_mm = 30,
       .gaps_mm = {4.0, 0.02, 4.2, 0.03},
       .twist_q_mm = 1.0,
       .parts = {}});
  Assessment odd = SampleAssessment();
  odd.surface->outliers = {{"AB at 152 mm", "up.csv:3", 3.47, 1.2, 0.15, 0.002}};
  odd.passed_over = {"e1: lying on a table; the upright readings count"};
  odd.calib_origin = "/home/me/calib: acceptance.json";
  odd.used.push_back({"e4", "x 100 y 60", 1.2, 0.05, 1.3});
  odd.used.push_back({"e4", "x 60 y 200", 1.2, 0.05, 1.3});
  all.push_back({"outlier", odd});
  return all;
}

}  // namespace lieflat::test
