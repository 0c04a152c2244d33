// Each edge against a ruler. The board lies on the ruler with the face down that shows the gap, so
// that every bow is an arch; which face that is stands in the words beside the drawing.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/edges.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace report {
namespace {

constexpr double kWidth = 360.0;   // of the drawing; at 390 px of screen it is shown about 1 : 1
constexpr double kMargin = 18.0;   // for the letters at the ends
constexpr double kRuler = 17.0;    // height of the ruler
constexpr double kBoard = 11.0;    // thickness as drawn, not to scale
constexpr double kTallest = 46.0;  // of the largest gap or limit
constexpr double kStackWidth = 30.0;
constexpr double kHead = 5.0;

/// Lower face of the board over the chord: mean and 95 % band at places along the edge, in mm, arch
/// upwards.
struct Profile {
  Eigen::VectorXd along, mean, low, high;  ///< along: 0 to 1
};

/// Heights over the chord of the first and the last row.
Eigen::MatrixXd OverChord(const Eigen::MatrixXd& heights) {
  Eigen::MatrixXd over = heights;
  const Eigen::Index last = heights.rows() - 1;
  for (Eigen::Index i = 0; i <= last; ++i) {
    const double s = static_cast<double>(i) / static_cast<double>(last);
    over.row(i) -= (1.0 - s) * heights.row(0) + s * heights.row(last);
  }
  return over;
}

Profile FromSurface(const Surface& surface, const EdgeBow& edge) {
  constexpr Eigen::Index kPlaces = Surface::kEdgePlaces;
  const Eigen::Index first = static_cast<Eigen::Index>(edge.edge) * kPlaces;
  const double sign = edge.percent < 0.0 ? -1.0 : 1.0;
  Profile profile;
  profile.along = Eigen::VectorXd::LinSpaced(kPlaces, 0.0, 1.0);
  profile.mean = sign * OverChord(surface.edge_mean.segment(first, kPlaces));
  profile.low = profile.high = profile.mean;
  if (surface.edge_draws.cols() < 20) return profile;
  const Eigen::MatrixXd draws = sign * OverChord(surface.edge_draws.middleRows(first, kPlaces));
  for (Eigen::Index i = 1; i + 1 < kPlaces; ++i) {
    profile.low[i] = Quantile(draws.row(i).transpose(), 0.025);
    profile.high[i] = Quantile(draws.row(i).transpose(), 0.975);
  }
  return profile;
}

/// A parabola where no surface is at hand.
Profile FromGap(const EdgeBow& edge) {
  const Interval gap = GapInterval(edge);
  Profile profile;
  profile.along = Eigen::VectorXd::LinSpaced(Surface::kEdgePlaces, 0.0, 1.0);
  const Eigen::ArrayXd shape = 4.0 * profile.along.array() * (1.0 - profile.along.array());
  profile.mean = edge.gap_mm * shape;
  profile.low = gap.low * shape;
  profile.high = gap.high * shape;
  return profile;
}

Profile ProfileOf(const Assessment& assessment, const EdgeBow& edge) {
  constexpr Eigen::Index kAllPlaces = Eigen::Index{4} * Surface::kEdgePlaces;
  const bool has = assessment.surface && assessment.surface->edge_mean.size() == kAllPlaces;
  return has ? FromSurface(*assessment.surface, edge) : FromGap(edge);
}

const EdgeBow* Find(const Assessment& assessment, Edge edge) {
  for (const EdgeBow& bow : assessment.flatness.edges) {
    if (bow.edge == edge) return &bow;
  }
  return nullptr;
}

/// One edge on the paper: x along the ruler, the ruler's upper side at y = base.
class EdgeDrawing {
 public:
  EdgeDrawing(const Assessment& assessment, const EdgeBow& edge)
      : edge_(edge),
        scale_(ScaleOfEdges(assessment)),
        limit_mm_(LimitGap(assessment, edge)),
        limit_(assessment.flatness.limit) {
    if (edge.known) profile_ = ProfileOf(assessment, edge);
    const double tallest =
        edge.known ? std::max(limit_mm_, profile_.high.maxCoeff() + kBoard / Rise()) : limit_mm_;
    base_ = kHead + std::max(Rise() * tallest, kBoard);
  }

  [[nodiscard]] std::string Svg() const {
    const std::string name = Name(edge_.edge);
    const std::string id = "edge-" + name;
    std::string out = fmt::format(
        "<svg class=\"drawing\" viewBox=\"0 0 {} {}\" role=\"img\" "
        "aria-labelledby=\"{}-t\">\n<title id=\"{}-t\">{}</title>\n",
        Px(kWidth),
        Px(base_ + kRuler + 2.0),
        id,
        id,
        Escape(Title()));
    out += Ruler();
    out += edge_.known ? Board() : Unread();
    const double letters = base_ - 2.0;
    out += Label{name.substr(0, 1), {kMargin - 5.0, letters}, Anchor::kEnd, 12.0, true, false, ""}
               .Svg();
    out += Label{name.substr(1, 1), {X(1.0) + 5.0, letters}, Anchor::kStart, 12.0, true, false, ""}
               .Svg();
    return out + "</svg>\n";
  }

