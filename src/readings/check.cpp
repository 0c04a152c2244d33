#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/board/mass.h"
#include "lieflat/readings/gauge.h"

#include "readings/instrument.h"
#include "readings/rows.h"
#include "readings/upright.h"

namespace lieflat {
namespace {

constexpr double kEdgeShare =
    0.05;  // the centre of mass keeps this share of the width off the supports' edge
constexpr double kWidePairMm = 1.0;

Error Refused(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

/// Convex hull, counter-clockwise (Andrew's monotone chain).
std::vector<Eigen::Vector2d> Hull(std::vector<Eigen::Vector2d> points) {
  std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) {
    return a.x() != b.x() ? a.x() < b.x() : a.y() < b.y();
  });
  const auto turns_right = [](const auto& a, const auto& b, const auto& c) {
    return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x()) <= 0.0;
  };
  std::vector<Eigen::Vector2d> hull;
  for (int pass = 0; pass < 2; ++pass) {
    const std::size_t start = hull.size();
    for (const auto& point : points) {
      while (hull.size() >= start + 2 && turns_right(hull[hull.size() - 2], hull.back(), point)) {
        hull.pop_back();
      }
      hull.push_back(point);
    }
    hull.pop_back();
    std::reverse(points.begin(), points.end());
  }
  return hull;
}

/// Distance of a point from the nearest edge of a convex polygon, negative outside. mm.
double Inside(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& point) {
  double least = HUGE_VAL;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& from = polygon[i];
    const Eigen::Vector2d along = polygon[(i + 1) % polygon.size()] - from;
    const Eigen::Vector2d to = point - from;
    least = std::min(least, (along.x() * to.y() - along.y() * to.x()) / along.norm());
  }
  return least;
}

Result<void> CheckPlace(const Eigen::Vector2d& at_mm,
                        const std::string& where,
                        const Board& board) {
  constexpr double kSlackMm = 1e-6;  // rounding of a place on the outline
  const auto [low, high] = board.Box();
  for (int axis = 0; axis < 2; ++axis) {
    if (at_mm[axis] < low[axis] - kSlackMm || at_mm[axis] > high[axis] + kSlackMm) {
      return Refused(where,
                     fmt::format("{} {:g} mm is outside the board, {:g} to {:g} mm",
                                 axis == 0 ? "x" : "y",
                                 at_mm[axis],
                                 low[axis],
                                 high[axis]),
                     "places are in the board frame: from corner A, x along AB");
    }
  }
  return {};
}

std::string WhereInside(double inside_mm) {
  constexpr double kOnMm = 0.05;  // prints as 0.0
  if (std::abs(inside_mm) < kOnMm) {
    return "on the edge of the rest points";
  }
  return inside_mm < 0.0 ? "outside the rest points"
                         : fmt::format("only {:.1f} mm inside the rest points", inside_mm);
}

Result<void> CheckSupports(const Gauge& gauge, const Board& board, const Calib& calib) {
  const std::size_t count = gauge.supports.size();
  if (gauge.rest != Rest::kPoints) {
    if (count > 0) {
      return Refused("at",
                     fmt::format("rest points do not belong to rest {}", Name(gauge.rest)),
                     "leave them out, or say that the board lay on points");
    }
    return {};
  }
  if (count < 3 || count > 6) {
    return Refused("at",
                   fmt::format("{} rest points, where 3 to 6 carry a board", count),
                   "best: three, two on a long edge and one at the middle of the opposite edge");
  }
  std::vector<Eigen::Vector2d> points;
  for (std::size_t i = 0; i < count; ++i) {
    if (auto ok = CheckPlace(gauge.supports[i].at_mm, fmt::format("at[{}]", i), board); !ok) {
      return ok;
    }
    points.push_back(gauge.supports[i].at_mm);
  }
  const auto mass = DistributeMass(board, calib);
  if (!mass) {
    return mass.error();
  }
  const auto hull = Hull(points);
  const auto [low, high] = board.Box();
  const double width = (high - low).minCoeff();
  const double inside = hull.size() < 3 ? 0.0 : Inside(hull, mass->centre_mm);
  if (inside <= kEdgeShare * width) {
    return Refused(
        "at",
        fmt::format("the centre of mass ({:.1f}, {:.1f} mm) lies {}, so the board may tip",
                    mass->centre_mm.x(),
                    mass->centre_mm.y(),
                    WhereInside(inside)),
        fmt::format("move the rests so that it lies more than {:.1f} mm inside",
                    kEdgeShare * width));
  }
  return {};
}

