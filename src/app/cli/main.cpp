// lieflat VERB ...: reads the request, runs one verb, writes results to stdout and everything else
// to stderr.

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <pwd.h>
#include <unistd.h>

#include "lieflat/base/text.h"
#include "lieflat/record/folder.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"
#include "app/cli/help.h"
#include "app/cli/picture.h"
#include "app/cli/utf8.h"

namespace lieflat::cli {
namespace {

/// Where bench.json lies when the lot has none.
Disk::Path SettingsFolder() {
  // NOLINTBEGIN(concurrency-mt-unsafe): one thread runs, and nothing sets the environment
  if (const char* config = std::getenv("XDG_CONFIG_HOME"); config != nullptr && config[0] == '/') {
    return Disk::Path(config) / "lieflat";
  }
  const char* home = std::getenv("HOME");
  if (home == nullptr || home[0] != '/') {
    const passwd* user = getpwuid(geteuid());
    home = user != nullptr ? user->pw_dir : "/nonexistent";
  }
  // NOLINTEND(concurrency-mt-unsafe)
  return Disk::Path(home) / ".config" / "lieflat";
}

void PrintError(const Error& error, bool json) {
  std::string text;
  if (json) {
    Json document = {{"format", "lieflat-error"}, {"version", 1}};
    document["exit"] = static_cast<int>(StatusOf(error.code));
    document["where"] = error.where;
    document["message"] = error.message;
    document["remedy"] = error.remedy;
    text = DumpJson(document);
  } else {
    text = "lieflat: " + error.Text() + "\n";
  }
  std::fputs(text.c_str(), stderr);
}

/// Writes all of the results. A reader that has gone away (head, less) is no fault; a full or
/// closed stdout is.
Result<void> Flush(const std::string& text) {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t wrote = ::write(STDOUT_FILENO, text.data() + done, text.size() - done);
    if (wrote >= 0) {
      done += static_cast<std::size_t>(wrote);
    } else if (errno == EPIPE) {
      return {};
    } else if (errno != EINTR) {
      return Error{ErrorCode::kInternal,
                   "stdout",
                   fmt::format("cannot be written: {}", std::generic_category().message(errno)),
                   "what was recorded is kept; give the output another place"};
    }
  }
  return {};
}

/// A descriptor that is closed at the start would be handed to the first file we open; something
/// harmless takes it.
void HoldStandardStreams() {
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (::fcntl(stream, F_GETFD) < 0 && errno == EBADF) {
      // Opened the wrong way round on purpose: a write to it still fails, and is reported.
      const int taken = ::open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY);
      LIEFLAT_CHECK(taken == stream || taken < 0,
                    "the lowest free descriptor is the one that was closed");
    }
  }
}

void SetSignals() {
  std::signal(SIGPIPE, SIG_IGN);  // a write then fails with EPIPE, see Flush
  std::signal(SIGXFSZ, SIG_IGN);  // a write then fails with EFBIG, and the disk says so
}

void AddVerbs(App& app, Session& session) {
  AddGlance(app, session);
  AddNew(app, session);
  AddSet(app, session);
  AddPart(app, session);
  AddGauge(app, session);
  AddAgain(app, session);
  AddWorks(app, session);
  AddNote(app, session);
  AddVoid(app, session);
  AddDamage(app, session);
  AddAssess(app, session);
  AddPreview(app, session);
  AddPressed(app, session);
  AddTrend(app, session);
  AddLot(app, session);
  AddBench(app, session);
  AddReport(app, session);
  AddVerify(app, session);
  AddSheet(app, session);
  AddPhoto(app, session);
  AddPicture(app, session);
  AddExport(app, session);
  AddOpen(app, session);
  AddManual(app, session);
}

std::vector<std::string> VerbNames(const App& app) {
  std::vector<std::string> names;
  for (const auto* verb : app.get_subcommands([](const App*) { return true; }))
    names.push_back(verb->get_name());
  return names;
}

std::vector<std::string> FlagNames(const App& verb) {
  std::vector<std::string> names;
  for (const App* app = &verb; app != nullptr; app = app->get_parent()) {
    for (const auto* option : app->get_options()) {
      for (const auto& name : option->get_lnames()) names.push_back("--" + name);
    }
  }
  return names;
}

std::string DidYouMean(const std::string& word, const std::vector<std::string>& known) {
  const auto near = Nearest(word, known);
  return near ? fmt::format(", did you mean {}?", *near) : "";
}

/// The first word that is no flag must be a verb; before it only the flags that every verb takes.
Result<void> CheckVerb(const App& app, const std::vector<std::string>& words) {
  const auto verbs = VerbNames(app);
  auto flags = FlagNames(app);
  flags.emplace_back("-h");
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto& word = words[i];
    const bool is_flag = !word.empty() && word[0] == '-';
    const auto& known = is_flag ? flags : verbs;
    if (word == "--calib") ++i;
    if (std::find(known.begin(), known.end(), word.substr(0, word.find('='))) == known.end()) {
      const auto what = is_flag ? "lieflat does not take" : "no verb is named";
      return Error{ErrorCode::kBadUse,
                   "command line",
                   fmt::format("{} \"{}\"{}", what, word, DidYouMean(word, known)),
                   is_flag ? "see lieflat --help" : "one of " + Join(verbs, ", ")};
    }
    if (!is_flag) return {};
  }
  return {};
}

