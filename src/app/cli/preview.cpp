// preview: one way of holding, before it is tried.

#include "lieflat/report/preview.h"

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/own_file.h"
#include "app/cli/press_flags.h"
#include "app/cli/progress.h"
#include "app/cli/read_text.h"

namespace lieflat::cli {
namespace {

/// By which a later run knows a picture of ours.
const std::string kMark = "<!-- drawn by lieflat -->";
constexpr int kDraws = 1000;  ///< of the linear intervals

struct Request {
  std::string folder, points, down, samples, svg;
  PressFlags press;
  bool no_weight = false, linear = false, optimise = false, force = false, drawn = false;
};

/// x_mm,y_mm rows.
Result<std::vector<Eigen::Vector2d>> ReadPoints(Session& session, const std::string& file) {
  std::vector<Eigen::Vector2d> points;
  if (file.empty()) return points;
  LIEFLAT_TAKE(text, ReadText(session, file));
  LIEFLAT_TAKE(sheet, ParseSheet(text, file));
  const auto x = sheet.Column("x_mm"), y = sheet.Column("y_mm");
  if (!x || !y) {
    return Error{ErrorCode::kRefused,
                 file,
                 "has no columns x_mm and y_mm",
                 "its first line names the columns"};
  }
  const bool comma = sheet.separator != ',';
  for (const Sheet::Row& row : sheet.rows) {
    LIEFLAT_TAKE(along, ParseLength(row.cells[*x], sheet.Where(row, "x_mm"), comma));
    LIEFLAT_TAKE(across, ParseLength(row.cells[*y], sheet.Where(row, "y_mm"), comma));
    points.emplace_back(along, across);
  }
  return points;
}

Result<ExitStatus> RunPreview(Session& session, const Request& request) {
  LIEFLAT_TAKE(way, ReadPressWay(request.press));
  LIEFLAT_TRY(CheckWord("--down", request.down, kSideWords));
  LIEFLAT_TAKE(samples, SamplesFlag(request.samples));
  if (samples > 0 && request.linear) {
    return Error{ErrorCode::kBadUse,
                 "--samples",
                 "does not go with --linear",
                 "samples are solved for large bends"};
  }
  if (request.drawn && !session.json)
    return Error{ErrorCode::kBadUse, "--drawn", "goes with --json", "see --svg for a file"};
  if (request.down == "component" && request.press.way == "mount") {
    return Error{ErrorCode::kBadUse,
                 "--down",
                 "a board stands on its stand-offs with the solder side down",
                 "leave it out"};
  }
  if (request.optimise && request.press.way != "weights" && request.press.way != "mount") {
    return Error{ErrorCode::kBadUse,
                 "--optimise",
                 "there is nothing to choose in this way",
                 "it goes with --way weights or --way mount"};
  }
  Progress progress(session.progress_lines);
  PreviewOptions options;
  options.optimise = request.optimise;
  PressOptions& press = options.press;
  press.own_weight = !request.no_weight;
  press.large_deflection = !request.linear;
  press.up = request.down == "component" ? Side::kSolder : Side::kComponent;
  press.samples = samples;
  press.draws = request.linear ? 0 : kDraws;
  press.progress = progress.Teller();
  press.stop = progress.stop();
  LIEFLAT_TAKE(points, ReadPoints(session, request.points));
  press.points_mm = std::move(points);
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  for (const auto& warning : state.log.warnings) Session::Tell("lieflat: " + warning);
  LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
  LIEFLAT_TAKE(preview,
               MakePreview(state, bench, *session.calib, session.clock.Now(), way, options));
  if (!request.svg.empty()) {
    const std::string picture = kMark + "\n" + PreviewSvg(preview);
    LIEFLAT_TRY(
        WriteOwnFile(session.disk, {request.svg, "picture", kMark, request.force}, picture));
  }
  Json document = ToJson(preview);
  if (request.drawn) document["svg"] = PreviewSvg(preview);
  session.Print(PreviewText(preview), document);
  return ExitStatus::kDone;
}

}  // namespace

void AddPreview(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("preview", "what a way of holding would do, before it is tried");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  AddPressFlags(*verb, request->press);
  verb->add_flag("--no-weight", request->no_weight, "leave the board's own weight out");
  verb->add_option("--down", request->down, "the face that lies below: solder (usual) or component")
      ->type_name("SIDE");
  verb->add_option("--points", request->points, "a sheet x_mm,y_mm of places to read off")
      ->type_name("FILE");
  verb->add_option("--samples",
                   request->samples,
                   "intervals by so many full answers, in place of the linear ones")
      ->type_name("N");
  verb->add_flag("--linear", request->linear, "a quick look, as for small bends; no intervals");
  verb->add_option(
          "--svg", request->svg, "a picture of load, contact and bend; one there is renewed")
      ->type_name("FILE");
  verb->add_flag("--drawn", request->drawn, "with --json: the picture in the document");
  verb->add_flag("--force", request->force, "replace a file that is no picture of lieflat's");
  verb->add_flag("--optimise",
                 request->optimise,
                 "look for gentler places of the weights, or for washers at the screws");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunPreview(session, *request); };
  });
}

}  // namespace lieflat::cli
