#include <algorithm>

#include <fmt/format.h>

#include "readings/rows.h"

namespace lieflat::internal {
namespace {

bool SamePlace(const GaugeRow& one, const GaugeRow& other) {
  constexpr double kSameMm = 0.01;  // places are typed to the millimetre at best
  const auto near = [&](const std::optional<double>& a, const std::optional<double>& b) {
    return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) < kSameMm);
  };
  if (one.station != other.station || one.edge != other.edge || one.side != other.side ||
      !near(one.along_mm, other.along_mm) || one.at_mm.has_value() != other.at_mm.has_value()) {
    return false;
  }
  return !one.at_mm || (*one.at_mm - *other.at_mm).norm() < kSameMm;
}

bool OneSided(const GaugeRow& row) {
  return !row.value_mm && row.go_mm.has_value() != row.no_go_mm.has_value();
}

/// Takes the bounds of `row` into `pair` where they are the closer ones.
void Tighten(GaugeRow& pair, const GaugeRow& row) {
  if (row.go_mm && (!pair.go_mm || *row.go_mm > *pair.go_mm)) {
    pair.go_mm = row.go_mm;
    pair.blades = row.blades;
  }
  if (row.no_go_mm && (!pair.no_go_mm || *row.no_go_mm < *pair.no_go_mm)) {
    pair.no_go_mm = row.no_go_mm;
  }
}

/// One place's rows, in the order they came.
Result<std::vector<GaugeRow>> JoinPlace(const std::vector<GaugeRow>& rows,
                                        const std::string& where_of_first) {
  std::vector<GaugeRow> whole;
  std::optional<GaugeRow> joined;
  for (const auto& row : rows) {
    if (!OneSided(row)) {
      whole.push_back(row);
    } else if (!joined) {
      joined = row;
    } else {
      Tighten(*joined, row);
    }
  }
  if (!joined) {
    return whole;
  }
  if (!joined->go_mm || !joined->no_go_mm) {
    // The other side may stand in a row that has both; then that row and this bound are one
    // reading.
    std::vector<GaugeRow> values;
    for (const auto& row : whole) {
      if (row.value_mm) {
        values.push_back(row);
      } else {
        Tighten(*joined, row);
      }
    }
    whole = values;
  }
  if (!joined->no_go_mm) {
    return Error{ErrorCode::kRefused,
                 where_of_first,
                 fmt::format("go {:g} mm without a no-go is only a lower bound", *joined->go_mm),
                 "say which blade did not go in"};
  }
  if (joined->go_mm && *joined->no_go_mm <= *joined->go_mm) {
    return Error{
        ErrorCode::kRefused,
        where_of_first,
        fmt::format(
            "the rows of this place contradict each other: {:g} mm went in and {:g} mm did not",
            *joined->go_mm,
            *joined->no_go_mm),
        "read the place again, or void the wrong row"};
  }
  whole.push_back(*joined);
  return whole;
}

}  // namespace

Result<std::vector<GaugeRow>> JoinOneSided(const std::vector<GaugeRow>& rows,
                                           const std::string& name) {
  std::vector<GaugeRow> all;
  std::vector<bool> taken(rows.size(), false);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (taken[i]) {
      continue;
    }
    std::vector<GaugeRow> place;
    std::size_t first_one_sided = i;
    bool found = false;
    for (std::size_t j = i; j < rows.size(); ++j) {
      if (taken[j] || !SamePlace(rows[i], rows[j])) {
        continue;
      }
      taken[j] = true;
      if (!found && OneSided(rows[j])) {
        found = true;
        first_one_sided = j;
      }
      place.push_back(rows[j]);
    }
    const auto joined = JoinPlace(place, RowWhere(name, rows[first_one_sided], first_one_sided));
    if (!joined) {
      return joined.error();
    }
    all.insert(all.end(), joined->begin(), joined->end());
  }
  return all;
}

}  // namespace lieflat::internal
