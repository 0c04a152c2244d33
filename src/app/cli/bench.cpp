// bench: what the person at the bench can do and has, asked once for all boards of a lot.

#include "lieflat/record/bench.h"

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"
#include "app/cli/prompt.h"

namespace lieflat::cli {
namespace {

const std::vector<std::string> kSkills = {"rework"};
const std::vector<std::string> kTools = {"warm-box", "oven"};

struct Request {
  std::string lot = ".", skills, tools;
};

/// "rework", "none", or several with commas.
Result<std::vector<std::string>> WordsOf(const std::string& flag,
                                         const std::string& text,
                                         const std::vector<std::string>& known) {
  std::vector<std::string> words;
  if (text == "none") return words;
  for (const std::string& word : SplitWords(text)) {
    LIEFLAT_TRY(CheckWord(flag, word, known));
    words.push_back(word);
  }
  return words;
}

Result<bool> AskWhether(Prompt& prompt, const std::string& question) {
  LIEFLAT_TAKE(answer, prompt.Word(question, {"yes", "no"}, "no"));
  return answer == "yes";
}

Result<void> AskAll(Bench& bench) {
  Prompt prompt;
  LIEFLAT_TAKE(rework, AskWhether(prompt, "Do you take large parts off and put them on again?"));
  LIEFLAT_TAKE(warm, AskWhether(prompt, "Have you a box that keeps 70 C for a day, watched?"));
  LIEFLAT_TAKE(oven,
               AskWhether(prompt, "Have you an oven that keeps 125 C, for bare boards alone?"));
  bench.skills.clear();
  bench.tools.emplace();
  if (rework) bench.skills.emplace_back("rework");
  if (warm) bench.tools->emplace_back("warm-box");
  if (oven) bench.tools->emplace_back("oven");
  return {};
}

std::string ListOf(const std::vector<std::string>& words) {
  return words.empty() ? "none" : Join(words, ", ");
}

std::string BenchText(const Bench& bench) {
  std::string text = fmt::format("Skills  {}\nTools   {}\n",
                                 ListOf(bench.skills),
                                 bench.tools ? ListOf(*bench.tools) : "not asked yet");
  for (const auto& [instrument, own] : bench.repeatability)
    text += fmt::format("Repeats {}: {:.3f} mm (standard deviation, {} degrees of freedom)\n",
                        instrument,
                        own.sd_mm,
                        own.degrees_of_freedom);
  return text;
}

Result<ExitStatus> RunBench(Session& session, const Request& request) {
  const Disk::Path lot = request.lot;
  if (!session.disk.IsFolder(lot)) {
    return Error{ErrorCode::kRefused,
                 request.lot,
                 "there is no such folder",
                 "name the folder that holds the boards"};
  }
  LIEFLAT_TAKE(bench, LoadBench(session.disk, lot / "board", lot));
  bool changed = true;
  if (!request.skills.empty() || !request.tools.empty()) {
    if (!request.skills.empty()) {
      LIEFLAT_TAKE(skills, WordsOf("--skills", request.skills, kSkills));
      bench.skills = skills;
    }
    if (!request.tools.empty()) {
      LIEFLAT_TAKE(tools, WordsOf("--tools", request.tools, kTools));
      bench.tools = tools;
    }
  } else if (!bench.tools && Prompt::Possible(session)) {
    LIEFLAT_TRY(AskAll(bench));
  } else {
    changed = false;
  }
  if (changed) LIEFLAT_TRY(SaveBench(session.disk, lot, bench));
  session.Print(BenchText(bench), ToJson(bench));
  return ExitStatus::kDone;
}

}  // namespace

void AddBench(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand(
      "bench", "what you can do and have: asked once, and the options follow it");
  verb->add_option("LOT", request->lot, "the folder that holds the boards (this one)");
  verb->add_option("--skills", request->skills, "rework (takes large parts off and on), or none");
  verb->add_option("--tools",
                   request->tools,
                   "warm-box (keeps 70 C for a day), oven (keeps 125 C), with commas; or none");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunBench(session, *request); };
  });
}

}  // namespace lieflat::cli
