// gauge: adds readings from a sheet, from flags or typed at a prompt; or the reader's own
// repeatability from a trial.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/record/bench.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/gauge_flags.h"
#include "app/cli/history.h"
#include "app/cli/read_text.h"
#include "app/cli/reading_prompt.h"
#include "app/cli/save_gauge.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, file, when, flat_trial;
  GaugeFlags flags;
};

Error NothingRead() {
  return {ErrorCode::kBadUse,
          "lieflat gauge",
          "no reading was given",
          "give a FILE (- is stdin), or --strips, --fourth-corner or --referee with their figures"};
}

Result<ExitStatus> RunTyped(Session& session, const Request& request) {
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  Request asked = request;
  if (asked.flags.rest.empty()) {
    Prompt prompt;
    LIEFLAT_TAKE(
        rest,
        prompt.Word("How is the board held?", {"upright", "points", "table", "free"}, "upright"));
    asked.flags.rest = rest;
    if (rest == "points") {
      LIEFLAT_TAKE(at, prompt.Text("On which points (A,B,CD or X:Y,X:Y,X:Y)?"));
      LIEFLAT_TAKE(height, prompt.Text("How high are the points in mm?"));
      asked.flags.at = at;
      asked.flags.rest_height = height;
    }
    if (rest == "table") {
      LIEFLAT_TAKE(tail,
                   prompt.Text("How far do cut leads stand out below in mm (Enter: not known)?"));
      asked.flags.lead_tail = tail;
    }
  }
  LIEFLAT_TAKE(gauge, GaugeFrom(asked.flags, {}, state.board));
  LIEFLAT_TRY(AskReadings(gauge, state.board));
  if (gauge.rows.empty() && !gauge.strips) return NothingRead();
  return SaveGauge(session,
                   request.folder,
                   request.when,
                   "typed",
                   [&](const BoardFolder::State&) -> Result<Gauge> { return gauge; });
}

Result<ExitStatus> RunGiven(Session& session, const Request& request) {
  std::optional<Sheet> sheet;
  if (!request.file.empty()) {
    LIEFLAT_TAKE(text, ReadText(session, request.file));
    LIEFLAT_TAKE(parsed, ParseSheet(text, request.file == "-" ? "stdin" : request.file));
    sheet = parsed;
  }
  return SaveGauge(session,
                   request.folder,
                   request.when,
                   sheet ? sheet->name : "command line",
                   [&](const BoardFolder::State& state) {
                     return GaugeFrom(request.flags, sheet, state.board);
                   });
}

/// The reader's own repeatability is the bench's, and lies beside the boards.
Result<ExitStatus> RunTrial(Session& session, const Request& request) {
  if (!request.file.empty() || request.flags.has_form()) {
    return Error{ErrorCode::kBadUse,
                 "--flat-trial",
                 "cannot go with readings of a board",
                 "record them one after the other"};
  }
  const auto instruments = session.calib->Keys("gauges", "/instruments");
  const std::string instrument =
      request.flags.instrument.empty() ? "blades" : request.flags.instrument;
  LIEFLAT_TRY(CheckWord("--instrument", instrument, instruments));
  LIEFLAT_TAKE(text, ReadText(session, request.flat_trial));
  LIEFLAT_TAKE(sheet, ParseSheet(text, request.flat_trial));
  LIEFLAT_TAKE(repeatability, RepeatabilityFromSheet(sheet));
  const Disk::Path folder = request.folder;
  if (!session.disk.IsFolder(folder)) {
    return Error{
        ErrorCode::kRefused, request.folder, "is no folder", "name a board's folder, or the lot"};
  }
  const bool board = session.disk.IsFile(folder / "board.json");
  const Disk::Path lot =
      board ? std::filesystem::absolute(folder).lexically_normal() / ".." : folder;
  // Only what the lot itself says is written back to it: the settings folder's stays where it is.
  LIEFLAT_TAKE(bench, LoadBench(session.disk, lot / "board", lot));
  bench.repeatability[instrument] = repeatability;
  LIEFLAT_TRY(SaveBench(session.disk, lot, bench));
  const auto where = (lot / "bench.json").lexically_normal();
  Json document = WrittenDocument("flat-trial", "", session.clock.Now(), request.folder);
  document["file"] = where.string();
  document["written"] = {{"instrument", instrument},
                         {"sd_mm", repeatability.sd_mm},
                         {"degrees_of_freedom", repeatability.degrees_of_freedom}};
  session.Print(fmt::format("{}: readings with {} repeat within {:.3f} mm (standard deviation, {} "
                            "degrees of freedom)\n",
                            where.string(),
                            instrument,
                            repeatability.sd_mm,
                            repeatability.degrees_of_freedom),
                document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunGauge(Session& session, const Request& request) {
  if (!request.flat_trial.empty()) return RunTrial(session, request);
  if (!request.file.empty() || request.flags.has_form()) return RunGiven(session, request);
  return Prompt::Possible(session) ? RunTyped(session, request) : NothingRead();
}

}  // namespace

Result<ExitStatus> SaveGauge(Session& session,
                             const std::string& folder,
                             const std::string& when,
                             const std::string& where,
                             const std::function<Result<Gauge>(const BoardFolder::State&)>& make,
                             const std::function<void(const Entry&, Json&, std::string&)>& finish,
                             const std::string& again_of) {
  LIEFLAT_TAKE(at, InstantFlag("--when", when));
  LIEFLAT_TAKE(bench, LoadBench(session.disk, folder, session.settings_folder));
  auto board_folder = OpenFolder(session, folder);
  std::vector<std::string> warnings;
  LIEFLAT_TAKE(
      entry,
      board_folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        LIEFLAT_TAKE(gauge, make(state));
        if (gauge.instrument.empty()) gauge.instrument = bench.instrument;
        if (gauge.surface.empty()) gauge.surface = bench.surface;
        LIEFLAT_TRY(CheckGauge(gauge, state.board, *session.calib, warnings));
        LIEFLAT_TRY(ToSamples(gauge, state.board, *session.calib, std::nullopt, where));
        Json fields = {{"reading", ToJson(gauge)}};
        if (!again_of.empty()) fields["again_of"] = again_of;
        return BoardFolder::NewEntry{"gauge", gauge.fitted, fields, at};
      }));
  for (const auto& warning : warnings) session.Tell("note: " + warning);
  Json document = EntryDocument(entry, folder);
  document["notes"] = warnings;
  std::string text = fmt::format("{}: {}\n", entry.id, GaugeInWords(*entry.gauge));
  if (finish) finish(entry, document, text);
  session.Print(text, document);
  return ExitStatus::kDone;
}

void AddGauge(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("gauge", "adds readings, from a sheet, by flags or typed");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("FILE",
                   request->file,
                   "a sheet of readings (- is stdin): edge,side,at_mm,gap_mm,u_mm or "
                   "edge,side,at_mm,go_mm,no_go_mm "
                   "upright; station or x_mm,y_mm with height_mm,u_mm or go_mm,no_go_mm else");
  AddHeldFlags(*verb, request->flags);
  AddFormFlags(*verb, request->flags);
  verb->add_option(
          "--when", request->when, "when it was read (ISO 8601 with offset); now when absent")
      ->type_name("TIME");
  verb->add_option("--flat-trial",
                   request->flat_trial,
                   "repeats on something flat (station,gap_mm): your own repeatability, kept in "
                   "the lot's bench.json")
      ->type_name("FILE");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunGauge(session, *request); };
  });
}

}  // namespace lieflat::cli
