#pragma once
// The page's pieces.

#include <string>
#include <vector>

#include "lieflat/report/html.h"

namespace lieflat::report {

std::string PageStyle();

struct HtmlColumn {
  std::string head;
  bool number = false;  ///< flush right, never broken
  int percent = 0;      ///< of the width; 0: as the words need it
};
/// kStack: at 390 px every row becomes a block with the heads beside its cells. kNarrow: it fits as
/// it is.
enum class TableKind { kStack, kNarrow };
/// Cells are HTML already.
std::string HtmlTable(TableKind kind,
                      const std::string& caption,
                      const std::vector<HtmlColumn>& columns,
                      const std::vector<std::vector<std::string>>& rows);
std::string HtmlList(const std::vector<std::string>& items);  ///< items are plain text
std::string VerdictHtml(Verdict verdict);

/// One line of a key: a sign of 36 x 16 px and what it means, plain text.
std::string LegendLine(const std::string& drawing, const std::string& words);

/// Empty when pressing flat was not computed.
std::string PressedHtml(const Assessment& assessment);
/// Empty without options.
std::string OptionsTableHtml(const Assessment& assessment);
std::string EdgesTableHtml(const Assessment& assessment);
std::string HeightsTableHtml(const Assessment& assessment);
std::string ReadingsTableHtml(const Assessment& assessment);
std::string PartsTableHtml(const Assessment& assessment, const Calib& calib);
std::string DamageTableHtml(const Assessment& assessment, const Calib& calib);
std::string TrendHtml(const FollowedBoard& board);
std::string SourcesTableHtml(const Assessment& assessment, const Calib& calib);
std::string HistoryTableHtml(const std::vector<HistoryLine>& history);

}  // namespace lieflat::report
