#include "lieflat/readings/repeatability.h"

#include <cmath>
#include <map>

#include <fmt/format.h>

namespace lieflat {
namespace {

constexpr int kLeastDegreesOfFreedom = 4;

Error Refused(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

using Places = std::map<std::string, std::vector<double>>;

Result<Places> ReadPlaces(const Sheet& sheet) {
  const char* column = sheet.Column("height_mm") ? "height_mm" : "gap_mm";
  const auto station = sheet.Column("station");
  const auto value = sheet.Column(column);
  if (!station || !value) {
    return Refused(
        sheet.name + ", header",
        fmt::format("there is no column {}", station ? "height_mm (or gap_mm)" : "station"),
        "columns: station,height_mm");
  }
  Places places;
  for (const auto& row : sheet.rows) {
    const std::string& name = row.cells[*station];
    if (name.empty()) {
      return Refused(sheet.Where(row, "station"), "is empty", "name the place, any word will do");
    }
    const auto length =
        ParseLength(row.cells[*value], sheet.Where(row, column), sheet.separator != ',');
    if (!length) {
      return length.error();
    }
    places[name].push_back(*length);
  }
  return places;
}

}  // namespace

Result<Repeatability> RepeatabilityFromSheet(const Sheet& sheet) {
  const auto places = ReadPlaces(sheet);
  if (!places) {
    return places.error();
  }
  double squares = 0.0;
  Repeatability result;
  for (const auto& [name, values] : *places) {
    if (values.size() < 2) {
      return Error{ErrorCode::kNoFigure,
                   sheet.name,
                   fmt::format("\"{}\" was read once", name),
                   "read each place at least twice, not looking at the first value"};
    }
    double mean = 0.0;
    for (const double value : values) {
      mean += value / static_cast<double>(values.size());
    }
    for (const double value : values) {
      squares += (value - mean) * (value - mean);
    }
    result.degrees_of_freedom += static_cast<int>(values.size()) - 1;
  }
  if (result.degrees_of_freedom < kLeastDegreesOfFreedom) {
    return Error{ErrorCode::kNoFigure,
                 sheet.name,
                 fmt::format("{} repeats in all, where {} are needed",
                             result.degrees_of_freedom,
                             kLeastDegreesOfFreedom),
                 "read three places three times"};
  }
  result.sd_mm = std::sqrt(squares / result.degrees_of_freedom);
  if (!(result.sd_mm > 0.0)) {
    return Error{ErrorCode::kNoFigure,
                 sheet.name,
                 "all repeats are the same, which shows the step of the scale and not the reader",
                 "read with a finer instrument"};
  }
  return result;
}

}  // namespace lieflat
