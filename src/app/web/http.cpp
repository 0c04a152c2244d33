#include "app/web/http.h"

#include <algorithm>

#include "lieflat/base/json.h"

namespace lieflat::web {
namespace {

int HexDigit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

char Lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

Error Broken(const std::string& text) {
  return {ErrorCode::kBadUse, text.substr(0, 80), "is no address of this page", "start again at /"};
}

}  // namespace

bool SameLetters(const std::string& a, const std::string& b) {
  return std::equal(
      a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) { return Lower(x) == Lower(y); });
}

std::vector<std::string> Head::All(const std::string& name) const {
  std::vector<std::string> values;
  for (const auto& [key, value] : headers) {
    if (SameLetters(key, name)) values.push_back(value);
  }
  return values;
}

std::string Head::One(const std::string& name) const {
  const auto values = All(name);
  return values.size() == 1 ? values.front() : "";
}

Answer Refusal(int status, const Error& error) {
  return Refusal(status, error.where, error.message, error.remedy);
}

Answer Refusal(int status,
               const std::string& where,
               const std::string& message,
               const std::string& remedy) {
  Answer answer;
  answer.status = status;
  answer.body = DumpJson({{"error", {{"where", where}, {"message", message}, {"remedy", remedy}}}});
  return answer;
}

Result<std::string> PercentDecoded(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\0') return Broken(text);
    if (text[i] != '%') {
      out += text[i];
      continue;
    }
    const int high = i + 2 < text.size() ? HexDigit(text[i + 1]) : -1;
    const int low = i + 2 < text.size() ? HexDigit(text[i + 2]) : -1;
    if (high < 0 || low < 0 || high + low == 0) return Broken(text);
    out += static_cast<char>(16 * high + low);
    i += 2;
  }
  return out;
}

std::string PercentEncoded(const std::string& text) {
  constexpr const char* kDigits = "0123456789ABCDEF";
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '.' || c == '_' || c == '~';
    if (plain) {
      out += c;
    } else {
      out += {'%', kDigits[byte >> 4U], kDigits[byte & 15U]};
    }
  }
  return out;
}

Result<std::vector<Header>> QueryFields(const std::string& query) {
  std::vector<Header> fields;
  for (std::size_t start = 0; start < query.size();) {
    const auto end = std::min(query.find('&', start), query.size());
    const std::string field = query.substr(start, end - start);
    start = end + 1;
    if (field.empty()) continue;
    const auto equals = std::min(field.find('='), field.size());
    const auto name = PercentDecoded(field.substr(0, equals));
    const auto value = PercentDecoded(field.substr(std::min(equals + 1, field.size())));
    if (!name) return name.error();
    if (!value) return value.error();
    for (const auto& [known, _] : fields) {
      if (known == *name) return Broken(query);
    }
    fields.emplace_back(*name, *value);
  }
  return fields;
}

std::string FieldOf(const std::vector<Header>& fields, const std::string& name) {
  for (const auto& [key, value] : fields) {
    if (key == name) return value;
  }
  return "";
}

}  // namespace lieflat::web
