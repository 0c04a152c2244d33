#include "base/words.h"

#include <algorithm>
#include <cstdint>
#include <numeric>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

/// The bytes of the well-formed UTF-8 character at the start of `text`; 0 when there is none
/// (Unicode 15, table 3-7).
std::size_t CharacterLength(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
  const std::uint8_t lead = byte(0);
  if (lead < 0x80) return 1;
  std::size_t length = 0;
  std::uint8_t low = 0x80;
  std::uint8_t high = 0xBF;
  if (lead >= 0xC2 && lead <= 0xDF) {
    length = 2;
  } else if (lead >= 0xE0 && lead <= 0xEF) {
    length = 3;
    if (lead == 0xE0) low = 0xA0;
    if (lead == 0xED) high = 0x9F;
  } else if (lead >= 0xF0 && lead <= 0xF4) {
    length = 4;
    if (lead == 0xF0) low = 0x90;
    if (lead == 0xF4) high = 0x8F;
  }
  if (length == 0 || text.size() < length || byte(1) < low || byte(1) > high) return 0;
  for (std::size_t i = 2; i < length; ++i) {
    if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
  }
  return length;
}

/// Changes, insertions, deletions and swaps of neighbours, each counted 1; small and capital
/// letters are the same.
std::size_t EditDistance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before_last(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(last.begin(), last.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = Lower(a[i - 1]) == Lower(b[j - 1]) ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + change});
      const bool swapped = i > 1 && j > 1 && Lower(a[i - 1]) == Lower(b[j - 2]) &&
                           Lower(a[i - 2]) == Lower(b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before_last[j - 2] + 1);
    }
    before_last.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

}  // namespace

bool IsUtf8(std::string_view text) {
  while (!text.empty()) {
    const std::size_t length = CharacterLength(text);
    if (length == 0) return false;
    text.remove_prefix(length);
  }
  return true;
}

std::string Quoted(std::string_view text, std::size_t most) {
  std::string shown = "\"";
  for (std::size_t count = 0; !text.empty(); ++count) {
    if (count == most) {
      shown += "...";
      break;
    }
    const std::size_t length = CharacterLength(text);
    const auto byte = static_cast<unsigned char>(text.front());
    if (length == 0 || byte < 0x20 || byte == 0x7F) {
      shown += fmt::format("\\x{:02X}", byte);
      text.remove_prefix(1);
    } else {
      shown += text.substr(0, length);
      text.remove_prefix(length);
    }
  }
  return shown + "\"";
}

std::optional<std::string> Nearest(std::string_view word, const std::vector<std::string>& known) {
  constexpr std::size_t kLongest = 100;  // longer is no slip of the finger
  if (word.size() > kLongest) return std::nullopt;
  std::optional<std::string> nearest;
  // At least one character must be right.
  std::size_t fewest = std::min(std::max<std::size_t>(2, word.size() / 3) + 1, word.size());
  for (const std::string& candidate : known) {
    const std::size_t distance = EditDistance(word, candidate);
    if (distance >= fewest) continue;
    fewest = distance;
    nearest = candidate;
  }
  return nearest;
}

std::vector<std::string> SplitWords(std::string_view text) {
  std::vector<std::string> words;
  while (true) {
    const auto comma = text.find(',');
    const std::string_view word = Trim(text.substr(0, comma));
    if (!word.empty()) words.emplace_back(word);
    if (comma == std::string_view::npos) return words;
    text.remove_prefix(comma + 1);
  }
}

std::string Join(const std::vector<std::string>& words, std::string_view separator) {
  return fmt::format("{}", fmt::join(words, separator));
}

}  // namespace lieflat
