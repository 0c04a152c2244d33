// glance: the first 90 seconds, by flags or by at most eight questions.

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/choice/first_look.h"
#include "lieflat/record/folder.h"
#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/describe.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/prompt.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, size, preset, large, works, need, mounting, corner_gap, tip_difference,
      strip_length, gap_u, when;
  std::vector<std::string> bows;

  [[nodiscard]] bool has_board() const { return !size.empty() || !preset.empty(); }
};

Result<Board> BoardOf(const Request& request, const Calib& calib) {
  Description description;
  description.size = request.size;
  description.preset = request.preset;
  description.works = request.works;
  description.need = request.need;
  description.mounting = request.mounting;
  return StartBoard(
      description, request.folder.empty() ? "board" : LabelFromPath(request.folder), calib);
}

Result<void> PutGaps(FirstLook& look, const Request& request) {
  for (const auto& text : request.bows) {
    LIEFLAT_TAKE(named, NamedValue("--bow", text, "AB=1.8"));
    LIEFLAT_TAKE(edge, EdgeFlag("--bow", named.first));
    LIEFLAT_TAKE(gap, LengthFlag("--bow " + named.first, named.second));
    look.bows.push_back({*edge, *gap});
  }
  LIEFLAT_TAKE(corner, LengthFlag("--corner-gap", request.corner_gap));
  LIEFLAT_TAKE(tip, LengthFlag("--tip-difference", request.tip_difference));
  LIEFLAT_TAKE(strip, LengthFlag("--strip-length", request.strip_length));
  LIEFLAT_TAKE(u, LengthFlag("--gap-u", request.gap_u));
  look.corner_gap_mm = corner;
  look.tip_difference_mm = tip;
  look.strip_length_mm = strip;
  look.gap_u_mm = u.value_or(look.gap_u_mm);
  return {};
}

/// @param board  of the folder, or as the flags describe it.
Result<FirstLook> LookOf(const Request& request,
                         const Board& board,
                         const std::string& works,
                         const Calib& calib) {
  FirstLook look;
  look.length_mm = board.EdgeLength(Edge::kAB);
  look.width_mm = board.EdgeLength(Edge::kDA);
  look.works = request.works.empty() ? works : request.works;
  look.need = request.need.empty() ? board.need : request.need;
  look.mounting = request.mounting.empty() ? board.mounting : request.mounting;
  look.large_parts = SplitWords(request.large);
  LIEFLAT_TRY(CheckWord("--works", look.works, kWorksWords));
  LIEFLAT_TRY(CheckWord("--need", look.need, kNeedWords));
  LIEFLAT_TRY(CheckWord("--mounting", look.mounting, kMountingWords));
  for (const auto& part : look.large_parts)
    LIEFLAT_TRY(CheckWord("--large", part, PartClassNames(calib)));
  LIEFLAT_TRY(PutGaps(look, request));
  return look;
}

/// A size or the name of a known outline, whichever the answer is.
Result<std::string> ReadSize(Request& request, const std::string& answer, const Calib& calib) {
  Request trial;
  const auto names = PresetNames(calib);
  const bool named = std::find(names.begin(), names.end(), answer) != names.end();
  (named ? trial.preset : trial.size) = answer;
  LIEFLAT_TRY(BoardOf(trial, calib));
  request.preset = trial.preset;
  request.size = trial.size;
  return answer;
}

Result<std::string> ReadLarge(const std::string& answer, const Calib& calib) {
  for (const auto& part : SplitWords(answer))
    LIEFLAT_TRY(CheckWord("", part, PartClassNames(calib)));
  return answer;
}

Result<void> AskGap(Prompt& prompt,
                    Request& request,
                    const std::string& edge,
                    const std::string& which) {
  LIEFLAT_TAKE(gap,
               prompt.Length(fmt::format(
                   "A rule along a {} edge: widest gap in mm (Enter: not read)?", which)));
  if (gap) request.bows.push_back(fmt::format("{}={}", edge, *gap));
  return {};
}

/// The eight questions: size, mounting, large parts, works, need, two edges, the fourth corner.
Result<void> AskAll(Request& request, const Calib& calib) {
  Prompt prompt;
  LIEFLAT_TAKE(size,
               prompt.Ask<std::string>(
                   "Size in mm, or a known outline (305x244, atx, ...)?",
                   [&](const std::string& answer) { return ReadSize(request, answer, calib); }));
  LIEFLAT_TAKE(mounting, prompt.Word("Mounting?", kMountingWords, "mixed"));
  LIEFLAT_TAKE(
      large,
      prompt.Ask<std::string>("Large parts, by class (pbga, qfp, slot, ...; Enter: none)?",
                              [&](const std::string& answer) { return ReadLarge(answer, calib); }));
  LIEFLAT_TAKE(works, prompt.Word("Does it work?", kWorksWords, "untested"));
  LIEFLAT_TAKE(need, prompt.Word("Why should it be flat?", kNeedWords, "none"));
  LIEFLAT_TRY(AskGap(prompt, request, "AB", "long"));
  LIEFLAT_TRY(AskGap(prompt, request, "BC", "short"));
  LIEFLAT_TAKE(
      corner, prompt.Length("Three corners touching: lift of the fourth in mm (Enter: not read)?"));
  if (corner) request.corner_gap = fmt::format("{}", *corner);
  Session::Tell(size + ", " + mounting);
  request.mounting = mounting;
  request.large = large;
  request.works = works;
  request.need = need;
  return {};
}

