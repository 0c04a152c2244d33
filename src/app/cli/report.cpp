// report: one board as a page, as five lines for a sale, or as a label for spares.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/report/html.h"
#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/history.h"
#include "app/cli/kept_picture.h"
#include "app/cli/load.h"
#include "app/cli/own_file.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, output;
  bool sale = false, spares = false, force = false;
};

/// The mark by which a later run knows a page of ours.
const std::string kMark = "<meta name=\"generator\" content=\"lieflat\"/>";

std::string Marked(std::string page) {
  const std::string head = "<head>\n";
  const auto found = page.find(head);
  LIEFLAT_CHECK(found != std::string::npos, "a page has a head");
  return page.insert(found + head.size(), kMark + "\n");
}

Result<ExitStatus> RunLines(Session& session, const Request& request) {
  LIEFLAT_TAKE(assessment, AssessFolder(session, request.folder));
  const std::string text =
      request.sale ? SaleText(assessment, *session.calib) : SparesText(assessment, *session.calib);
  Json document =
      WrittenDocument(request.sale ? "sale" : "spares", "", session.clock.Now(), request.folder);
  Json lines = Json::array();
  for (std::size_t start = 0; start < text.size();) {
    const auto end = text.find('\n', start);
    lines.push_back(text.substr(start, end - start));
    start = end == std::string::npos ? text.size() : end + 1;
  }
  document["lines"] = lines;
  session.Print(text, document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunPage(Session& session, const Request& request) {
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
  const auto now = session.clock.Now();
  LIEFLAT_TAKE(assessment, Assess(state, bench, *session.calib, now));
  // A board that was never held, or never read, has no course to show.
  std::optional<FollowedBoard> followed;
  if (!HoldsOf(state.log).empty()) {
    auto course = FollowBoard(state, bench, *session.calib, now);
    if (course) {
      followed = std::move(*course);
    } else if (course.error().code != ErrorCode::kNoFigure) {
      return course.error();
    }
  }
  LIEFLAT_TAKE(faces, FacesForPage(session, request.folder));
  LIEFLAT_TAKE(seen, SeenForPage(session, request.folder, state.log));
  const std::string page = Marked(ReportHtml(assessment,
                                             History(state.log),
                                             now,
                                             *session.calib,
                                             followed ? &*followed : nullptr,
                                             faces,
                                             seen));
  if (request.output == "-") {
    session.Print(page);
    return ExitStatus::kDone;
  }
  LIEFLAT_TRY(WriteOwnFile(session.disk, {request.output, "report", kMark, request.force}, page));
  Json document = WrittenDocument("report", "", now, request.folder);
  document["file"] = request.output;
  session.Print(fmt::format("{}\n", request.output), document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunReport(Session& session, const Request& request) {
  const int asked =
      (request.sale ? 1 : 0) + (request.spares ? 1 : 0) + (request.output.empty() ? 0 : 1);
  if (asked != 1) {
    return Error{ErrorCode::kBadUse,
                 "lieflat report",
                 "give one of -o FILE, --sale and --spares",
                 "for example lieflat report DIR -o board.html"};
  }
  return request.output.empty() ? RunLines(session, request) : RunPage(session, request);
}

}  // namespace

void AddReport(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("report", "one self-contained page, or five lines for a sale");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("-o,--output",
                   request->output,
                   "the page's file (- is stdout); a report already there is renewed")
      ->type_name("FILE");
  verb->add_flag("--sale", request->sale, "five lines to paste");
  verb->add_flag("--spares", request->spares, "a label: what is usable, suspect, missing");
  verb->add_flag("--force", request->force, "replace a file that is no report of lieflat's");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunReport(session, *request); };
  });
}

}  // namespace lieflat::cli
