#include "app/cli/prompt.h"

#include <cstdio>

#include <fmt/format.h>
#include <unistd.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"
#include "app/cli/utf8.h"

namespace lieflat::cli {

bool Prompt::Possible(const Session& session) {
  return !session.no_input && ::isatty(STDIN_FILENO) == 1 && ::isatty(STDERR_FILENO) == 1;
}

Result<std::string> Prompt::Line(const std::string& question) {
  std::fputs((question + " ").c_str(), stderr);
  std::fflush(stderr);
  std::string line;
  constexpr std::size_t kLongest = 4096;  // far above any answer
  for (int c = std::getchar();; c = std::getchar()) {
    if (c == '\n') break;
    if (c == EOF) {
      Session::Tell("");
      return Error{ErrorCode::kBadUse,
                   "prompt",
                   "the input ended before all was answered",
                   "nothing was recorded"};
    }
    if (line.size() < kLongest) line.push_back(static_cast<char>(c));
  }
  const auto first = line.find_first_not_of(" \t\r");
  if (first == std::string::npos) return std::string();
  line = line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
  if (!IsUtf8(line))
    return Error{ErrorCode::kBadUse, "prompt", "the answer is not UTF-8", "nothing was recorded"};
  return line;
}

Result<std::string> Prompt::Word(const std::string& question,
                                 const std::vector<std::string>& words,
                                 const std::string& usual) {
  const auto shown = fmt::format("{} ({}) [{}]", question, Join(words, ", "), usual);
  return Ask<std::string>(shown, [&](const std::string& answer) -> Result<std::string> {
    if (answer.empty()) return usual;
    LIEFLAT_TRY(CheckWord("", answer, words));
    return answer;
  });
}

Result<std::optional<double>> Prompt::Length(const std::string& question) {
  return Ask<std::optional<double>>(
      question, [](const std::string& answer) { return LengthFlag("", answer); });
}

Result<std::optional<double>> Prompt::Number(const std::string& question) {
  return Ask<std::optional<double>>(
      question, [](const std::string& answer) { return NumberFlag("", answer); });
}

Result<std::string> Prompt::Text(const std::string& question) {
  return Ask<std::string>(question,
                          [](const std::string& answer) -> Result<std::string> { return answer; });
}

}  // namespace lieflat::cli
