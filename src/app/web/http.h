#pragma once
// What goes in and out of the page's server, as plain values: the head of a request, known before
// its body is read, and the answer.

#include <string>
#include <utility>
#include <vector>

#include "lieflat/base/result.h"

namespace lieflat::web {

using Header = std::pair<std::string, std::string>;

/// From where a request came: this machine alone, or the one address named by --lan.
enum class Door { kLoopback, kLan };

struct Head {
  std::string method;
  std::string target;  ///< as sent: path, perhaps ? and a query; nothing is decoded yet
  std::vector<Header> headers;
  Door door = Door::kLoopback;

  /// Every value sent under this name, in any case of its letters.
  [[nodiscard]] std::vector<std::string> All(const std::string& name) const;
  /// The one value; empty when there is none, or more than one.
  [[nodiscard]] std::string One(const std::string& name) const;
};

/// A file that is sent as it stands; closed by whoever takes it over.
struct SentFile {
  int descriptor = -1;
  std::size_t bytes = 0;
};

struct Answer {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  std::vector<Header> headers = {};
  SentFile file = {};  ///< in place of the body
};

/// {"error": {"where", "message", "remedy"}} with a status.
Answer Refusal(int status, const Error& error);
Answer Refusal(int status,
               const std::string& where,
               const std::string& message,
               const std::string& remedy);

/// "%2F" and the like once decoded. @error kBadUse: a broken escape, or a zero byte.
Result<std::string> PercentDecoded(const std::string& text);
std::string PercentEncoded(const std::string& text);

/// The query's fields, decoded. @error kBadUse: a field given twice, a broken escape.
Result<std::vector<Header>> QueryFields(const std::string& query);
/// The field's value; empty when absent.
std::string FieldOf(const std::vector<Header>& fields, const std::string& name);

bool SameLetters(const std::string& a, const std::string& b);  ///< in any case, ASCII

}  // namespace lieflat::web
