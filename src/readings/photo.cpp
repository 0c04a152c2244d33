#include "lieflat/readings/photo.h"

#include <cmath>

#include <Eigen/Eigenvalues>
#include <fmt/format.h>

#include "lieflat/base/rounding.h"

namespace lieflat {
namespace {

constexpr double kFarMm = 1000.0, kLargestHeightMm = 50.0, kLargestVarianceUm2 = 25e6;
constexpr double kUm2PerMm2 = 1e6;
constexpr std::size_t kMostPoints = 400;

/// The how-held part of a gauge entry, by its own reader: the same keys, the same rules.
Result<Gauge> ParseHeld(const Json& json, const std::string& where) {
  Json held = {{"reading", "over"}};
  for (const char* key : {"rest", "down", "at", "rest_height_mm", "temperature_c", "fitted"}) {
    if (const auto found = json.find(key); found != json.end()) held[key] = *found;
  }
  return ParseGauge(held, where);
}

Result<PhotoPoint> ParsePoint(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  PhotoPoint point;
  point.name = read.String("name");
  const double x = read.Number("x_mm", {-kFarMm, kFarMm});
  const double y = read.Number("y_mm", {-kFarMm, kFarMm});
  point.at_mm = {x, y};
  point.height_mm = read.Number("height_mm", {-kLargestHeightMm, kLargestHeightMm});
  read.NoOthers();
  if (read.error()) return *read.error();
  return point;
}

/// Fills the matrix; the fault's key is "covariance_um2".
void ReadCovariance(FieldReader& read, PhotoReading& reading) {
  const Json* const values = read.Array("covariance_um2", true);
  if (values == nullptr) return;
  const auto n = static_cast<Eigen::Index>(reading.points.size());
  if (values->size() != static_cast<std::size_t>(n * (n + 1) / 2)) {
    read.Refuse("covariance_um2",
                fmt::format("holds {} numbers for {} points", values->size(), n),
                "the lower triangle, row by row");
    return;
  }
  reading.covariance_mm2.resize(n, n);
  std::size_t at = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j, ++at) {
      const Json& value = (*values)[at];
      const double number = value.is_number() ? value.get<double>() : NAN;
      if (!(std::abs(number) <= kLargestVarianceUm2) || (i == j && number <= 0.0)) {
        read.Refuse("covariance_um2",
                    fmt::format("number {} is no variance or covariance", at + 1),
                    "the lower triangle, row by row, in square micrometres");
        return;
      }
      reading.covariance_mm2(i, j) = reading.covariance_mm2(j, i) = number / kUm2PerMm2;
    }
  }
}

}  // namespace

Json ToJson(const PhotoReading& reading) {
  Json json = {{"pose", reading.pose}};
  const Json held = ToJson(reading.held);
  for (const char* key : {"rest", "down", "at", "rest_height_mm", "temperature_c", "fitted"}) {
    if (const auto found = held.find(key); found != held.end()) json[key] = *found;
  }
  if (reading.edge) json["edge"] = Name(*reading.edge);
  if (!reading.sheet.empty()) json["sheet"] = reading.sheet;
  json["photos"] = reading.photos;
  json["points"] = Json::array();
  for (const PhotoPoint& point : reading.points) {
    json["points"].push_back({{"name", point.name},
                              {"x_mm", ToStep(point.at_mm.x(), 1e-3)},
                              {"y_mm", ToStep(point.at_mm.y(), 1e-3)},
                              {"height_mm", ToStep(point.height_mm, 1e-5)}});
  }
  json["covariance_um2"] = Json::array();
  for (Eigen::Index i = 0; i < reading.covariance_mm2.rows(); ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      json["covariance_um2"].push_back(ToStep(reading.covariance_mm2(i, j) * kUm2PerMm2, 1e-3));
    }
  }
  return json;
}

Result<PhotoReading> ParsePhotoReading(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  PhotoReading reading;
  reading.pose = read.Word("pose", {"lying", "standing"});
  for (const char* key : {"rest", "down", "at", "rest_height_mm", "temperature_c", "fitted"}) {
    read.Known(key);
  }
  if (read.error()) return *read.error();
  auto held = ParseHeld(json, where);
  if (!held) return held.error();
  reading.held = std::move(*held);
  if (const auto edge = read.OptionalWord("edge", {"AB", "BC", "CD", "DA"}))
    reading.edge = EdgeNamed(*edge);
  reading.sheet = read.OptionalString("sheet").value_or("");
  reading.photos = read.Integer("photos", 1, 1000);
  const Json* const points = read.Array("points", true);
  if (points != nullptr && (points->empty() || points->size() > kMostPoints)) {
    read.Refuse(
        "points", fmt::format("{} points", points->size()), fmt::format("1 to {}", kMostPoints));
  }
  if (read.error()) return *read.error();
  for (std::size_t i = 0; i < points->size(); ++i) {
    auto point = ParsePoint((*points)[i], read.Where(fmt::format("points[{}]", i)));
    if (!point) return point.error();
    reading.points.push_back(std::move(*point));
  }
  ReadCovariance(read, reading);
  read.NoOthers();
  if (read.error()) return *read.error();
  return reading;
}

Result<SampleSet> ToSamples(const PhotoReading& reading,
                            const Board& board,
                            const Calib& calib,
                            const std::string& where) {
  SampleSet set;
  set.rest = reading.held.rest;
  if (auto ok = CheckHeld(reading.held, board, calib, set.notes); !ok) {
    Error error = ok.error();
    error.where = where + ", " + error.where;
    return error;
  }
  const auto [low, high] = board.Box();
  Holding held{reading.held.rest, reading.held.down, {}};
  for (const Support& support : reading.held.supports) held.supports_mm.push_back(support.at_mm);

  // Independent draws whose sum has the covariance: one a principal direction.
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(reading.covariance_mm2);
  const Eigen::MatrixXd draws =
      eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
  for (std::size_t i = 0; i < reading.points.size(); ++i) {
    const PhotoPoint& point = reading.points[i];
    constexpr double kBesideMm = 2.0;
    if (((low - point.at_mm).array() > kBesideMm).any() ||
        ((point.at_mm - high).array() > kBesideMm).any()) {
      return Error{
          ErrorCode::kRefused,
          fmt::format("{}, point {}", where, point.name),
          fmt::format("x {:.0f} y {:.0f} mm is off the board", point.at_mm.x(), point.at_mm.y()),
          "check the board's size and the table of stickers"};
    }
    Sample sample;
    sample.name = point.name;
    sample.where = where;
    sample.value_mm = point.height_mm;
    sample.held = held;
    sample.terms = {{point.at_mm, 1.0}};
    if (reading.edge) {
      const Eigen::Vector2d start = board.EdgeStart(*reading.edge),
                            end = board.EdgeEnd(*reading.edge);
      const double share = (point.at_mm - start).dot(end - start) / (end - start).squaredNorm();
      sample.figure = Figure::kDeparture;
      sample.terms.push_back({start, -(1.0 - share)});
      sample.terms.push_back({end, -share});
    }
    for (Eigen::Index k = 0; k < draws.cols(); ++k) {
      const double gain = draws(static_cast<Eigen::Index>(i), k);
      if (gain == 0.0) continue;
      sample.errors.push_back(
          {"photo", ErrorPart::Law::kNormal, 1.0, fmt::format("photo {} {}", where, k), gain});
    }
    set.samples.push_back(std::move(sample));
  }
  return set;
}

}  // namespace lieflat
