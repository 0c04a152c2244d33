#include "readings/rows.h"

#include <algorithm>

#include <fmt/format.h>

namespace lieflat {
namespace internal {

std::string RowWhere(const std::string& name, const GaugeRow& row, std::size_t index) {
  if (row.line > 0) {
    return name.empty() ? fmt::format("line {}", row.line) : fmt::format("{}:{}", name, row.line);
  }
  return name.empty() ? fmt::format("row {}", index + 1)
                      : fmt::format("{}, row {}", name, index + 1);
}

std::string FieldWhere(const std::string& name,
                       const GaugeRow& row,
                       std::size_t index,
                       const std::string& field) {
  return RowWhere(name, row, index) + (row.line > 0 ? ", column " : ", ") + field;
}

const char* ValueField(Rest rest) { return rest == Rest::kUpright ? "gap_mm" : "height_mm"; }

namespace {

Error Refused(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

Result<void> InRange(double value, double low, const std::string& what, const std::string& where) {
  if (value >= low && value <= kLargestReadingMm) {
    return {};
  }
  return Refused(
      where,
      fmt::format("{} {:g} mm is outside {:g} to {:g} mm", what, value, low, kLargestReadingMm),
      "check the decimal mark, or the unit in the column's name");
}

Result<void> CheckPair(const GaugeRow& row, std::size_t index, const std::string& name) {
  const auto go_where = FieldWhere(name, row, index, "go_mm");
  if (row.u_mm) {
    return Refused(FieldWhere(name, row, index, "u_mm"),
                   "u does not belong to a pair of blades",
                   "leave it out: the two blades say how sure the gap is");
  }
  if (row.go_mm) {
    if (auto ok = InRange(*row.go_mm, 0.0, "go", go_where); !ok) {
      return ok;
    }
  }
  if (row.no_go_mm) {
    if (auto ok = InRange(*row.no_go_mm, 0.0, "no-go", FieldWhere(name, row, index, "no_go_mm"));
        !ok) {
      return ok;
    }
  }
  if (row.no_go_mm && *row.no_go_mm <= row.go_mm.value_or(0.0)) {
    return Refused(
        FieldWhere(name, row, index, "no_go_mm"),
        fmt::format(
            "no-go {:g} mm is not above go {:g} mm", *row.no_go_mm, row.go_mm.value_or(0.0)),
        "the blade that did not go in must be the thicker one; are the two swapped?");
  }
  return {};
}

}  // namespace

Result<void> CheckValues(const GaugeRow& row,
                         std::size_t index,
                         Rest rest,
                         const std::string& name) {
  if (row.value_mm && (row.go_mm || row.no_go_mm)) {
    return Refused(
        RowWhere(name, row, index), "both a value and blades are given", "keep one of them");
  }
  if (row.go_mm || row.no_go_mm) {
    return CheckPair(row, index, name);
  }
  const char* field = ValueField(rest);
  if (!row.value_mm) {
    return Refused(RowWhere(name, row, index),
                   "there is no reading in this row",
                   fmt::format("give {}, or the blades in go_mm and no_go_mm", field));
  }
  const double low = rest == Rest::kFree ? -kLargestReadingMm : 0.0;
  const char* what = rest == Rest::kUpright ? "gap" : "height";
  if (auto ok = InRange(*row.value_mm, low, what, FieldWhere(name, row, index, field)); !ok) {
    return ok;
  }
  if (row.u_mm && !(*row.u_mm > 0.0 && *row.u_mm <= kLargestUMm)) {
    return Refused(
        FieldWhere(name, row, index, "u_mm"),
        fmt::format("u {:g} mm is not above 0 and at most {:g} mm", *row.u_mm, kLargestUMm),
        "give the standard uncertainty in mm, or leave it empty for the instrument's own");
  }
  return {};
}

namespace {

/// Reads one row of a sheet cell by cell; the first fault met is kept.
class RowReader {
 public:
  RowReader(const Sheet& sheet, const Sheet::Row& row) : sheet_(sheet), row_(row) {
    out_.line = row.line;
  }

  [[nodiscard]] std::string Cell(std::string_view column) const {
    const auto at = sheet_.Column(column);
    return at ? row_.cells[*at] : std::string();
  }
  std::optional<double> Length(std::string_view column) {
    const std::string cell = Cell(column);
    if (cell.empty() || error_) {
      return std::nullopt;
    }
    const auto length = ParseLength(cell, sheet_.Where(row_, column), comma_is_decimal());
    if (!length) {
      error_ = length.error();
      return std::nullopt;
    }
    return *length;
  }
  std::optional<double> Blades(std::string_view column, int& blades) {
    const std::string cell = Cell(column);
    if (cell.empty() || error_) {
      return std::nullopt;
    }
    const auto stack = ParseBladeStack(cell, sheet_.Where(row_, column), comma_is_decimal());
    if (!stack) {
      error_ = stack.error();
      return std::nullopt;
    }
    blades = std::max(blades, stack->blades);
    return stack->total_mm;
  }
  void Refuse(std::string_view column, std::string message, std::string remedy) {
    if (!error_) {
      error_ = Refused(sheet_.Where(row_, column), std::move(message), std::move(remedy));
    }
  }
  void Readings(Rest rest) {
    out_.go_mm = Blades("go_mm", out_.blades);
    out_.no_go_mm = Blades("no_go_mm", out_.blades);
    out_.value_mm = Length(ValueField(rest));
    out_.u_mm = Length("u_mm");
  }
  void UprightPlace(const Board& board);
  void Place(Side down, bool as_seen, const Board& board);

