#include "readings/upright.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace lieflat::internal {
namespace {

constexpr double kEndShare =
    0.05;  // a reading within this share of the edge's length is one of its end

bool Touches(const GaugeRow& row) {
  return row.value_mm ? *row.value_mm == 0.0 : row.go_mm.value_or(0.0) == 0.0;
}

double ShareOf(const GaugeRow& row, const Board& board) {
  return row.along_mm ? *row.along_mm / board.EdgeLength(*row.edge) : 0.5;
}

/// The rows of one edge and one face, by where they lie.
struct Straightedge {
  std::vector<std::size_t> starts, ends, middles;
  [[nodiscard]] std::size_t first() const {
    std::size_t index = SIZE_MAX;
    for (const auto* places : {&starts, &ends, &middles}) {
      for (const std::size_t i : *places) {
        index = std::min(index, i);
      }
    }
    return index;
  }
};

Error Contradiction(const std::vector<GaugeRow>& rows,
                    const Straightedge& group,
                    const std::string& name,
                    std::string message,
                    std::string remedy) {
  const std::size_t i = group.first();
  return {ErrorCode::kRefused,
          RowWhere(name, rows[i], i),
          fmt::format("{} on the {} face: {}", Name(*rows[i].edge), Name(*rows[i].side), message),
          std::move(remedy)};
}

UprightFigure FigureOf(const std::vector<GaugeRow>& rows, std::size_t i) {
  UprightFigure figure;
  figure.edge = *rows[i].edge;
  figure.side = *rows[i].side;
  figure.first = rows[i];
  figure.index = i;
  return figure;
}

Result<void> AddRocking(const std::vector<GaugeRow>& rows,
                        const Straightedge& group,
                        const Board& board,
                        const std::string& name,
                        std::vector<UprightFigure>& figures) {
  if (group.starts.size() != group.ends.size()) {
    return Contradiction(rows,
                         group,
                         name,
                         fmt::format("the first letter's end has {} of the gaps and the other {}",
                                     group.starts.size(),
                                     group.ends.size()),
                         "a straightedge that rocks needs the gaps at both ends, as many at each");
  }
  const double share = group.middles.empty() ? 0.5 : ShareOf(rows[group.middles.front()], board);
  for (std::size_t k = 0; k < group.starts.size(); ++k) {
    UprightFigure figure = FigureOf(rows, group.starts[k]);
    figure.second = rows[group.ends[k]];
    figure.rocking = true;
    figure.share = share;
    figures.push_back(figure);
  }
  return {};
}

Result<void> AddGroup(const std::vector<GaugeRow>& rows,
                      const Straightedge& group,
                      const Board& board,
                      const std::string& name,
                      std::vector<UprightFigure>& figures) {
  const auto open = [&](std::size_t i) { return !Touches(rows[i]); };
  const bool open_end = std::any_of(group.starts.begin(), group.starts.end(), open) ||
                        std::any_of(group.ends.begin(), group.ends.end(), open);
  const bool open_middle = std::any_of(group.middles.begin(), group.middles.end(), open);
  if (open_end && open_middle) {
    return Contradiction(rows,
                         group,
                         name,
                         "gaps both at an end and between the ends",
                         "either it touches both ends, or it rocks and the ends alone have gaps");
  }
  const bool both_ends = !group.starts.empty() && !group.ends.empty();
  if (open_end || (group.middles.empty() && both_ends)) {
    return AddRocking(rows, group, board, name, figures);
  }
  if (group.middles.empty()) {
    return Contradiction(rows,
                         group,
                         name,
                         "one end alone says nothing of the bow",
                         "read the gap between the ends, or at both ends where it rocks");
  }
  for (const std::size_t i : group.middles) {  // ends that touch say no more than that
    UprightFigure figure = FigureOf(rows, i);
    figure.share = ShareOf(rows[i], board);
    figures.push_back(figure);
  }
  return {};
}

}  // namespace

Result<std::vector<UprightFigure>> ReadUpright(const std::vector<GaugeRow>& rows,
                                               const Board& board,
                                               const std::string& name) {
  std::map<std::pair<Edge, Side>, Straightedge> groups;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    auto& group = groups[{*rows[i].edge, *rows[i].side}];
    const double share = ShareOf(rows[i], board);
    auto& place = share <= kEndShare         ? group.starts
                  : share >= 1.0 - kEndShare ? group.ends
                                             : group.middles;
    place.push_back(i);
  }
  std::vector<UprightFigure> figures;
  for (const auto& [key, group] : groups) {
    if (auto ok = AddGroup(rows, group, board, name, figures); !ok) {
      return ok.error();
    }
  }
  return figures;
}

}  // namespace lieflat::internal