/// What is wrong with a command line, in our words.
Error Explain(const App& app, const CLI::ParseError& fault) {
  const App* verb = &app;
  if (const auto chosen = app.get_subcommands(); !chosen.empty()) verb = chosen.front();
  const std::string name = verb == &app ? "" : verb->get_name() + " ";
  Error error{
      ErrorCode::kBadUse, "command line", fault.what(), fmt::format("see lieflat {}--help", name)};
  if (fault.get_exit_code() == static_cast<int>(CLI::ExitCodes::ExtrasError)) {
    const auto extras = app.remaining(true);
    const std::string extra = extras.empty() ? "" : extras.front();
    error.message = fmt::format(
        "lieflat {}does not take \"{}\"{}", name, extra, DidYouMean(extra, FlagNames(*verb)));
  } else if (fault.get_exit_code() == static_cast<int>(CLI::ExitCodes::RequiredError) &&
             verb == &app) {
    error.message = "no verb was given";
    error.remedy = "one of " + Join(VerbNames(app), ", ");
  } else if (const auto cut = error.message.find(": At Most 1 required");
             cut != std::string::npos) {
    error.where = error.message.substr(0, cut);
    error.message = "is given more than once";
  } else if (const auto end = error.message.find(": 1 required"); end != std::string::npos) {
    error.where = error.message.substr(0, end);
    error.message = "lacks its value";
  }
  return error;
}

Result<ExitStatus> RunAction(Session& session) {
  if (session.calib_folder.empty()) {
    session.calib = &Calib::Embedded();
    return session.action();
  }
  LIEFLAT_TAKE(replaced, Calib::WithFolder(session.disk, session.calib_folder));
  session.calib = &replaced;
  session.Tell("figures relied on: " + replaced.origin());
  try {
    return session.action();
  } catch (const std::exception& fault) {
    // Its numbers were checked when it was read; a list or a word that a new entry lacks shows only
    // where it is used.
    return Error{ErrorCode::kRefused,
                 session.calib_folder,
                 fmt::format("lacks something that the program's own files have: {}", fault.what()),
                 "start from the program's own files and change values only"};
  }
}

std::string VersionText(bool json) {
  if (!json) return fmt::format("lieflat {}\n", kVersion);
  return fmt::format("{{\"format\": \"lieflat-version\", \"version\": 1, \"program\": \"{}\"}}\n",
                     kVersion);
}

bool AsksVersion(const std::vector<std::string>& words) {
  for (const auto& word : words) {
    if (word == "--version") return true;
    if (word.empty() || word[0] != '-') return false;
  }
  return false;
}

Result<ExitStatus> Run(const std::vector<std::string>& words, Session& session) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (!IsUtf8(words[i])) {
      return Error{ErrorCode::kBadUse,
                   fmt::format("command line, word {}", i + 1),
                   "is not UTF-8",
                   "give names and texts in UTF-8"};
    }
  }
  if (AsksVersion(words)) {
    session.out = VersionText(session.json);
    return ExitStatus::kDone;
  }
  App app("How bent a circuit board is, and whether pressing it flat is worth the risk.",
          "lieflat");
  app.formatter(std::make_shared<HelpFormatter>());
  app.set_help_flag("-h,--help", "this text");
  app.footer(kExitHelp);
  app.fallthrough();
  app.require_subcommand(1);
  app.add_flag("--json", session.json, "one JSON document instead of text");
  app.add_flag("--no-input", session.no_input, "never ask at a prompt");
  app.add_flag("--progress-lines",
               session.progress_lines,
               "how far long work got, a line every tenth of a second, on stderr");
  app.add_option(
         "--calib", session.calib_folder, "a folder whose files replace the figures relied on")
      ->type_name("DIR");
  app.add_flag_callback(
      "--version", [] {}, "the program's version");
  AddVerbs(app, session);
  LIEFLAT_TRY(CheckVerb(app, words));
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::CallForHelp&) {
    session.out = app.help();
    return ExitStatus::kDone;
  } catch (const CLI::ParseError& fault) {
    return Explain(app, fault);
  }
  return RunAction(session);
}

int Main(int argc, char** argv) {
  HoldStandardStreams();
  SetSignals();
  const std::vector<std::string> words(argv + (argc > 0 ? 1 : 0), argv + argc);
  Session session(RealDisk(), RealClock(), SettingsFolder());
  // Known before the line is read, so that its own faults come as JSON too.
  for (const auto& word : words) session.json = session.json || word == "--json";
  Result<ExitStatus> status = ExitStatus::kInternal;
  try {
    status = Run(words, session);
  } catch (const std::exception& fault) {
    status = Error{ErrorCode::kInternal,
                   "lieflat",
                   fmt::format("a fault of the program: {}", fault.what()),
                   "nothing was changed after this; please report the command and this line"};
  }
  const auto flushed = Flush(session.out);
  if (!status || !flushed) {
    const Error& error = status ? flushed.error() : status.error();
    PrintError(error, session.json);
    return static_cast<int>(StatusOf(error.code));
  }
  return static_cast<int>(*status);
}

}  // namespace

void Session::Tell(const std::string& line) { std::fputs((line + "\n").c_str(), stderr); }

}  // namespace lieflat::cli

int main(int argc, char** argv) { return lieflat::cli::Main(argc, argv); }