  GaugeRow& out() { return out_; }
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  [[nodiscard]] bool comma_is_decimal() const { return sheet_.separator != ','; }
  void Inside(std::string_view column, const char* what, double value, double low, double high);

  const Sheet& sheet_;
  const Sheet::Row& row_;
  GaugeRow out_;
  std::optional<Error> error_;
};

void RowReader::Inside(
    std::string_view column, const char* what, double value, double low, double high) {
  if (value < low || value > high) {
    Refuse(column,
           fmt::format("{:g} mm is outside the {}, {:g} to {:g} mm", value, what, low, high),
           std::string_view(what) == "edge"
               ? "measure from the edge's first letter"
               : "places are in the board frame: from corner A, x along AB");
  }
}

void RowReader::UprightPlace(const Board& board) {
  const std::string edge = Cell("edge");
  out_.edge = EdgeNamed(edge);
  if (!out_.edge) {
    Refuse("edge", fmt::format("\"{}\" is no edge", edge), "give AB, BC, CD or DA");
    return;
  }
  const std::string side = Cell("side");
  if (side == "component" || side == "solder") {
    out_.side = side == "component" ? Side::kComponent : Side::kSolder;
  } else {
    Refuse("side",
           fmt::format("\"{}\" is no face", side),
           "give component or solder, the face that the straightedge touches");
  }
  out_.along_mm = Length("at_mm");
  if (out_.along_mm) {
    Inside("at_mm", "edge", *out_.along_mm, 0.0, board.EdgeLength(*out_.edge));
  }
}

void RowReader::Place(Side down, bool as_seen, const Board& board) {
  const std::string station = Cell("station");
  auto x = Length("x_mm");
  const auto y = Length("y_mm");
  if (error_) {
    return;
  }
  if (!station.empty()) {
    if (x || y) {
      Refuse("station", "both a station and x_mm, y_mm are given", "keep one of them");
    } else if (!StationPlace(station, board)) {
      Refuse("station",
             fmt::format("\"{}\" is no station", station),
             "give A B C D, AB BC CD DA (mid-edges) or M, or use x_mm and y_mm");
    }
    out_.station = station;
    return;
  }
  if (!x || !y) {
    const std::string_view column = sheet_.Column("station") ? "station" : (x ? "y_mm" : "x_mm");
    Refuse(column, "the place of this reading is missing", "give a station, or both x_mm and y_mm");
    return;
  }
  const auto [low, high] = board.Box();
  if (as_seen && down == Side::kComponent) {
    *x = board.EdgeLength(Edge::kAB) - *x;  // the one place where coordinates are mirrored
  }
  Inside("x_mm", "board", *x, low.x(), high.x());
  Inside("y_mm", "board", *y, low.y(), high.y());
  out_.at_mm = Eigen::Vector2d(*x, *y);
}

Result<void> CheckColumns(const Sheet& sheet, Rest rest) {
  const bool upright = rest == Rest::kUpright;
  const std::vector<std::string> known =
      upright
          ? std::vector<std::string>{"edge", "side", "at_mm", "gap_mm", "u_mm", "go_mm", "no_go_mm"}
          : std::vector<std::string>{
                "station", "x_mm", "y_mm", "height_mm", "u_mm", "go_mm", "no_go_mm"};
  const std::string where = sheet.name + ", header";
  for (std::size_t i = 0; i < sheet.columns.size(); ++i) {
    const std::string& column = sheet.columns[i];
    const bool is_known = std::any_of(known.begin(), known.end(), [&](const std::string& name) {
      return sheet.Column(name) == i;  // whichever case it is written in
    });
    if (!is_known) {
      const auto nearest = Nearest(column, known);
      return Refused(
          where,
          fmt::format("column \"{}\" is not known with rest {}", column, Name(rest)),
          nearest ? fmt::format("did you mean {}?", *nearest) : "columns: " + Join(known, ","));
    }
  }
  const auto has = [&](std::string_view column) { return sheet.Column(column).has_value(); };
  const auto need = [&](const std::string& column) {
    return Refused(
        where, fmt::format("there is no column {}", column), "columns: " + Join(known, ","));
  };
  if (upright && !has("edge")) {
    return need("edge");
  }
  if (upright && !has("side")) {
    return need("side");
  }
  if (!upright && !has("station") && !(has("x_mm") && has("y_mm"))) {
    return need("station (or x_mm and y_mm)");
  }
  if (!has(ValueField(rest)) && !has("no_go_mm")) {
    return need(fmt::format("{} (or go_mm and no_go_mm)", ValueField(rest)));
  }
  return {};
}

}  // namespace
}  // namespace internal

Result<std::vector<GaugeRow>> RowsFromSheet(
    const Sheet& sheet, Rest rest, Side down, bool as_seen, const Board& board) {
  if (auto ok = internal::CheckColumns(sheet, rest); !ok) {
    return ok.error();
  }
  std::vector<GaugeRow> rows;
  for (const auto& line : sheet.rows) {
    internal::RowReader reader(sheet, line);
    if (rest == Rest::kUpright) {
      reader.UprightPlace(board);
    } else {
      reader.Place(down, as_seen, board);
    }
    reader.Readings(rest);
    if (reader.error()) {
      return *reader.error();
    }
    if (auto ok = internal::CheckValues(reader.out(), rows.size(), rest, sheet.name); !ok) {
      return ok.error();
    }
    rows.push_back(reader.out());
  }
  return internal::JoinOneSided(rows, sheet.name);
}

}  // namespace lieflat
