// completion, manual: what the command line says of itself, for shells and for man; both are made
// from the verbs' own declarations, so that they cannot differ from them.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/record/folder.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

std::vector<const App*> VerbsOf(const App& app) {
  return app.get_subcommands([](const App*) { return true; });
}

/// "--size" and so on, of a verb and of the program.
std::vector<std::string> LongFlags(const App& verb) {
  std::vector<std::string> flags;
  for (const App* app = &verb; app != nullptr; app = app->get_parent()) {
    for (const CLI::Option* option : app->get_options()) {
      for (const std::string& name : option->get_lnames()) flags.push_back("--" + name);
    }
  }
  return flags;
}

std::string Names(const std::vector<const App*>& verbs) {
  std::vector<std::string> names;
  names.reserve(verbs.size());
  for (const App* verb : verbs) names.push_back(verb->get_name());
  return Join(names, " ");
}

std::string Bash(const App& app) {
  std::string cases;
  for (const App* verb : VerbsOf(app))
    cases += fmt::format("    {}) flags='{}' ;;\n", verb->get_name(), Join(LongFlags(*verb), " "));
  return fmt::format(
      "# bash completion for lieflat\n"
      "_lieflat() {{\n"
      "  local word=${{COMP_WORDS[COMP_CWORD]}} flags='{}'\n"
      "  if (( COMP_CWORD == 1 )); then\n"
      "    mapfile -t COMPREPLY < <(compgen -W '{} --help --version' -- \"$word\")\n"
      "    return\n"
      "  fi\n"
      "  case ${{COMP_WORDS[1]}} in\n{}  esac\n"
      "  if [[ $word == -* ]]; then\n"
      "    mapfile -t COMPREPLY < <(compgen -W \"$flags\" -- \"$word\")\n"
      "  else\n"
      "    mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n"
      "  fi\n"
      "}}\n"
      "complete -o filenames -F _lieflat lieflat\n",
      Join(LongFlags(app), " "),
      Names(VerbsOf(app)),
      cases);
}

/// Text in single quotes for zsh's _arguments and fish: quotes, brackets and colons out of the way.
std::string Tame(const std::string& text, bool zsh) {
  std::string tame;
  for (const char c : text) {
    if (c == '\'') {
      tame += zsh ? "'\\''" : "\\'";
    } else if (zsh && (c == '[' || c == ']' || c == ':')) {
      tame += std::string("\\") + c;
    } else {
      tame += c;
    }
  }
  return tame;
}

std::string Zsh(const App& app) {
  std::string verbs, cases;
  for (const App* verb : VerbsOf(app)) {
    verbs +=
        fmt::format("    '{}:{}'\n", verb->get_name(), Tame(verb->get_description(), /*zsh=*/true));
    cases += fmt::format("    {}) _arguments", verb->get_name());
    for (const CLI::Option* option : verb->get_options()) {
      for (const std::string& name : option->get_lnames()) {
        cases += fmt::format(" '--{}[{}]{}'",
                             name,
                             Tame(option->get_description(), true),
                             option->get_expected_max() == 0 ? "" : ":value:_files");
      }
    }
    cases += " '*:file:_files' ;;\n";
  }
  return fmt::format(
      "#compdef lieflat\n"
      "local -a verbs=(\n{}  )\n"
      "if (( CURRENT == 2 )); then\n"
      "  _describe verb verbs\n"
      "else\n"
      "  local verb=$words[2]\n"
      "  shift words; (( CURRENT-- ))\n"
      "  case $verb in\n{}  esac\n"
      "fi\n",
      verbs,
      cases);
}

std::string Fish(const App& app) {
  std::string out = "# fish completion for lieflat\n";
  for (const App* verb : VerbsOf(app)) {
    out += fmt::format("complete -c lieflat -n __fish_use_subcommand -a {} -d '{}'\n",
                       verb->get_name(),
                       Tame(verb->get_description(), false));
    for (const CLI::Option* option : verb->get_options()) {
      for (const std::string& name : option->get_lnames()) {
        out +=
            fmt::format("complete -c lieflat -n '__fish_seen_subcommand_from {}' -l {}{} -d '{}'\n",
                        verb->get_name(),
                        name,
                        option->get_expected_max() == 0 ? "" : " -r",
                        Tame(option->get_description(), false));
      }
    }
  }
  return out;
}

/// A line of roff: no dash that is taken for a hyphen, no line that starts a request.
std::string Roff(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '-' || c == '\\') out += '\\';
    out += c;
  }
  return out.starts_with('.') || out.starts_with('\'') ? "\\&" + out : out;
}

std::string ManualOf(const App& verb) {
  std::string out =
      fmt::format(".SS {}\n{}.\n", Roff(verb.get_name()), Roff(verb.get_description()));
  for (const CLI::Option* option : verb.get_options()) {
    const bool flag = option->get_positional() ? false : option->get_expected_max() == 0;
    std::string name = option->get_name(option->get_positional(), !option->get_positional());
    if (!flag && !option->get_positional()) name += " " + option->get_type_name();
    out += fmt::format(".TP\n.B {}\n{}\n", Roff(name), Roff(option->get_description()));
  }
  return out;
}

std::string Manual(const App& app) {
  std::string verbs;
  for (const App* verb : VerbsOf(app)) verbs += ManualOf(*verb);
  return fmt::format(
      ".TH LIEFLAT 1 \"\" \"lieflat {}\" \"User commands\"\n"
      ".SH NAME\nlieflat \\- how bent a circuit board is, and whether to press it flat\n"
      ".SH SYNOPSIS\n.B lieflat\n.I VERB\n[\n.I DIR\n] [\n.I FLAGS\n]\n"
      ".SH DESCRIPTION\nMeasures bow and twist of a board with their intervals, rates the solder "
      "joints of its large parts before anything is pressed, says what would last, and follows the "
      "board over days. A board is a folder: a description, and a log that only grows.\n"
      ".SH VERBS\n{}"
      ".SH EXIT STATUS\n"
      ".TP\n0\ndone\n.TP\n1\nwith \\-\\-gate: over the limit or undecided\n.TP\n2\nbad use\n"
      ".TP\n3\nan input is refused\n.TP\n4\nwell formed, but it carries no figure\n"
      ".TP\n5\nbusy: another program writes\n.TP\n6\na fault of the program\n"
      ".SH FILES\n.TP\n.I DIR/board.json, DIR/log.jsonl\nthe board and what was seen and done\n"
      ".TP\n.I LOT/bench.json, ~/.config/lieflat/bench.json\nwhat is the same for every board of a "
      "bench\n",
      kVersion,
      verbs);
}

}  // namespace

void AddManual(App& app, Session& session) {
  auto shell = std::make_shared<std::string>();
  auto* completion =
      app.add_subcommand("completion", "the words that a shell completes: bash, zsh or fish");
  completion->add_option("SHELL", *shell, "bash, zsh or fish")->required();
  completion->callback([&app, &session, shell] {
    session.action = [&app, &session, shell]() -> Result<ExitStatus> {
      LIEFLAT_TRY(CheckWord("SHELL", *shell, {"bash", "zsh", "fish"}));
      session.Print(*shell == "bash" ? Bash(app) : *shell == "zsh" ? Zsh(app) : Fish(app));
      return ExitStatus::kDone;
    };
  });
  auto* manual = app.add_subcommand("manual", "the page for man, as roff");
  manual->callback([&app, &session] {
    session.action = [&app, &session]() -> Result<ExitStatus> {
      session.Print(Manual(app));
      return ExitStatus::kDone;
    };
  });
}

}  // namespace lieflat::cli
