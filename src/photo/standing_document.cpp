#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/rounding.h"
#include "lieflat/base/statistics.h"
#include "lieflat/photo/document.h"

#include "photo/photos_json.h"
#include "photo/svg_words.h"

namespace lieflat {
namespace {

Json ToJson(const UpperEdge& upper) {
  if (!upper.missing.empty()) return {{"judged", false}, {"missing", upper.missing}};
  return {{"judged", true},
          {"twisted", upper.twisted()},
          {"corner", std::string(1, upper.corner)},
          {"off_mm", ToStep(upper.off_mm, 0.01)},
          {"u95_mm", ToStep(kNormal95 * upper.u_mm, 0.01)},
          {"photos", upper.photos},
          {"no_measurement", kSeenNoMeasurement}};
}

std::string UpperText(const UpperEdge& upper) {
  if (!upper.missing.empty()) return "Twist is not told: " + upper.missing + ".";
  const double u95 = kNormal95 * upper.u_mm;
  if (!upper.twisted()) {
    return fmt::format(
        "No twist is seen at the upper edge: corner {} lies {:.1f} mm (95 %: {:.1f}) off "
        "the plane of the other three; {}.",
        upper.corner,
        std::abs(upper.off_mm),
        u95,
        kSeenNoMeasurement);
  }
  return fmt::format(
      "The board is seen to be twisted: corner {} lies {:.1f} mm (95 %: {:.1f}) off the plane of "
      "the "
      "other three, towards the {} side; {}.",
      upper.corner,
      std::abs(upper.off_mm),
      u95,
      upper.off_mm < 0.0 ? "solder" : "component",
      kSeenNoMeasurement);
}

}  // namespace

Json ToJson(const StandingResult& result) {
  Json json = {{"format", "lieflat-photo"}, {"version", 1}, {"pose", "standing"}};
  json["sheet"] = result.reading.sheet;
  json["edge"] = Name(result.edge);
  json["departure_mm"] = ToStep(result.deepest.departure_mm, 1e-3);
  json["u95_mm"] = ToStep(kNormal95 * result.deepest.u_mm, 1e-3);
  json["at_mm"] = ToStep(result.deepest.at_mm, 0.1);
  json["profile"] = Json::array();
  for (const StandingPoint& point : result.points) {
    json["profile"].push_back({{"at_mm", ToStep(point.at_mm, 0.1)},
                               {"departure_mm", ToStep(point.departure_mm, 1e-3)},
                               {"u95_mm", ToStep(kNormal95 * point.u_mm, 1e-3)}});
  }
  json["hidden"] = Json::array();
  for (const Hidden& hidden : result.hidden) {
    Json entry = {{"from_mm", ToStep(hidden.from_mm, 0.1)},
                  {"to_mm", ToStep(hidden.to_mm, 0.1)},
                  {"before", hidden.before},
                  {"by", Name(hidden.by)}};
    for (const double leg : hidden.legs_mm) entry["legs_at_mm"].push_back(ToStep(leg, 0.1));
    if (hidden.out_mm > 0.0) entry["out_mm"] = ToStep(hidden.out_mm, 0.1);
    json["hidden"].push_back(std::move(entry));
  }
  json["upper_edge"] = ToJson(result.upper);
  json["photos"] = internal::PhotosJson(result.photos);
  json["warnings"] = result.warnings;
  json["length_mm"] = ToStep(result.length_mm, 0.1);
  json["scatter_mm"] = ToStep(result.scatter_mm, 1e-3);
  json["seen_share"] = ToStep(result.inlier_share, 1e-3);
  json["elevation_deg"] = ToStep(result.elevation_deg, 0.1);
  json["sheet_height_rms_mm"] = ToStep(result.sheet_height_rms_mm, 1e-3);
  json["residual_px"] = ToStep(result.rms_px, 1e-3);
  json["not_proved"] = kNotProved;
  return json;
}

std::string ToText(const StandingResult& result) {
  const double deepest = result.deepest.departure_mm;
  std::string text = fmt::format("edge {} from {} {} on {}\n\n",
                                 Name(result.edge),
                                 result.reading.photos,
                                 result.reading.photos == 1 ? "photo" : "photos",
                                 result.sheet);
  text += Wrapped(fmt::format(
      "It stands {:.2f} mm (95 %: {:.2f}) off its chord towards the {} side, {:.0f} mm from {}.",
      std::abs(deepest),
      kNormal95 * result.deepest.u_mm,
      deepest < 0.0 ? "solder" : "component",
      result.deepest.at_mm,
      Name(result.edge)[0]));
  text += fmt::format("\nFrom {}, mm   off the chord, mm   95 %\n", Name(result.edge)[0]);
  for (const StandingPoint& point : result.points) {
    text += fmt::format(
        "{:10.1f}   {:+17.3f}  {:5.3f}\n", point.at_mm, point.departure_mm, kNormal95 * point.u_mm);
  }
  text += "+ is towards the components. This edge only: no twist, no other edge.\n";
  text += Wrapped(UpperText(result.upper));
  for (const Hidden& hidden : result.hidden) text += Wrapped("Left out: " + Describe(hidden));
  for (const PhotoUse& photo : result.photos) {
    if (!photo.used) text += Wrapped(fmt::format("Not used: {}: {}", photo.name, photo.why_not));
  }
  for (const auto& line : result.warnings) text += Wrapped("Note: " + line);
  text += Wrapped(kNotProved);
  return text;
}

std::string SeenSvg(const StandingResult& result, const Board& board) {
  constexpr double kMargin = 14.0, kHeight = 60.0;
  const double length = result.length_mm;
  const double letters = (length + 2.0 * kMargin) / 36.0;  // legible where it is 350 px wide
  const double largest = std::max(0.5, result.curve_mm.cwiseAbs().maxCoeff());
  const double magnified = std::max(1.0, std::floor(0.4 * kHeight / largest));
  const double middle = kMargin + 0.5 * kHeight;
  // Towards the component side is up; from the edge's first letter to the right.
  const bool first_left = result.seen == Side::kComponent;
  const auto x = [&](double along) { return kMargin + (first_left ? along : length - along); };
  const std::string meaning = fmt::format(
      "Edge {} along its chord (dashed), component side up. Dots: where each photo shows it; line: "
      "the curve through them. Heights are drawn {:g} times larger than they are.",
      Name(result.edge),
      magnified);
  std::string svg =
      internal::SvgHead(length + 2.0 * kMargin, kHeight + 2.0 * kMargin + 8.0, meaning);
  svg += fmt::format("<g font-size=\"{:.1f}\">\n", letters);
  svg += fmt::format(
      "<path d=\"M{0:.1f} {2:.1f}H{1:.1f}\" stroke=\"#555\" stroke-width=\".25\" "
      "stroke-dasharray=\"2 1\"/>\n<g fill=\"#06c\" fill-opacity=\".5\">\n",
      kMargin,
      kMargin + length,
      middle);
  const double sign =
      first_left ? 1.0 : -1.0;  // on paper down is +y, as is towards the solder side
  for (const auto& trace : result.traces_mm) {
    for (std::size_t i = 0; i < trace.size(); i += 2) {
      const double y =
          std::clamp(middle + sign * magnified * trace[i].y(), kMargin, kMargin + kHeight);
      svg += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\".4\"/>\n", x(trace[i].x()), y);
    }
  }
  svg += "</g>\n<path fill=\"none\" stroke=\"#c40\" stroke-width=\".5\" d=\"";
  for (Eigen::Index i = 0; i < result.curve_mm.size(); ++i) {
    svg += fmt::format("{}{:.1f} {:.2f}",
                       i == 0 ? 'M' : 'L',
                       x(std::min(length, static_cast<double>(i))),
                       middle - magnified * result.curve_mm(i));
  }
  svg += "\"/>\n";
  svg += fmt::format(
      "<text x=\"{0:g}\" y=\"{1:.1f}\">{2}</text>\n<text x=\"{3:.1f}\" y=\"{1:.1f}\">{4}</text>\n"
      "<text x=\"{0:g}\" y=\"{5:.1f}\">{6}: edge {7}, component side up; heights drawn {8:g} "
      "times</text>\n</g>\n</svg>\n",
      kMargin,
      kMargin - 3.0,
      Name(result.edge)[0],
      kMargin + length - 3.0,
      Name(result.edge)[1],
      kMargin + kHeight + 12.0,
      internal::SvgText(board.label),
      Name(result.edge),
      magnified);
  return svg;
}

}  // namespace lieflat
