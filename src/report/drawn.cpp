#include "lieflat/report/drawn.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>

#include "lieflat/board/polygon.h"
#include "lieflat/joints/strain.h"
#include "lieflat/report/html.h"

#include "report/sheet_model.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::HeightGrid;

constexpr double kMicrostrain = 1e6;
constexpr double kShareMarginMm = 3.0;  // where a part's bend is read, calib/part_classes.json

double Rounded(double value, double step) {
  const double rounded = std::round(value / step) * step;
  // Through text, so that 0.1 + 0.2 is not written with sixteen digits.
  return rounded == 0.0 ? 0.0 : std::stod(fmt::format("{:.6f}", rounded));
}

/// One figure a place, rows along y; null off the board and where there is none.
template <typename Figure>
Json Layer(const Board& board, const HeightGrid& grid, const Figure& figure) {
  Json rows = Json::array();
  for (Eigen::Index r = 0; r < grid.z_mm.rows(); ++r) {
    Json row = Json::array();
    for (Eigen::Index c = 0; c < grid.z_mm.cols(); ++c) {
      const Eigen::Vector2d at = grid.Place(r, c);
      const std::optional<double> value =
          OnBoard(board, at) ? std::optional<double>(figure(r, c, at)) : std::nullopt;
      row.push_back(value && std::isfinite(*value) ? Json(*value) : Json(nullptr));
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

double FoundStrain(const Assessment& a, const Eigen::Vector2d& at_mm) {
  const Curvature curvature = a.surface->basis.SecondDerivatives(at_mm) * a.surface->mean;
  const Eigen::Vector3d strain =
      SurfaceStrain(curvature, a.board.thickness_mm.value, Side::kComponent);
  return kMicrostrain * std::abs(LargestPrincipal(strain));
}

/// The share of the part that stands here, the worst where several do; not a number elsewhere.
double ShareAt(const Assessment& a, const Eigen::Vector2d& at_mm) {
  double share = std::nan("");
  for (const PartRating& rating : a.parts) {
    const Part* part = a.board.FindPart(rating.ref);
    if (!rating.measured || part == nullptr || !part->has_place()) continue;
    const auto corners = part->Footprint(kShareMarginMm);
    if (Inside({corners.begin(), corners.end()}, at_mm)) share = std::fmax(share, rating.share);
  }
  return share;
}

Json Axis(double from, double step, Eigen::Index count) {
  Json places = Json::array();
  for (Eigen::Index i = 0; i < count; ++i)
    places.push_back(Rounded(from + step * static_cast<double>(i), 0.01));
  return places;
}

/// Width and height of a drawing, from its viewBox.
std::array<double, 2> SizeOf(const std::string& svg) {
  std::array<double, 2> size{};
  const auto at = svg.find("viewBox=\"");
  const bool read =
      at != std::string::npos &&
      std::sscanf(svg.c_str() + at, "viewBox=\"%*f %*f %lf %lf", &size[0], &size[1]) == 2;
  LIEFLAT_CHECK(read, "a drawing of ours has a viewBox from 0 0");
  return size;
}

constexpr const char* kSpace = " xmlns=\"http://www.w3.org/2000/svg\"";

}  // namespace

Json AnswersJson(const Assessment& assessment, const Calib& calib) {
  Json answers = Json::array();
  for (const auto& [question, answer] : report::FiveAnswers(assessment, calib))
    answers.push_back({{"title", question}, {"text", answer}});
  return answers;
}

Json DrawingsJson(const Assessment& assessment, Drawn drawn) {
  Json drawings = {{"edges", Json::object()}};
  for (const Edge edge : kEdges) {
    const std::string svg = EdgeSvg(assessment, edge);
    if (!svg.empty()) drawings["edges"][Name(edge)] = svg;
  }
  if (drawn == Drawn::kQuick) return drawings;
  const std::string sheet = SheetSvg(assessment);
  if (!sheet.empty()) drawings["sheet"] = sheet;
  return drawings;
}

Result<Json> SurfaceJson(const Assessment& assessment, Drawn drawn) {
  if (!assessment.surface) {
    return Error{ErrorCode::kNoFigure,
                 assessment.board.label,
                 "nothing was read, so there is no surface",
                 "read the edges first: lieflat gauge DIR FILE"};
  }
  constexpr int kSteps = 60;
  const Board& board = assessment.board;
  const HeightGrid grid = report::MeanHeights(assessment, kSteps);
  Json json = {{"format", "lieflat-surface"}, {"version", 1}};
  json["x_mm"] = Axis(grid.origin_mm.x(), grid.step_mm.x(), grid.z_mm.cols());
  json["y_mm"] = Axis(grid.origin_mm.y(), grid.step_mm.y(), grid.z_mm.rows());
  json["height_mm"] = Layer(board, grid, [&](Eigen::Index r, Eigen::Index c, const auto&) {
    return Rounded(grid.z_mm(r, c), 1e-4);
  });
  Json layers = Json::object();
  if (drawn == Drawn::kAll) {
    const HeightGrid u95 = report::HeightU95(assessment);
    layers["height_u95_mm"] = Layer(board, grid, [&](Eigen::Index, Eigen::Index, const auto& at) {
      return Rounded(u95.At(at), 1e-3);
    });
  }
  layers["strain_found_ue"] = Layer(board, grid, [&](Eigen::Index, Eigen::Index, const auto& at) {
    return Rounded(FoundStrain(assessment, at), 0.1);
  });
  if (assessment.flattening) {
    const BendField& field = assessment.flattening->field;
    const HeightGrid flat{field.origin_mm, field.step_mm, field.strain};
    layers["strain_flattened_ue"] =
        Layer(board, grid, [&](Eigen::Index, Eigen::Index, const auto& at) {
          return Rounded(kMicrostrain * flat.At(at), 0.1);
        });
  }
  layers["share"] = Layer(board, grid, [&](Eigen::Index, Eigen::Index, const auto& at) {
    const double share = ShareAt(assessment, at);
    return std::isfinite(share) ? Rounded(share, 1e-4) : share;
  });
  json["layers"] = std::move(layers);
  return json;
}

std::string AsFile(const std::string& svg) {
  const auto end = svg.find('>');
  LIEFLAT_CHECK(svg.starts_with("<svg") && end != std::string::npos,
                "a drawing is one <svg> element");
  std::string head = svg.substr(0, end);
  if (head.find("xmlns=") == std::string::npos) head.insert(4, kSpace);
  return fmt::format(
      "{}>\n<style>{}</style>\n<rect class=\"paper\" width=\"100%\" height=\"100%\"/>{}\n",
      head,
      DrawingStyle(),
      svg.substr(end + 1));
}

std::string AllEdgesSvg(const Assessment& assessment) {
  constexpr double kWordsHeight = 26.0, kWordsSize = 12.0, kLeft = 14.0;
  std::string inner;
  double width = 0.0, y = 0.0;
  for (const EdgeBow& edge : assessment.flatness.edges) {
    const std::string svg = EdgeSvg(assessment, edge.edge);
    if (svg.empty()) continue;
    const auto [edge_width, edge_height] = SizeOf(svg);
    inner += fmt::format("<svg y=\"{}\" width=\"{}\" height=\"{}\"{}",
                         report::Px(y),
                         report::Px(edge_width),
                         report::Px(edge_height),
                         svg.substr(4));
    y += edge_height;
    report::Label words;
    words.text =
        std::string(Name(edge.edge)) + ": " + report::EdgeSentence(edge, assessment.flatness.limit);
    words.at = {kLeft, y + kWordsSize};
    words.anchor = report::Anchor::kStart;
    words.size = kWordsSize;
    inner += words.Svg();
    y += kWordsHeight;
    width = std::max(width, edge_width);
  }
  if (inner.empty()) return "";
  return fmt::format("<svg{} class=\"drawing\" viewBox=\"0 0 {} {}\">\n{}</svg>",
                     kSpace,
                     report::Px(width),
                     report::Px(y),
                     inner);
}

std::string ReadingsCsv(const Assessment& assessment) {
  std::string csv = "entry,station,value_mm,u_mm,fitted_mm\n";
  for (const UsedReading& reading : assessment.used) {
    csv += fmt::format("\"{}\",\"{}\",{:.4f},{:.4f},{:.4f}\n",
                       reading.id,
                       reading.name,
                       reading.value_mm,
                       reading.u_mm,
                       reading.fitted_mm);
  }
  return csv;
}

}  // namespace lieflat