std::optional<double> TallestBelow(const Board& board, Side below) {
  std::optional<double> tallest;
  for (const auto& part : board.parts) {
    if (part.side == below && part.height_mm) {
      tallest = std::max(tallest.value_or(0.0), *part.height_mm);
    }
  }
  return tallest;
}

Result<void> CheckRests(const Gauge& gauge,
                        const Board& board,
                        std::vector<std::string>& warnings) {
  if (gauge.rest != Rest::kPoints) {
    return {};
  }
  const auto tallest = TallestBelow(board, gauge.down);
  if (gauge.rest_height_mm && tallest && *gauge.rest_height_mm <= *tallest) {
    return Refused(
        "rest_height_mm",
        fmt::format("rests of {:g} mm are not higher than the tallest part below, {:g} mm",
                    *gauge.rest_height_mm,
                    *tallest),
        "use higher rests, or turn the board over");
  }
  if (!gauge.rest_height_mm) {
    warnings.emplace_back(
        "the height of the rests was not given: no part below may touch the surface");
  }
  return {};
}

Result<void> CheckTable(const Gauge& gauge,
                        const Board& board,
                        std::vector<std::string>& warnings) {
  if (gauge.rest != Rest::kTable) {
    return {};
  }
  const bool parts_above =
      std::any_of(board.parts.begin(), board.parts.end(), [](const Part& part) {
        return part.side == Side::kComponent;
      });
  if (gauge.down == Side::kComponent && (board.populated || parts_above)) {
    return Refused("down",
                   "the board would lie on its parts, component side down on a table",
                   "lay it on rest points higher than the parts, or read it upright");
  }
  const bool tails = board.populated && board.mounting != "smt";
  if (gauge.down == Side::kSolder && tails && !gauge.lead_tail_mm) {
    warnings.emplace_back(
        "the board lies on its lead tails, whose length was not given: each height is less sure");
  }
  return {};
}

Result<void> CheckRowPlace(const GaugeRow& row,
                           std::size_t i,
                           const Gauge& gauge,
                           const Board& board) {
  if (gauge.rest == Rest::kUpright) {
    if (!row.edge) {
      return Refused(
          internal::FieldWhere("", row, i, "edge"), "is missing", "give AB, BC, CD or DA");
    }
    if (!row.side) {
      return Refused(internal::FieldWhere("", row, i, "side"),
                     "is missing",
                     "give component or solder, the face that the straightedge touches");
    }
    const double length = board.EdgeLength(*row.edge);
    if (row.along_mm && (*row.along_mm < 0.0 || *row.along_mm > length)) {
      return Refused(
          internal::FieldWhere("", row, i, "at_mm"),
          fmt::format("{:g} mm is outside the edge, 0 to {:g} mm", *row.along_mm, length),
          "measure from the edge's first letter");
    }
    return {};
  }
  if (!row.station.empty()) {
    if (!StationPlace(row.station, board)) {
      return Refused(internal::FieldWhere("", row, i, "station"),
                     fmt::format("\"{}\" is no station", row.station),
                     "give A B C D, AB BC CD DA (mid-edges) or M, or x_mm and y_mm");
    }
    const bool resting = gauge.rest == Rest::kPoints || gauge.rest == Rest::kTable;
    if (row.station == "M" && resting && gauge.face == Face::kUnder && !row.value_mm) {
      return Refused(internal::FieldWhere("", row, i, "station"),
                     "blades do not reach the middle of a board from its edge",
                     "read the height of the upper face there (reading over), or leave M out");
    }
    return {};
  }
  if (!row.at_mm) {
    return Refused(internal::RowWhere("", row, i),
                   "the place of this reading is missing",
                   "give a station, or x_mm and y_mm");
  }
  return CheckPlace(*row.at_mm, internal::RowWhere("", row, i), board);
}

