// A label for a board that is kept for parts: what is usable, what the bend makes suspect, what is
// missing or damaged.

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/report/text.h"

#include "report/damage.h"
#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::Printable;

struct PartsByUse {
  std::vector<std::string> usable, suspect, missing, damaged;
};

/// Marks that name the part, so that it is not sold as sound.
std::vector<const JudgedMark*> MarksAt(const Assessment& assessment, const std::string& ref) {
  std::vector<const JudgedMark*> found;
  for (const JudgedMark& mark : assessment.marks) {
    if (mark.mark.state == MarkState::kOpen &&
        std::find(mark.mark.near.begin(), mark.mark.near.end(), ref) != mark.mark.near.end())
      found.push_back(&mark);
  }
  return found;
}

PartsByUse Sort(const Assessment& assessment, const Calib& calib) {
  const double low = calib.Number("choice", "/rating/low/share").value;
  PartsByUse out;
  for (const PartRating& part : assessment.parts) {
    const std::string name =
        fmt::format("{}, {}", Printable(part.ref), report::PartWords(assessment, part, calib));
    const auto marks = MarksAt(assessment, part.ref);
    const auto gone = std::find_if(marks.begin(), marks.end(), [](const JudgedMark* mark) {
      return mark->mark.kind == "missing-part";
    });
    if (gone != marks.end()) {
      out.missing.push_back(name);
    } else if (!marks.empty()) {
      out.damaged.push_back(
          fmt::format("{}: mark {}, {}", name, marks[0]->number, MarkWords(*marks[0], calib)));
    } else if (part.part_class == "battery") {
      out.suspect.push_back(name +
                            ": old cells leak and burn; off first, handed in by local rules");
    } else if (!part.measured) {
      out.suspect.push_back(name + ": the bend there is not measured");
    } else if (part.found_share >= low) {
      out.suspect.push_back(fmt::format("{}: bent to {} % of what it allows",
                                        name,
                                        report::Rounded(100.0 * part.found_share, 0)));
    } else {
      out.usable.push_back(name);
    }
  }
  return out;
}

/// A head and its lines in a column beside it.
std::string Listed(const std::string& head,
                   const std::vector<std::string>& lines,
                   const char* none) {
  constexpr std::size_t kColumn = 10;
  std::string text;
  for (const std::string& line : lines.empty() ? std::vector<std::string>{none} : lines)
    text += Wrap(line, report::kTerminalWidth, kColumn, kColumn) + "\n";
  return text.replace(0, head.size(), head);
}

}  // namespace

std::string SparesText(const Assessment& assessment, const Calib& calib) {
  const Board& board = assessment.board;
  const PartsByUse sorted = Sort(assessment, calib);
  return fmt::format("{}, {}: for spares; {}.\n",
                     Printable(board.label.empty() ? "Board" : board.label),
                     report::SizeWords(board),
                     report::TestedWords(assessment)) +
         Listed("Usable", sorted.usable, "nothing on record can be called usable") +
         Listed("Suspect", sorted.suspect, "nothing from the bend") +
         Listed("Missing", sorted.missing, "nothing on record") +
         Listed("Damaged", sorted.damaged, "nothing on record") +
         Wrap(
             "Usable means bent little here and unmarked: test each part before it is used; hidden "
             "cracks cannot be ruled out. Old solder holds lead: wash hands, no food nearby. Take "
             "batteries off first and hand them in by local rules.",
             report::kTerminalWidth,
             0,
             0) +
         "\n";
}

}  // namespace lieflat