Json GlanceFields(const FirstLook& look, const FirstLookAnswer& answer) {
  return {{"look", ToJson(look)}, {"sorted", Name(answer.sorted)}, {"because", answer.because}};
}

/// Without a folder: the answer alone.
Result<FirstLookAnswer> Answer(const Request& request, const Calib& calib) {
  LIEFLAT_TAKE(board, BoardOf(request, calib));
  LIEFLAT_TAKE(look, LookOf(request, board, board.works, calib));
  return SortAtFirstLook(look, calib);
}

/// Into the folder, which is started when there is none.
Result<ExitStatus> Record(Session& session, const Request& request) {
  LIEFLAT_TAKE(at, InstantFlag("--when", request.when));
  auto folder = OpenFolder(session, request.folder);
  if (!session.disk.IsFile(folder.path() / "board.json")) {
    LIEFLAT_TRY(
        Answer(request, *session.calib));  // a refused answer must not leave a folder behind
    LIEFLAT_TAKE(board, BoardOf(request, *session.calib));
    LIEFLAT_TRY(folder.Create(board));
  }
  FirstLookAnswer answer;
  LIEFLAT_TAKE(
      entry, folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        Board board = state.board;
        if (request.has_board()) {
          LIEFLAT_TAKE(described, BoardOf(request, *session.calib));
          board = described;
        }
        LIEFLAT_TAKE(look,
                     LookOf(request, board, state.log.WorksNow(state.board.works), *session.calib));
        LIEFLAT_TAKE(sorted, SortAtFirstLook(look, *session.calib));
        answer = sorted;
        return BoardFolder::NewEntry{"glance", {}, GlanceFields(look, answer), at};
      }));
  Json document = ToJson(answer);
  document["entry"] = {{"id", entry.id}, {"at", entry.at.Iso()}, {"folder", request.folder}};
  session.Print(FirstLookText(answer) + fmt::format("{}: kept in {}\n", entry.id, request.folder),
                document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunGlance(Session& session, Request request) {
  const bool has_folder =
      !request.folder.empty() && session.disk.IsFile(Disk::Path(request.folder) / "board.json");
  if (!request.has_board() && (!has_folder || request.bows.empty()) && Prompt::Possible(session)) {
    LIEFLAT_TRY(AskAll(request, *session.calib));
  }
  if (!request.folder.empty() && (request.has_board() || has_folder))
    return Record(session, request);
  LIEFLAT_TAKE(answer, Answer(request, *session.calib));
  session.Print(FirstLookText(answer), ToJson(answer));
  return ExitStatus::kDone;
}

}  // namespace

void AddGlance(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("glance",
                                  "the first 90 seconds: leave, measure properly, or do not touch");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "keep it in this board's folder, made when absent");
  add("--size", request->size, "LxW", "length and width in mm: 305x244");
  add("--preset", request->preset, "NAME", "in place of --size: atx, baby-at, ...");
  add("--mounting", request->mounting, "WORD", "smt, mixed or through-hole");
  add("--large", request->large, "CLASSES", "large parts present: pbga,qfp");
  add("--works", request->works, "WORD", "yes, partly, no or untested");
  add("--need", request->need, "WORD", "why it should be flat: case, cards, cooler, sale or none");
  verb->add_option(
          "--bow", request->bows, "widest gap along an edge in mm: AB=1.8; once for each edge")
      ->type_name("EDGE=MM")
      ->allow_extra_args(false)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  add("--corner-gap", request->corner_gap, "MM", "lift of the fourth corner, three touching");
  add("--tip-difference",
      request->tip_difference,
      "MM",
      "or: two strips along opposite edges, sighted");
  add("--strip-length", request->strip_length, "MM", "length of those strips");
  add("--gap-u", request->gap_u, "MM", "standard uncertainty of each gap; 0.3 for a rule by eye");
  add("--when", request->when, "TIME", "when it was (ISO 8601 with offset); now when absent");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunGlance(session, *request); };
  });
}

}  // namespace lieflat::cli
