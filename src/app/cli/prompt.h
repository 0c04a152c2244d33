#pragma once
// Questions to a person at a terminal: asked on stderr, answered on stdin, one line each. An answer
// that cannot be read is explained and asked again.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "app/cli/command.h"

namespace lieflat::cli {

class Prompt {
 public:
  /// Whether somebody can be asked: stdin and stderr are a terminal, and --no-input was not given.
  static bool Possible(const Session& session);

  /// An answer that `read` takes; empty is handed to `read` as well. @error kBadUse when the input
  /// ends.
  template <typename T>
  Result<T> Ask(const std::string& question,
                const std::function<Result<T>(const std::string&)>& read) {
    for (;;) {
      auto line = Line(question);
      if (!line) return line.error();
      auto value = read(*line);
      if (value) return value;
      Session::Tell("  " + value.error().message +
                    (value.error().remedy.empty() ? "" : "; " + value.error().remedy));
    }
  }
  /// One of the words; empty takes `usual`.
  Result<std::string> Word(const std::string& question,
                           const std::vector<std::string>& words,
                           const std::string& usual);
  /// A length in mm; empty is absent.
  Result<std::optional<double>> Length(const std::string& question);
  /// A number; empty is absent.
  Result<std::optional<double>> Number(const std::string& question);
  Result<std::string> Text(const std::string& question);

 private:
  static Result<std::string> Line(const std::string& question);
};

}  // namespace lieflat::cli