Result<void> CheckRows(const Gauge& gauge, const Board& board, std::vector<std::string>& warnings) {
  for (std::size_t i = 0; i < gauge.rows.size(); ++i) {
    const GaugeRow& row = gauge.rows[i];
    if (auto ok = internal::CheckValues(row, i, gauge.rest, ""); !ok) {
      return ok;
    }
    if (auto ok = CheckRowPlace(row, i, gauge, board); !ok) {
      return ok;
    }
  }
  const auto joined = internal::JoinOneSided(gauge.rows, "");
  if (!joined) {
    return joined.error();
  }
  for (std::size_t i = 0; i < joined->size(); ++i) {
    const GaugeRow& row = (*joined)[i];
    if (row.no_go_mm && *row.no_go_mm - row.go_mm.value_or(0.0) > kWidePairMm) {
      warnings.push_back(
          fmt::format("{}: the blades leave {:g} mm between them; a closer pair says more",
                      internal::RowWhere("", row, i),
                      *row.no_go_mm - row.go_mm.value_or(0.0)));
    }
  }
  if (gauge.rest == Rest::kUpright) {
    const auto figures = internal::ReadUpright(*joined, board, "");
    if (!figures) {
      return figures.error();
    }
  }
  return {};
}

Result<void> CheckStrips(const Gauge& gauge, const Board& board) {
  if (!gauge.strips) {
    return {};
  }
  const StripReading& strips = *gauge.strips;
  if (gauge.rest != Rest::kUpright) {
    return Refused("strips",
                   fmt::format("strips along the edges do not belong to rest {}", Name(gauge.rest)),
                   "read them with the board upright");
  }
  if ((static_cast<int>(strips.first) + 2) % 4 != static_cast<int>(strips.second)) {
    return Refused(
        "strips",
        fmt::format("{} and {} are not opposite edges", Name(strips.first), Name(strips.second)),
        "lay the strips along DA and BC, or along AB and CD");
  }
  const double edge = std::max(board.EdgeLength(strips.first), board.EdgeLength(strips.second));
  if (!(strips.strip_length_mm >= edge)) {
    return Refused(
        "strips, strip_length_mm",
        fmt::format("{:g} mm is shorter than the edge, {:g} mm", strips.strip_length_mm, edge),
        "give the length from the levelled end to the tip that was sighted");
  }
  if (!(strips.tip_u_mm > 0.0) || !(std::abs(strips.tip_difference_mm) <= 200.0)) {
    return Refused(
        "strips",
        fmt::format(
            "tip difference {:g} mm with u {:g} mm", strips.tip_difference_mm, strips.tip_u_mm),
        "the difference is at most 200 mm and its u above 0");
  }
  return {};
}

/// A corner's reading as a row, so that the same rules hold.
GaugeRow RowOf(const CornerReading& corner) {
  GaugeRow row;
  row.station = std::string(1, corner.corner);
  row.go_mm = corner.go_mm;
  row.no_go_mm = corner.no_go_mm;
  row.value_mm = corner.value_mm;
  row.u_mm = corner.u_mm;
  return row;
}

