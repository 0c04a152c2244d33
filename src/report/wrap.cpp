#include <sstream>

#include "lieflat/report/text.h"

#include "report/words.h"

namespace lieflat {
namespace {

/// The first `count` code points of a word.
std::string Head(const std::string& word, int count) {
  std::size_t at = 0;
  while (at < word.size() && count >= 0) {
    const bool starts = (static_cast<unsigned char>(word[at]) & 0xC0) != 0x80;
    if (starts && count-- == 0) break;
    ++at;
  }
  return word.substr(0, at);
}

}  // namespace

std::string Wrap(const std::string& text, int width, int first_indent, int next_indent) {
  std::string out(static_cast<std::size_t>(first_indent), ' ');
  int column = first_indent;
  int indent = first_indent;
  const auto next_line = [&] {
    out += "\n" + std::string(static_cast<std::size_t>(next_indent), ' ');
    column = indent = next_indent;
  };
  std::istringstream words(report::Printable(text));
  for (std::string word; words >> word;) {
    const int space = column > indent ? 1 : 0;
    if (column + space + report::Columns(word) <= width) {
      out += (space == 1 ? " " : "") + word;
      column += space + report::Columns(word);
      continue;
    }
    if (column > indent) next_line();
    // A word longer than a line is broken: a label may be anything.
    while (column + report::Columns(word) > width && width > column) {
      const std::string head = Head(word, width - column);
      out += head;
      word.erase(0, head.size());
      next_line();
    }
    out += word;
    column += report::Columns(word);
  }
  return out;
}

}  // namespace lieflat
