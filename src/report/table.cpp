#include "report/table.h"

#include <algorithm>
#include <numeric>

#include "lieflat/report/text.h"

#include "report/words.h"

namespace lieflat::report {
namespace {

constexpr int kGap = 2;

using Row = std::vector<std::string>;

std::vector<int> Widths(const std::vector<Column>& columns, const std::vector<Row>& rows) {
  std::vector<int> widths;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    int width = Columns(columns[c].head);
    for (const Row& row : rows) width = std::max(width, Columns(row[c]));
    widths.push_back(width);
  }
  return widths;
}

/// The number of columns, from the first, that stand side by side.
std::size_t Fitting(const std::vector<int>& widths, int room) {
  std::size_t fitting = widths.size();
  const auto total = [&] {
    const auto last = widths.begin() + static_cast<std::ptrdiff_t>(fitting);
    return std::accumulate(widths.begin(), last, kGap * (static_cast<int>(fitting) - 1));
  };
  while (fitting > 1 && total() > room) --fitting;
  return fitting;
}

std::string Line(const Row& cells,
                 const std::vector<Column>& columns,
                 const std::vector<int>& widths,
                 std::size_t count) {
  std::string line;
  for (std::size_t c = 0; c < count; ++c) {
    const auto space = static_cast<std::size_t>(std::max(0, widths[c] - Columns(cells[c])));
    if (c > 0) line.append(kGap, ' ');
    if (columns[c].right) line.append(space, ' ');
    line += cells[c];
    if (!columns[c].right) line.append(space, ' ');
  }
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

}  // namespace

std::string TextTable(const std::vector<Column>& columns,
                      const std::vector<Row>& rows,
                      int indent,
                      int width) {
  const auto widths = Widths(columns, rows);
  const std::size_t count = Fitting(widths, width - indent);
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  Row heads;
  for (const Column& column : columns) heads.push_back(column.head);
  const auto emit = [&](const Row& cells) {
    const std::string line = Line(cells, columns, widths, count);
    return Columns(line) + indent <= width ? margin + line + "\n"
                                           : Wrap(line, width, indent, indent + 2) + "\n";
  };
  std::string out = emit(heads);
  for (const Row& row : rows) {
    out += emit(row);
    std::string below;
    for (std::size_t c = count; c < columns.size(); ++c) {
      if (row[c].empty()) continue;
      below += (below.empty() ? "" : "; ") + columns[c].head + ": " + row[c];
    }
    if (!below.empty()) out += Wrap(below, width, indent + 4, indent + 6) + "\n";
  }
  return out;
}

}  // namespace lieflat::report