Result<void> CheckCorners(const Gauge& gauge) {
  if (!gauge.corner && !gauge.referee) {
    return {};
  }
  const char* field = gauge.corner ? "corner" : "referee";
  if (gauge.rest != Rest::kTable) {
    return Refused(
        field,
        fmt::format("the corners' form of twist does not belong to rest {}", Name(gauge.rest)),
        "it is taken on a flat surface: rest table");
  }
  if (gauge.corner) {
    if (std::string_view("ABCD").find(gauge.corner->corner) == std::string_view::npos) {
      return Refused(
          field, fmt::format("\"{}\" is no corner", gauge.corner->corner), "give A, B, C or D");
    }
    const GaugeRow row = RowOf(*gauge.corner);
    if (auto ok = internal::CheckValues(row, 0, Rest::kUpright, field); !ok) {
      return ok;
    }
    if (auto joined = internal::JoinOneSided({row}, field); !joined) {
      return joined.error();
    }
  }
  if (!gauge.referee) {
    return {};
  }
  const RefereeReading& referee = *gauge.referee;
  if (referee.raised != "AC" && referee.raised != "BD") {
    return Refused(
        "referee, raised", fmt::format("\"{}\" is no diagonal", referee.raised), "give AC or BD");
  }
  if (!(referee.highest_mm >= referee.lowest_mm) || !(referee.u_mm > 0.0)) {
    return Refused("referee",
                   fmt::format("highest {:g} mm, lowest {:g} mm, u {:g} mm",
                               referee.highest_mm,
                               referee.lowest_mm,
                               referee.u_mm),
                   "the highest reading is not below the lowest, and u is above 0");
  }
  return {};
}

Result<void> CheckRanges(const Gauge& gauge) {
  const auto range = [](const char* field,
                        const std::optional<double>& value,
                        double low,
                        double high,
                        const char* unit) -> Result<void> {
    if (!value || (*value >= low && *value <= high)) {
      return {};
    }
    return Refused(field,
                   fmt::format("{:g} {} is outside {:g} to {:g} {}", *value, unit, low, high, unit),
                   "check the value and its unit");
  };
  if (auto ok = range("rest_height_mm", gauge.rest_height_mm, 0.0, 200.0, "mm"); !ok) {
    return ok;
  }
  if (auto ok = range("lead_tail_mm", gauge.lead_tail_mm, 0.0, 20.0, "mm"); !ok) {
    return ok;
  }
  return range("temperature_c", gauge.temperature_c, -20.0, 60.0, "C");
}

Result<void> CheckSetting(const Gauge& gauge, const Calib& calib) {
  if (gauge.rows.empty() && !gauge.strips && !gauge.corner && !gauge.referee) {
    return Error{
        ErrorCode::kNoFigure, "reading", "there is no reading", "give rows, strips or a corner"};
  }
  if (auto budget = internal::BudgetOf(gauge, calib, std::nullopt); !budget) {
    return budget.error();
  }
  return CheckRanges(gauge);
}

}  // namespace

Result<void> CheckHeld(const Gauge& held,
                       const Board& board,
                       const Calib& calib,
                       std::vector<std::string>& warnings) {
  for (const auto& ok : {CheckRanges(held),
                         CheckSupports(held, board, calib),
                         CheckRests(held, board, warnings),
                         CheckTable(held, board, warnings)}) {
    if (!ok) return ok;
  }
  return {};
}

Result<void> CheckGauge(const Gauge& gauge,
                        const Board& board,
                        const Calib& calib,
                        std::vector<std::string>& warnings) {
  for (const auto& ok : {CheckSetting(gauge, calib),
                         CheckSupports(gauge, board, calib),
                         CheckRests(gauge, board, warnings),
                         CheckTable(gauge, board, warnings),
                         CheckStrips(gauge, board),
                         CheckCorners(gauge)}) {
    if (!ok) {
      return ok;
    }
  }
  if (auto ok = CheckRows(gauge, board, warnings); !ok) {
    return ok;
  }
  if (!gauge.temperature_c) {
    const double bend = calib.Number("gauges", "/thermal/bend_mm_per_k").value;
    const double length = calib.Number("gauges", "/thermal/reference_length_mm").value;
    warnings.push_back(fmt::format(
        "no temperature was given: let the board lie at room temperature first, 1 K between "
        "its faces bends {:g} mm of it by {:.2f} mm",
        length,
        bend));
  }
  return {};
}

}  // namespace lieflat
