#include "app/web/verbs.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/web/route.h"

namespace lieflat::web {
namespace {

constexpr const char* kDescription =
    "size size-u preset label thickness thickness-u laminate copper-layers mass mass-u mounting "
    "year "
    "works "
    "need worth limit limit-origin class populated ";
constexpr const char* kHeld =
    "rest down reading at rest-height lead-tail-mm temperature fitted instrument surface ";
constexpr const char* kForms =
    "strips strip-length tip-difference tip-u fourth-corner gap-u referee highest lowest ";

struct Verb {
  const char* name;
  const char* values;  ///< flags that take a value, separated by spaces
  const char* more_values;
  const char* more_values_2;
  const char* switches;
  const char* input_as;  ///< how the input is given: a word or a flag; null: it takes none
  std::size_t most_words;
  bool slow;
};

constexpr Verb kVerbs[] = {
    {"set", kDescription, "", "", "", nullptr, 0, false},
    {"part",
     "class at size region rotation side height pitch mass joints max-temperature group ",
     "",
     "",
     "",
     nullptr,
     2,
     false},
    {"gauge", kHeld, kForms, "when ", "as-seen ", "-", 0, false},
    {"again",
     "temperature tip-difference fourth-corner gap-u highest lowest when ",
     "",
     "",
     "as-seen ",
     "-",
     0,
     false},
    {"works", "state did when ", "", "", "", nullptr, 0, false},
    {"note", "when ", "", "", "", nullptr, 1, false},
    {"void", "why when ", "", "", "", nullptr, 1, false},
    {"damage",
     "kind near at to outline region side depth width length measure aspect photo note as when ",
     "",
     "",
     "",
     nullptr,
     2,
     false},
    {"preview",
     "way gap-mm load-n weight bar shim down samples ",
     "",
     "",
     "no-weight linear optimise drawn ",
     "--points=-",
     0,
     true},
    {"pressed",
     "way load-kg from to hours temperature note ",
     "",
     "",
     "about end anyway ",
     nullptr,
     0,
     true},
    {"trend", "", "", "", "", nullptr, 0, true},
    {"verify", "", "", "", "", nullptr, 0, false},
    {"glance",
     "size preset mounting large works need bow corner-gap tip-difference strip-length gap-u when ",
     "",
     "",
     "",
     nullptr,
     0,
     false},
    {"photo",
     kHeld,
     "pose ruler-x ruler-y edge side tap when ",
     "",
     "as-seen check-shot ",
     "--stickers=-",
     24,
     true},
};

constexpr Verb kLive = {"assess", kHeld, kForms, "replace ", "as-seen quick ", nullptr, 0, true};
constexpr Verb kNew = {"new", kDescription, "", "", "", nullptr, 0, false};

constexpr std::size_t kLongestText = 20000, kMostValues = 200;

Error Wrong(const std::string& where, const std::string& message, const std::string& remedy) {
  return {ErrorCode::kBadUse, where, message, remedy};
}

bool Lists(const char* list, const std::string& name) {
  return !name.empty() && name.find(' ') == std::string::npos &&
         (" " + std::string(list)).find(" " + name + " ") != std::string::npos;
}

bool TakesValue(const Verb& verb, const std::string& flag) {
  return Lists(verb.values, flag) || Lists(verb.more_values, flag) ||
         Lists(verb.more_values_2, flag);
}

bool IsText(const std::string& text) {
  return text.size() <= kLongestText && IsUtf8(text) && text.find('\0') == std::string::npos;
}

/// A text or a number as a word.
Result<std::string> Word(const Json& value, const std::string& where) {
  if (value.is_number()) return value.dump();
  if (value.is_string() && IsText(value.get<std::string>())) return value.get<std::string>();
  return Wrong(where, "is no text and no number", "give one");
}

/// The board's own photo, as a path.
Result<std::string> PhotoWord(const std::string& word, const Disk::Path& board) {
  const std::string photos = "photos/";
  const std::string name = word.starts_with(photos) ? word.substr(photos.size()) : "";
  if (!IsSafeName(name))
    return Wrong("words", Quoted(word) + " is no photo of this board", "photos/NAME as uploaded");
  return (board / "photos" / name).string();
}

Result<void> PutFlag(const Verb& verb,
                     const std::string& flag,
                     const Json& value,
                     std::vector<std::string>& words) {
  const std::string where = "flags." + flag;
  if (flag == "svg") return PutFlag(verb, "drawn", value, words);  // the page's name for it
  if (Lists(verb.switches, flag)) {
    if (!value.is_boolean()) return Wrong(where, "is neither true nor false", "give one");
    if (value.get<bool>()) words.push_back("--" + flag);
    return {};
  }
  if (!TakesValue(verb, flag)) {
    return Wrong(
        where.substr(0, 80), fmt::format("{} takes no such flag here", verb.name), "leave it out");
  }
  const Json list = value.is_array() ? value : Json::array({value});
  if (list.size() > kMostValues) return Wrong(where, "has too many values", "give fewer");
  for (const Json& item : list) {
    const auto word = Word(item, where);
    if (!word) return word.error();
    if (word->empty()) continue;  // an empty field of a form
    words.push_back(fmt::format("--{}={}", flag, *word));
  }
  return {};
}

Result<void> PutFlags(const Verb& verb, const Json& request, std::vector<std::string>& words) {
  const auto flags = request.find("flags");
  if (flags == request.end()) return {};
  if (!flags->is_object()) return Wrong("flags", "is no object", "give {\"name\": value}");
  for (const auto& [flag, value] : flags->items()) {
    if (auto put = PutFlag(verb, flag, value, words); !put) return put.error();
  }
  return {};
}

Result<void> PutWords(const Verb& verb,
                      const Json& request,
                      const Disk::Path& board,
                      std::vector<std::string>& words) {
  const auto given = request.find("words");
  if (given == request.end()) return {};
  if (!given->is_array() || given->size() > verb.most_words) {
    return Wrong("words",
                 fmt::format("{} takes {} words at most here", verb.name, verb.most_words),
                 "give them as a list");
  }
  const bool photos = std::string(verb.name) == "photo";
  if (!given->empty()) words.emplace_back("--");
  for (const Json& item : *given) {
    auto word = Word(item, "words");
    if (word && photos) word = PhotoWord(*word, board);
    if (!word) return word.error();
    words.push_back(*word);
  }
  return {};
}

Result<std::string> InputOf(const Json& request) {
  const auto input = request.find("input");
  if (input == request.end() || input->is_null()) return std::string();
  if (!input->is_string() || !IsUtf8(input->get<std::string>()))
    return Wrong("input", "is no text", "give the sheet's text");
  return input->get<std::string>();
}

Result<void> OnlyKeys(const Json& request, const char* keys) {
  if (!request.is_object()) return Wrong("body", "is no JSON object", "give one");
  for (const auto& [key, _] : request.items()) {
    if (!Lists(keys, key)) return Wrong("body", Quoted(key) + " is not known", "leave it out");
  }
  return {};
}

/// Twist by one of the forms that need no sheet.
bool HasForm(const Json& request) {
  const auto flags = request.find("flags");
  if (flags == request.end() || !flags->is_object()) return false;
  const auto given = [&](const char* name) {
    return flags->contains(name) && flags->at(name) != Json("");
  };
  return given("strips") || given("fourth-corner") || given("referee");
}

Command Begin(const Verb& verb) { return {{verb.name, "--json", "--no-input"}, "", verb.slow}; }

}  // namespace

Result<Command> CommandOf(const Json& request, const Disk::Path& board) {
  if (auto keys = OnlyKeys(request, "verb words flags input job "); !keys) return keys.error();
  const std::string name =
      request.contains("verb") && request["verb"].is_string() ? request["verb"] : Json("");
  const auto* verb = std::find_if(
      std::begin(kVerbs), std::end(kVerbs), [&](const Verb& known) { return name == known.name; });
  if (verb == std::end(kVerbs))
    return Wrong("verb", Quoted(name) + " is not for the page", "use the command line");
  Command command = Begin(*verb);
  const auto input = InputOf(request);
  if (!input) return input.error();
  command.input = *input;
  if (auto put = PutFlags(*verb, request, command.words); !put) return put.error();
  const std::string as = verb->input_as == nullptr ? "" : verb->input_as;
  if (!input->empty() && as.empty())
    return Wrong("input", fmt::format("{} takes none", verb->name), "leave it out");
  if (!input->empty() && as.starts_with("--")) command.words.push_back(as);
  command.words.insert(command.words.begin() + 1, board.string());
  if (!input->empty() && !as.starts_with("--")) command.words.insert(command.words.begin() + 2, as);
  if (auto put = PutWords(*verb, request, board, command.words); !put) return put.error();
  return command;
}

Result<Command> LiveCommand(const Json& request, const Disk::Path& board) {
  if (auto keys = OnlyKeys(request, "flags input quick replace job "); !keys) return keys.error();
  const auto input = InputOf(request);
  if (!input) return input.error();
  Command command = Begin(kLive);
  command.words.insert(command.words.begin() + 1, board.string());
  command.words.emplace_back("--drawn");
  if (!input->empty()) command.words.emplace_back("--with=-");
  command.input = *input;
  for (const char* key : {"quick", "replace"}) {
    if (!request.contains(key)) continue;
    if (auto put = PutFlag(kLive, key, request[key], command.words); !put) return put.error();
  }
  // How the board is held says nothing as long as nothing was read.
  if (!input->empty() || HasForm(request)) {
    if (auto put = PutFlags(kLive, request, command.words); !put) return put.error();
  }
  command.slow =
      std::find(command.words.begin(), command.words.end(), "--quick") == command.words.end();
  return command;
}

Result<Command> GlanceCommand(const Json& request) {
  if (auto keys = OnlyKeys(request, "flags "); !keys) return keys.error();
  const auto* verb = std::find_if(std::begin(kVerbs), std::end(kVerbs), [](const Verb& known) {
    return std::string("glance") == known.name;
  });
  Command command = Begin(*verb);
  if (auto put = PutFlags(*verb, request, command.words); !put) return put.error();
  return command;
}

Result<Command> NewCommand(const Json& request, const Disk::Path& lot, std::string& board) {
  if (auto keys = OnlyKeys(request, "name flags "); !keys) return keys.error();
  if (!request.contains("name") || !request["name"].is_string())
    return Wrong("name", "is missing", "what is written on the board's bag, such as 017");
  board = request["name"].get<std::string>();
  if (!IsSafeName(board))
    return Wrong(
        "name", Quoted(board) + " cannot name a folder", "letters and digits, such as 017");
  Command command = Begin(kNew);
  command.words.insert(command.words.begin() + 1, (lot / board).string());
  if (auto put = PutFlags(kNew, request, command.words); !put) return put.error();
  return command;
}

}  // namespace lieflat::web