 private:
  [[nodiscard]] double Rise() const { return scale_.Up(1.0); }
  [[nodiscard]] double X(double along) const {
    return kMargin + along * edge_.length_mm * scale_.px_per_mm;
  }
  [[nodiscard]] double Y(double gap_mm) const { return base_ - scale_.Up(gap_mm); }

  [[nodiscard]] std::string Title() const {
    if (!edge_.known) return fmt::format("Edge {} against a ruler: not read", Name(edge_.edge));
    return fmt::format("Edge {} against a ruler: gap {}, limit {} mm; {}",
                       Name(edge_.edge),
                       PrintGap(edge_, limit_).WithUnit("mm"),
                       Rounded(limit_mm_, 2),
                       EdgeSentence(edge_, limit_));
  }

  [[nodiscard]] std::string Ruler() const {
    std::string out =
        fmt::format("<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n",
                    edge_.known ? "ruler" : "ruler unread",
                    Px(X(0.0)),
                    Px(base_),
                    Px(X(1.0) - X(0.0)),
                    Px(kRuler));
    const double step = NiceStep(scale_.px_per_mm, 44.0);
    const double fine = step / 10.0 * scale_.px_per_mm >= 3.5 ? step / 10.0 : step / 5.0;
    std::string ticks;
    for (int i = 0; i * fine <= edge_.length_mm + 1e-9; ++i) {
      const double x = kMargin + i * fine * scale_.px_per_mm;
      const double whole = i * fine / step;
      const bool labelled = std::abs(whole - std::round(whole)) < 1e-6;
      ticks += fmt::format("M{},{}v{}", Px(x), Px(base_), labelled ? 7 : 4);
      if (labelled) out += RulerNumber(i * fine, x);
    }
    return out + fmt::format("<path class=\"tick\" d=\"{}\"/>\n", ticks);
  }

  [[nodiscard]] std::string RulerNumber(double mm, double x) const {
    const bool zero = mm == 0.0;
    const Label label{Plainly(mm),
                      {x + (zero ? 2.0 : 0.0), base_ + 15.0},
                      zero ? Anchor::kStart : Anchor::kMiddle,
                      9.5,
                      false,
                      false,
                      "soft"};
    return label.Box().right < X(1.0) ? label.Svg() : "";
  }

  [[nodiscard]] std::vector<Eigen::Vector2d> Curve(const Eigen::VectorXd& heights,
                                                   double lift) const {
    std::vector<Eigen::Vector2d> points;
    for (Eigen::Index i = 0; i < heights.size(); ++i)
      points.emplace_back(X(profile_.along[i]), Y(heights[i]) - lift);
    return Smooth(points);
  }

  /// Catmull-Rom through the places, so that thirteen of them do not show as corners.
  [[nodiscard]] static std::vector<Eigen::Vector2d> Smooth(const std::vector<Eigen::Vector2d>& p) {
    constexpr int kPieces = 5;
    std::vector<Eigen::Vector2d> out;
    for (std::size_t i = 0; i + 1 < p.size(); ++i) {
      const Eigen::Vector2d before = i == 0 ? Eigen::Vector2d(2.0 * p[0] - p[1]) : p[i - 1];
      const Eigen::Vector2d after =
          i + 2 < p.size() ? p[i + 2] : Eigen::Vector2d(2.0 * p[i + 1] - p[i]);
      for (int k = 0; k < kPieces; ++k) {
        const double t = static_cast<double>(k) / kPieces;
        out.push_back(0.5 * (2.0 * p[i] + t * (p[i + 1] - before) +
                             t * t * (2.0 * before - 5.0 * p[i] + 4.0 * p[i + 1] - after) +
                             t * t * t * (3.0 * p[i] - before - 3.0 * p[i + 1] + after)));
      }
    }
    out.push_back(p.back());
    return out;
  }

  [[nodiscard]] static std::string Closed(std::vector<Eigen::Vector2d> there,
                                          const std::vector<Eigen::Vector2d>& back) {
    there.insert(there.end(), back.rbegin(), back.rend());
    return Path(there, true);
  }

  [[nodiscard]] std::string Board() const {
    const auto under = Curve(profile_.mean, 0.0);
    std::string out = fmt::format("<path class=\"slab\" d=\"{}\"/>\n",
                                  Closed(under, Curve(profile_.mean, kBoard)));
    out += fmt::format("<path class=\"band\" d=\"{}\"/>\n",
                       Closed(Curve(profile_.low, 0.0), Curve(profile_.high, 0.0)));
    out += fmt::format("<path class=\"under\" d=\"{}\"/>\n", Path(under, false));
    out += Stack() + LimitLine();
    return out + Bracket();
  }

  [[nodiscard]] double Widest() const {
    Eigen::Index at = 0;
    profile_.mean.cwiseAbs().maxCoeff(&at);
    if (profile_.mean.cwiseAbs()[at] < 1e-9) at = profile_.mean.size() / 2;
    return profile_.along[at];
  }

