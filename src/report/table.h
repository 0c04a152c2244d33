#pragma once
// A table on a terminal: columns as wide as they must be; what does not fit into the width goes
// under its row.

#include <string>
#include <vector>

namespace lieflat::report {

inline constexpr int kTerminalWidth = 80;

struct Column {
  std::string head;
  bool right = false;  ///< numbers stand flush right
};

/// Each row has as many cells as there are columns. Columns that do not fit move, last first, to a
/// line of their own below each row, as "head: cell; head: cell". Never wider than `width` code
/// points.
std::string TextTable(const std::vector<Column>& columns,
                      const std::vector<std::vector<std::string>>& rows,
                      int indent,
                      int width = kTerminalWidth);

}  // namespace lieflat::report
