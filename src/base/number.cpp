#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "base/words.h"

namespace lieflat {
namespace {

constexpr std::string_view kMinusSign = "\xE2\x88\x92";  // U+2212
constexpr std::string_view kMultiplySign = "\xC3\x97";   // U+00D7
constexpr double kMillimetresAnInch = 25.4;              // exact by definition
constexpr const char* kUnitsKnown = "mm, cm, mil, in or \"";

struct Unit {
  std::string_view name;
  double millimetres;
};
constexpr std::array<Unit, 5> kUnits = {{{"mm", 1.0},
                                         {"cm", 10.0},
                                         {"mil", kMillimetresAnInch / 1000.0},
                                         {"in", kMillimetresAnInch},
                                         {"\"", kMillimetresAnInch}}};

Error Refused(const std::string& where,
              std::string_view text,
              const char* what,
              std::string remedy) {
  return {ErrorCode::kRefused, where, Quoted(text) + " " + what, std::move(remedy)};
}

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

/// Digits with at most one point and an exponent; what from_chars takes beyond that (inf, nan) is
/// not for people's input.
bool HasNumberForm(std::string_view text) {
  std::size_t at = 0;
  if (at < text.size() && text[at] == '-') ++at;
  std::size_t digits = 0;
  bool point = false;
  for (; at < text.size() && (IsDigit(text[at]) || (text[at] == '.' && !point)); ++at) {
    point = point || text[at] == '.';
    if (IsDigit(text[at])) ++digits;
  }
  if (digits == 0) return false;
  if (at == text.size()) return true;
  if (text[at] != 'e' && text[at] != 'E') return false;
  ++at;
  if (at < text.size() && (text[at] == '-' || text[at] == '+')) ++at;
  return at < text.size() &&
         std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), IsDigit);
}

Result<std::string> WithoutComma(std::string_view text,
                                 const std::string& where,
                                 bool comma_is_decimal) {
  std::string plain(text);
  const auto commas = std::count(plain.begin(), plain.end(), ',');
  if (commas == 0) return plain;
  if (!comma_is_decimal) {
    return Refused(where,
                   text,
                   "has a comma, which may mark decimals or thousands",
                   "write a point as the decimal mark");
  }
  if (commas > 1 || plain.find('.') != std::string::npos) {
    return Refused(
        where, text, "has more than one decimal mark", "write one mark and no thousands separator");
  }
  plain[plain.find(',')] = '.';
  return plain;
}

/// @param whole  the text as given, for the error.
Result<double> ReadNumber(std::string_view text,
                          std::string_view whole,
                          const std::string& where,
                          bool comma_is_decimal,
                          const char* what) {
  auto plain = WithoutComma(text, where, comma_is_decimal);
  if (!plain) return plain.error();
  std::string number = std::move(*plain);
  if (number.starts_with(kMinusSign)) number.replace(0, kMinusSign.size(), "-");
  if (number.starts_with('+') && number.size() > 1 && number[1] != '-') number.erase(0, 1);
  if (whole.empty()) {
    return Error{ErrorCode::kRefused,
                 where,
                 std::string("empty, where ") + what + " is expected",
                 "write one"};
  }
  if (!HasNumberForm(number)) {
    return Refused(
        where, whole, (std::string("is not ") + what).c_str(), "write it like 1.57 or -0.3");
  }
  double value = 0.0;
  const char* const end = number.data() + number.size();
  const auto [stopped, fault] = std::from_chars(number.data(), end, value);
  if (fault != std::errc() || stopped != end || !std::isfinite(value)) {
    return Refused(where, whole, "is too large or too small for a number", "check the exponent");
  }
  return value;
}

/// Splits "12mil" into "12" and "mil"; a text without letters at its end has no unit.
std::pair<std::string_view, std::string_view> SplitUnit(std::string_view text) {
  std::size_t end = text.size();
  while (end > 0 && (IsLetter(text[end - 1]) || text[end - 1] == '"')) --end;
  return {Trim(text.substr(0, end)), text.substr(end)};
}

Result<double> FactorOf(std::string_view unit, std::string_view whole, const std::string& where) {
  if (unit.empty()) return 1.0;
  const std::string name = Lower(unit);
  for (const Unit& known : kUnits) {
    if (known.name == name) return known.millimetres;
  }
  // "nan" and "inf" are all letters: they are no number rather than a unit.
  const bool only_letters = unit.size() == whole.size();
  return Refused(where,
                 whole,
                 only_letters ? "is not a length" : "has a unit that is not known here",
                 std::string("write it like 1.57, 12mil or 0.5in; units are ") + kUnitsKnown);
}

Result<double> ReadLength(std::string_view text,
                          std::string_view usual_unit,
                          const std::string& where,
                          bool comma_is_decimal) {
  const std::string_view whole = Trim(text);
  const auto [number, unit] = SplitUnit(whole);
  const auto factor = FactorOf(unit.empty() ? usual_unit : unit, whole, where);
  if (!factor) return factor.error();
  const auto value = ReadNumber(number, whole, where, comma_is_decimal, "a length");
  if (!value) return value.error();
  const double millimetres = *value * *factor;
  if (!std::isfinite(millimetres)) {
    return Refused(where, whole, "is too large or too small for a number", "check the exponent");
  }
  return millimetres;
}

/// Two lengths; a unit at the second only is meant for both ("12x9.6in").
Result<std::pair<double, double>> ReadPair(std::string_view first,
                                           std::string_view second,
                                           const std::string& where,
                                           bool comma_is_decimal) {
  const auto unit = SplitUnit(Trim(second)).second;
  const auto a = ReadLength(first, unit, where, comma_is_decimal);
  if (!a) return a.error();
  const auto b = ReadLength(second, {}, where, comma_is_decimal);
  if (!b) return b.error();
  return std::pair(*a, *b);
}

}  // namespace

Result<double> ParseNumber(std::string_view text, const std::string& where, bool comma_is_decimal) {
  const std::string_view whole = Trim(text);
  return ReadNumber(whole, whole, where, comma_is_decimal, "a number");
}

Result<double> ParseLength(std::string_view text, const std::string& where, bool comma_is_decimal) {
  return ReadLength(text, {}, where, comma_is_decimal);
}

Result<std::pair<double, double>> ParseSize(std::string_view text, const std::string& where) {
  std::size_t mark = text.find_first_of("xX");
  std::size_t mark_size = 1;
  if (mark == std::string_view::npos) {
    mark = text.find(kMultiplySign);
    mark_size = kMultiplySign.size();
  }
  if (mark == std::string_view::npos) {
    return Refused(where, text, "is not two lengths", "write length x width, like 305x244");
  }
  return ReadPair(text.substr(0, mark), text.substr(mark + mark_size), where, true);
}

Result<std::pair<double, double>> ParsePoint(std::string_view text, const std::string& where) {
  // With a semicolon between the two, a comma can only mark decimals.
  const bool semicolon = text.find(';') != std::string_view::npos;
  const char mark = semicolon ? ';' : ',';
  const auto at = text.find(mark);
  if (at == std::string_view::npos || text.find(mark, at + 1) != std::string_view::npos) {
    return Refused(where, text, "is not two lengths x,y", "write it like 120,140");
  }
  return ReadPair(text.substr(0, at), text.substr(at + 1), where, semicolon);
}

}  // namespace lieflat
