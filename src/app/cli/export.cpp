// export: one drawing, the surface, the readings or the board's own files, each by itself.

#include <memory>

#include <fmt/format.h>

#include "lieflat/report/drawn.h"
#include "lieflat/report/html.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/load.h"
#include "app/cli/own_file.h"

namespace lieflat::cli {
namespace {

const std::vector<std::string> kWhat = {"edges", "sheet", "trend", "surface", "readings", "board"};
/// By which a later run knows a drawing of ours.
const std::string kMark = "<!-- drawn by lieflat -->";

struct Request {
  std::string folder, what, edge, output;
  bool bare = false, force = false;
};

Error NothingToDraw(const Request& request, const std::string& why) {
  return {ErrorCode::kNoFigure, request.folder, why, "read it first: lieflat gauge DIR FILE"};
}

/// Hands the text to stdout or to the file asked for.
Result<ExitStatus> Give(Session& session, const Request& request, const std::string& text) {
  if (request.output.empty() || request.output == "-") {
    session.Print(text);
    return ExitStatus::kDone;
  }
  const std::string file = text.starts_with("<svg") ? kMark + "\n" + text : text;
  LIEFLAT_TRY(WriteOwnFile(session.disk, {request.output, "drawing", kMark, request.force}, file));
  Json document = WrittenDocument("export", "", session.clock.Now(), request.folder);
  document["file"] = request.output;
  session.Print(fmt::format("{}\n", request.output), document);
  return ExitStatus::kDone;
}

Result<ExitStatus> Draw(Session& session, const Request& request) {
  LIEFLAT_TAKE(edge, EdgeFlag("--edge", request.edge));
  std::string svg;
  if (request.what == "trend") {
    LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
    LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
    LIEFLAT_TAKE(board, FollowBoard(state, bench, *session.calib, session.clock.Now()));
    svg = TrendSvg(board);
  } else {
    AssessOptions options;
    options.press_flat = request.what == "sheet";
    LIEFLAT_TAKE(assessment, AssessFolder(session, request.folder, options));
    svg = request.what == "sheet" ? SheetSvg(assessment)
          : edge                  ? EdgeSvg(assessment, *edge)
                                  : AllEdgesSvg(assessment);
  }
  if (svg.empty()) return NothingToDraw(request, "there is nothing to draw yet");
  return Give(session, request, request.bare ? svg : AsFile(svg));
}

/// What the folder holds: the description, the log, the photos; as they stand.
Result<Json> BoardDocument(Session& session, const Request& request) {
  const auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TAKE(state, folder.Load());
  Json document = {{"format", "lieflat-folder"}, {"version", 1}};
  document["label"] = state.board.label;
  document["works"] = state.log.WorksNow(state.board.works);
  document["board"] = ToJson(state.board);
  document["entries"] = Json::array();
  for (const Entry& entry : state.log.entries) {
    Json fields = entry.fields;
    if (entry.voided) fields["voided"] = entry.void_reason;
    document["entries"].push_back(std::move(fields));
  }
  document["photos"] = Json::array();
  const auto photos = folder.path() / "photos";
  if (session.disk.IsFolder(photos)) {
    LIEFLAT_TAKE(names, session.disk.List(photos));
    for (const auto& name : names) {
      if (!name.starts_with('.')) document["photos"].push_back("photos/" + name);
    }
  }
  document["warnings"] = state.log.warnings;
  return document;
}

Result<ExitStatus> RunExport(Session& session, const Request& request) {
  if (request.what.empty())
    return Error{ErrorCode::kBadUse,
                 "WHAT",
                 "is missing",
                 "one of edges, sheet, trend, surface, readings, board"};
  LIEFLAT_TRY(CheckWord("WHAT", request.what, kWhat));
  if (!request.edge.empty() && request.what != "edges")
    return Error{
        ErrorCode::kBadUse, "--edge", "belongs to edges", "lieflat export DIR edges --edge AB"};
  if (request.what == "board") {
    LIEFLAT_TAKE(document, BoardDocument(session, request));
    return Give(session, request, DumpJson(document));
  }
  if (request.what == "surface") {
    LIEFLAT_TAKE(assessment, AssessFolder(session, request.folder));
    if (!assessment.read) return NothingToDraw(request, "nothing was read");
    LIEFLAT_TAKE(surface, SurfaceJson(assessment));
    return Give(session, request, DumpJsonLine(surface) + "\n");
  }
  if (request.what == "readings") {
    AssessOptions quick;
    quick.press_flat = false;
    LIEFLAT_TAKE(assessment, AssessFolder(session, request.folder, quick));
    if (!assessment.read) return NothingToDraw(request, "nothing was read");
    return Give(session, request, ReadingsCsv(assessment));
  }
  return Draw(session, request);
}

}  // namespace

void AddExport(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("export", "one drawing, the surface, the readings, the folder");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("WHAT",
                   request->what,
                   "edges, sheet or trend (SVG); readings (CSV); surface or board (JSON)");
  verb->add_option("--edge", request->edge, "edges: this one alone")->type_name("EDGE");
  verb->add_option("-o,--output", request->output, "the file; stdout when absent")
      ->type_name("FILE");
  verb->add_flag("--bare", request->bare, "without its style, for a page that has it");
  verb->add_flag("--force", request->force, "replace a file that is no drawing");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunExport(session, *request); };
  });
}

}  // namespace lieflat::cli