  /// The left side of the stack: centred on the widest gap, inside the edge.
  [[nodiscard]] double StackLeft() const {
    const double width = std::min(kStackWidth, 0.3 * (X(1.0) - X(0.0)));
    return std::clamp(X(Widest()) - 0.5 * width, X(0.0), X(1.0) - width);
  }
  [[nodiscard]] double StackWidth() const { return std::min(kStackWidth, 0.3 * (X(1.0) - X(0.0))); }

  /// The limit in blades: as many of 1 mm (0.5, 0.2, 0.1 where it is thin) as it holds, the rest on
  /// top.
  [[nodiscard]] std::string Stack() const {
    double blade = 1.0;
    for (const double thinner : {0.5, 0.2, 0.1, 0.05}) {
      if (limit_mm_ < 2.0 * blade) blade = thinner;
    }
    const bool goes_in = edge_.verdict == Verdict::kOver;
    const char* kind = goes_in                             ? "blades"
                       : edge_.verdict == Verdict::kWithin ? "blades out"
                                                           : "blades maybe";
    std::string out =
        fmt::format("<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n",
                    kind,
                    Px(StackLeft()),
                    Px(Y(limit_mm_)),
                    Px(StackWidth()),
                    Px(scale_.Up(limit_mm_)));
    std::string between;
    for (int i = 1; i * blade < limit_mm_ - 1e-9; ++i) {
      between += fmt::format("M{},{}h{}", Px(StackLeft()), Px(Y(i * blade)), Px(StackWidth()));
    }
    if (!between.empty())
      out += fmt::format("<path class=\"{} between\" d=\"{}\"/>\n", kind, between);
    return out;
  }

  [[nodiscard]] std::string LimitLine() const {
    return fmt::format(
        "<path class=\"limit\" d=\"M{},{}H{}\"/>\n", Px(X(0.0)), Px(Y(limit_mm_)), Px(X(1.0)));
  }

  /// The 95 % interval of the gap as a bracket beside the stack.
  [[nodiscard]] std::string Bracket() const {
    Interval gap = GapInterval(edge_);
    gap.low = std::max(gap.low, 0.0);  // below the ruler the edge would bow the other way
    // Beside the stack; on a short edge as near to it as the edge is long.
    const double x = std::min(StackLeft() + StackWidth() + 10.0, X(1.0) - 5.0);
    return fmt::format("<path class=\"bracket\" d=\"M{0},{1}h10M{0},{2}h10M{3},{1}V{2}\"/>\n",
                       Px(x - 5.0),
                       Px(Y(gap.low)),
                       Px(Y(gap.high)),
                       Px(x));
  }

  [[nodiscard]] std::string Unread() const {
    const double middle = 0.5 * (X(0.0) + X(1.0));
    const std::string slab =
        fmt::format("<rect class=\"slab unread\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n",
                    Px(X(0.0)),
                    Px(base_ - kBoard),
                    Px(X(1.0) - X(0.0)),
                    Px(kBoard));
    const Label label{
        "not read", {middle, base_ - kBoard - 5.0}, Anchor::kMiddle, 10.0, true, false, ""};
    return slab + (label.Box().top > 0.0 && label.Box().left > kMargin ? label.Svg() : "");
  }

  const EdgeBow& edge_;
  EdgeScale scale_;
  double limit_mm_;
  const Limit& limit_;
  Profile profile_;
  double base_ = 0.0;
};

}  // namespace

double NiceStep(double px_per_mm, double least_px) {
  double step = 0.1;
  for (int i = 0; step * px_per_mm < least_px; ++i) step *= i % 3 == 1 ? 2.5 : 2.0;
  return step;
}

double LimitGap(const Assessment& assessment, const EdgeBow& edge) {
  return assessment.flatness.limit.percent * edge.length_mm / 100.0;
}

EdgeScale ScaleOfEdges(const Assessment& assessment) {
  double longest = 1.0;
  double tallest = 0.0;
  for (const EdgeBow& edge : assessment.flatness.edges) {
    longest = std::max(longest, edge.length_mm);
    tallest = std::max(tallest, LimitGap(assessment, edge));
    if (edge.known) tallest = std::max(tallest, GapInterval(edge).high);
  }
  EdgeScale scale;
  scale.px_per_mm = (kWidth - 2.0 * kMargin) / longest;
  const double ideal = kTallest / (std::max(tallest, 0.01) * scale.px_per_mm);
  for (const double factor : {100.0, 80.0, 60.0, 50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0,
                              10.0,  8.0,  6.0,  5.0,  4.0,  3.0,  2.0,  1.5,  1.0,  0.5}) {
    scale.factor = factor;
    if (factor <= ideal) break;
  }
  return scale;
}

}  // namespace report

std::string EdgeSvg(const Assessment& assessment, Edge edge) {
  const EdgeBow* bow = report::Find(assessment, edge);
  return bow == nullptr ? "" : report::EdgeDrawing(assessment, *bow).Svg();
}

}  // namespace lieflat
