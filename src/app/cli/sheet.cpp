// sheet: mats, stickers, a board's worksheet and the pocket card, as PDF to print.

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/sheet/print.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, output, paper = "a4", what, down, tiles;
  bool force = false;
};

constexpr SheetKind kKinds[] = {
    SheetKind::kLay, SheetKind::kStand, SheetKind::kStickers, SheetKind::kPocketCard};

Result<std::vector<SheetKind>> KindsOf(const std::string& what) {
  if (what.empty()) return std::vector<SheetKind>{std::begin(kKinds), std::end(kKinds)};
  std::vector<SheetKind> kinds;
  std::vector<std::string> names;
  for (const SheetKind kind : kKinds) names.emplace_back(Name(kind));
  for (const std::string& word : SplitWords(what)) {
    LIEFLAT_TRY(CheckWord("--what", word, names));
    for (const SheetKind kind : kKinds) {
      if (word == Name(kind)) kinds.push_back(kind);
    }
  }
  return kinds;
}

/// COLUMNSxROWS, a digit each.
Result<TileGrid> GridOf(const Request& request, const std::vector<SheetKind>& kinds) {
  const std::string& text = request.tiles;
  if (text.empty()) return TileGrid{};
  if (std::find(kinds.begin(), kinds.end(), SheetKind::kLay) == kinds.end()) {
    return Error{ErrorCode::kBadUse,
                 "--tiles",
                 "says nothing without the lay sheet",
                 "add lay to --what, or leave it out"};
  }
  const auto digit = [&](std::size_t i) { return text[i] >= '1' && text[i] <= '9'; };
  if (text.size() != 3 || !digit(0) || text[1] != 'x' || !digit(2) || text == "1x1") {
    return Error{ErrorCode::kBadUse,
                 "--tiles",
                 fmt::format("{} is no number of pages across and down", Quoted(text)),
                 "2x1, 1x2 or 2x2"};
  }
  return TileGrid{text[0] - '0', text[2] - '0'};
}

Result<std::string> Draw(Session& session, const Request& request) {
  const auto now = session.clock.Now();
  if (request.folder.empty()) {
    if (!request.down.empty()) {
      return Error{ErrorCode::kBadUse,
                   "--down",
                   "says nothing without a board",
                   "give the board's folder, for its worksheet"};
    }
    LIEFLAT_TAKE(kinds, KindsOf(request.what));
    LIEFLAT_TAKE(grid, GridOf(request, kinds));
    return SheetsPdf(kinds, request.paper, *session.calib, now, grid);
  }
  if (!request.what.empty() || !request.tiles.empty()) {
    return Error{ErrorCode::kBadUse,
                 request.what.empty() ? "--tiles" : "--what",
                 "cannot go with a board",
                 "a board's sheet is its worksheet; leave DIR out for the others"};
  }
  LIEFLAT_TRY(CheckWord("--down", request.down, kSideWords));
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  const Side down = request.down == "component" ? Side::kComponent : Side::kSolder;
  return WorksheetPdf(state.board, down, request.paper, *session.calib, now);
}

/// A PDF may be written anew; anything else at that place is somebody's work.
Result<void> MayReplace(const Disk& disk, const Request& request) {
  const auto folder = Disk::Path(request.output).parent_path();
  if (!folder.empty() && !disk.IsFolder(folder)) {
    return Error{ErrorCode::kRefused,
                 request.output,
                 "its folder is not there",
                 "make it, or give another name"};
  }
  if (disk.IsFolder(request.output)) {
    return Error{ErrorCode::kRefused, request.output, "is a folder", "name a file in it"};
  }
  if (request.force || !disk.IsFile(request.output)) return {};
  LIEFLAT_TAKE(old, disk.Read(request.output));
  if (old.find("(lieflat ") != std::string::npos && old.starts_with("%PDF-")) return {};
  return Error{ErrorCode::kRefused,
               request.output,
               "is there already and is no sheet of lieflat's",
               "give another name, or --force to replace it"};
}

Result<ExitStatus> RunSheet(Session& session, const Request& request) {
  LIEFLAT_TAKE(pdf, Draw(session, request));
  LIEFLAT_TRY(MayReplace(session.disk, request));
  LIEFLAT_TRY(ReplaceFile(session.disk, request.output, pdf));
  Json document = WrittenDocument("sheet", "", session.clock.Now(), request.folder);
  document["file"] = request.output;
  session.Print(fmt::format("{}\nPrint it at 100 %, then measure both rulers on the paper.\n",
                            request.output),
                document);
  return ExitStatus::kDone;
}

}  // namespace

void AddSheet(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand(
      "sheet", "prints mats, stickers and the pocket card, or a board's worksheet (PDF)");
  verb->add_option("DIR", request->folder, "a board's folder: its worksheet");
  verb->add_option("-o,--output", request->output, "the PDF's file")->required()->type_name("FILE");
  verb->add_option("--paper", request->paper, "a4, letter, a3 or tabloid; a4 when absent")
      ->type_name("NAME");
  verb->add_option("--what",
                   request->what,
                   "some of lay,stand,stickers,pocket-card; all of them when absent")
      ->type_name("LIST");
  verb->add_option("--tiles",
                   request->tiles,
                   "the lay sheet as several pages laid side by side, across x down: 2x1, 1x2, 2x2")
      ->type_name("CxR");
  verb->add_option("--down", request->down, "worksheet: the face below; solder when absent")
      ->type_name("SIDE");
  verb->add_flag("--force", request->force, "replace a file that is no sheet of lieflat's");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunSheet(session, *request); };
  });
}

}  // namespace lieflat::cli
