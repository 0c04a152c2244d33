#include "lieflat/base/json.h"

#include <algorithm>
#include <cmath>
#include <unordered_set>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

constexpr std::size_t kLongest = 64ULL << 20U;
constexpr std::size_t kDeepest = 64;
/// Members of an object are looked up one by one; more than this would only cost time.
constexpr std::size_t kMostMembers = 4096;

/// Goes over a text without building anything: the first fault, with its place. The names of the
/// methods are the library's.
class Inspector : public nlohmann::json_sax<Json> {
 public:
  bool null() override { return true; }
  bool boolean(bool /*value*/) override { return true; }
  bool number_integer(number_integer_t /*value*/) override { return true; }
  bool number_unsigned(number_unsigned_t /*value*/) override { return true; }
  bool number_float(number_float_t /*value*/, const string_t& /*text*/) override { return true; }
  bool string(string_t& /*value*/) override { return true; }
  bool binary(binary_t& /*value*/) override { return true; }
  bool start_object(std::size_t /*elements*/) override { return Open(); }
  bool start_array(std::size_t /*elements*/) override { return Open(); }
  bool end_object() override { return Close(); }
  bool end_array() override { return Close(); }

  bool key(string_t& value) override {
    auto& keys = keys_.back();
    if (keys.size() == kMostMembers) {
      fault_ = fmt::format("an object has more than {} members", kMostMembers);
      remedy_ = "no file of this program has so many; is it the right file?";
      return false;
    }
    if (keys.insert(value).second) return true;
    fault_ = "the key " + Quoted(value) + " stands twice in one object";
    remedy_ = "keep the one that is meant";
    return false;
  }

  bool parse_error(std::size_t position,
                   const std::string& /*last_token*/,
                   const nlohmann::detail::exception& error) override {
    // The library's sentence is "... syntax error while parsing X - what is wrong; last read: ...".
    std::string what = error.what();
    const auto dash = what.find(" - ");
    const auto bracket = what.find("] ");
    if (dash != std::string::npos) {
      what = what.substr(dash + 3);
    } else if (bracket != std::string::npos) {
      what = what.substr(bracket + 2);
    }
    std::string plain = Quoted(what, 160);
    fault_ = "not valid JSON: " + plain.substr(1, plain.size() - 2);
    remedy_ = "look for a missing or extra comma, quote or bracket there";
    position_ = position;
    return false;
  }

  [[nodiscard]] const std::string& fault() const { return fault_; }
  [[nodiscard]] const std::string& remedy() const { return remedy_; }
  /// Bytes read when a syntax fault was met; absent for the others.
  [[nodiscard]] std::optional<std::size_t> position() const { return position_; }

 private:
  bool Open() {
    if (keys_.size() == kDeepest) {
      fault_ = fmt::format("nested deeper than {} levels", kDeepest);
      remedy_ = "no file of this program is nested so deep; is it the right file?";
      return false;
    }
    keys_.emplace_back();
    return true;
  }
  bool Close() {
    keys_.pop_back();
    return true;
  }

  std::vector<std::unordered_set<std::string>>
      keys_;  ///< of every open object; an array has an empty set
  std::string fault_, remedy_;
  std::optional<std::size_t> position_;
};

/// "board.json, line 3, column 5"; columns count characters, not bytes.
std::string Place(std::string_view text, std::size_t bytes_read, const std::string& where) {
  const std::string_view before = text.substr(0, std::min(bytes_read, text.size()));
  const std::string_view until = before.substr(0, before.empty() ? 0 : before.size() - 1);
  const auto line = 1 + std::count(until.begin(), until.end(), '\n');
  const auto start = until.rfind('\n');
  const std::string_view in_line =
      start == std::string_view::npos ? until : until.substr(start + 1);
  const auto column = 1 + std::count_if(in_line.begin(), in_line.end(), [](char c) {
                        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
                      });
  return fmt::format("{}, line {}, column {}", where, line, column);
}

void CheckFinite(const Json& json) {
  if (json.is_number_float()) {
    LIEFLAT_CHECK(std::isfinite(json.get<double>()), "JSON has no number that is not finite");
  }
  if (json.is_structured()) {
    for (const Json& child : json) CheckFinite(child);
  }
}

std::string Dump(const Json& json, int indent) {
  CheckFinite(json);
  // Text that is not UTF-8 can come from the command line; U+FFFD in its place keeps the file
  // readable.
  return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

Result<Json> ParseJson(std::string_view text, const std::string& where) {
  if (text.size() > kLongest) {
    return Error{ErrorCode::kRefused, where, "longer than 64 MiB", "is it the right file?"};
  }
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    return Error{ErrorCode::kRefused, where, "empty", "a JSON object is expected"};
  }
  try {
    Inspector inspector;
    if (!Json::sax_parse(text.begin(), text.end(), &inspector)) {
      const auto position = inspector.position();
      return Error{ErrorCode::kRefused,
                   position ? Place(text, *position, where) : where,
                   inspector.fault(),
                   inspector.remedy()};
    }
    return Json::parse(text.begin(), text.end());
  } catch (const Json::exception& exception) {
    return Error{ErrorCode::kRefused,
                 where,
                 std::string("not valid JSON: ") + exception.what(),
                 "is it the right file?"};
  }
}

std::string DumpJson(const Json& json) { return Dump(json, 2) + "\n"; }

std::string DumpJsonLine(const Json& json) { return Dump(json, -1); }

}  // namespace lieflat
