// photo: heights from photos of a board with stickers on a printed sheet, the profile of an edge
// that stands on one, or an edge's gap pointed at in one photo.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/statistics.h"
#include "lieflat/base/text.h"
#include "lieflat/photo/document.h"
#include "lieflat/photo/taps.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/gauge_flags.h"
#include "app/cli/kept_picture.h"
#include "app/cli/read_text.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, pose, stickers, ruler_x, ruler_y, edge, side, when;
  std::vector<std::string> images, taps;
  bool check_shot = false;
  GaugeFlags flags;
};

Error BadUse(const char* where, std::string message, std::string remedy) {
  return {ErrorCode::kBadUse, where, std::move(message), std::move(remedy)};
}

/// A table of stickers: sticker,x_mm,y_mm.
Result<std::map<std::string, Eigen::Vector2d>> StickerTable(Session& session,
                                                            const std::string& file) {
  std::map<std::string, Eigen::Vector2d> table;
  if (file.empty()) return table;
  LIEFLAT_TAKE(text, ReadText(session, file));
  LIEFLAT_TAKE(sheet, ParseSheet(text, file == "-" ? "stdin" : file));
  const auto name = sheet.Column("sticker"), x = sheet.Column("x_mm"), y = sheet.Column("y_mm");
  if (!name || !x || !y) {
    return Error{ErrorCode::kRefused, file, "lacks a column", "the columns are sticker,x_mm,y_mm"};
  }
  const bool comma = sheet.separator != ',';
  const StickerLayout known = StickerLayoutOf(*session.calib);
  for (const auto& row : sheet.rows) {
    const std::string& sticker = row.cells[*name];
    if (!known.IdOf(sticker)) {
      return Error{ErrorCode::kRefused,
                   sheet.Where(row, "sticker"),
                   fmt::format("no sticker is named {}", Quoted(sticker)),
                   fmt::format("A to D, AB BC CD DA, M, or a number from {} to {}",
                               known.lettered.size(),
                               known.count - 1)};
    }
    LIEFLAT_TAKE(at_x, ParseLength(row.cells[*x], sheet.Where(row, "x_mm"), comma));
    LIEFLAT_TAKE(at_y, ParseLength(row.cells[*y], sheet.Where(row, "y_mm"), comma));
    if (!table.emplace(sticker, Eigen::Vector2d(at_x, at_y)).second) {
      return Error{ErrorCode::kRefused,
                   sheet.Where(row, "sticker"),
                   fmt::format("{} stands twice", Quoted(sticker)),
                   "one row a sticker"};
    }
  }
  return table;
}

Result<SeenPhoto> Look(Session& session, const std::string& file, const Printed& printed) {
  LIEFLAT_TAKE(bytes, session.disk.Read(file));
  LIEFLAT_TAKE(picture, DecodePicture(bytes, file, Colours::kGrey));
  return LookAt(picture, file, printed);
}

Result<ExitStatus> CheckShots(Session& session, const Request& request) {
  const Printed printed = Printed::Of(*session.calib);
  bool good = true;
  if (session.json && request.images.size() != 1) {
    return BadUse(
        "--check-shot", "gives one document, for one photo", "give one photo, or leave --json out");
  }
  for (const auto& file : request.images) {
    LIEFLAT_TAKE(seen, Look(session, file, printed));
    const ShotVerdict verdict =
        JudgeShot(seen, printed, request.pose == "standing", *session.calib);
    session.Print(ToText(seen, verdict), ToJson(seen, verdict));
    good = good && verdict.problem.empty();
  }
  return good ? ExitStatus::kDone : ExitStatus::kNoFigure;
}

/// Upright for a standing board, on the table for a lying one, unless it was said.
Result<Gauge> HowHeld(const Request& request, const Board& board) {
  GaugeFlags flags = request.flags;
  if (flags.rest.empty()) flags.rest = request.pose == "standing" ? "upright" : "table";
  if (flags.face.empty()) flags.face = "over";
  if (request.pose == "standing" && flags.rest != "upright") {
    return BadUse("--rest",
                  fmt::format("\"{}\" does not belong to a standing board", flags.rest),
                  "leave it out: it is upright");
  }
  return HeldAs(flags, board);
}

/// Appends the reading, and lays the picture of what was seen beside it.
Result<ExitStatus> Save(Session& session,
                        const Request& request,
                        const PhotoReading& reading,
                        Json document,
                        std::string text,
                        const std::string& svg) {
  LIEFLAT_TAKE(at, InstantFlag("--when", request.when));
  auto folder = OpenFolder(session, request.folder);
  std::vector<std::string> warnings;
  LIEFLAT_TAKE(entry,
               folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
                 LIEFLAT_TAKE(samples, ToSamples(reading, state.board, *session.calib, "photos"));
                 warnings = samples.notes;
                 Json fields = {{"reading", ToJson(reading)}};
                 const std::string name = SeenPictureName(state.log.NextId());
                 if (!svg.empty()) {
                   LIEFLAT_TRY(session.disk.MakeFolder(folder.path() / "photos"));
                   LIEFLAT_TRY(ReplaceFile(session.disk, folder.path() / name, svg));
                   fields["seen"] = name;
                 }
                 return BoardFolder::NewEntry{"photo", reading.held.fitted, fields, at};
               }));
  for (const auto& warning : warnings) session.Tell("note: " + warning);
  document["id"] = entry.id;
  document["folder"] = request.folder;
  session.Print(fmt::format("{}: {}", entry.id, text), document);
  return ExitStatus::kDone;
}

template <typename PhotoResult>
Result<ExitStatus> SaveResult(Session& session,
                              const Request& request,
                              const PhotoResult& result,
                              const Board& board) {
  return Save(
      session, request, result.reading, ToJson(result), ToText(result), SeenSvg(result, board));
}

Result<ExitStatus> RunLying(Session& session, const Request& request) {
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LyingRequest lying;
  LIEFLAT_TAKE(held, HowHeld(request, state.board));
  lying.held = held;
  LIEFLAT_TAKE(table, StickerTable(session, request.stickers));
  lying.table = table;
  LIEFLAT_TAKE(ruler_x, LengthFlag("--ruler-x", request.ruler_x));
  LIEFLAT_TAKE(ruler_y, LengthFlag("--ruler-y", request.ruler_y));
  lying.ruler_x_mm = ruler_x;
  lying.ruler_y_mm = ruler_y;
  const Printed printed = Printed::Of(*session.calib);
  std::vector<SeenPhoto> photos;
  for (const auto& file : request.images) {
    LIEFLAT_TAKE(seen, Look(session, file, printed));
    photos.push_back(std::move(seen));
  }
  LIEFLAT_TAKE(result, MeasureLying(photos, state.board, lying, printed, *session.calib));
  return SaveResult(session, request, result, state.board);
}

/// The edge on the stand sheet, found in one to three photos.
Result<ExitStatus> RunStanding(Session& session, const Request& request) {
  if (request.edge.empty() || request.side.empty()) {
    return BadUse(
        "--pose standing",
        "needs --edge and --side: the edge that stands on the sheet, the face towards the "
        "phone",
        "--edge AB --side component and one to three photos; without a sheet, one photo "
        "and three --tap");
  }
  constexpr std::size_t kMost = 3;
  if (request.images.size() > kMost) {
    return BadUse("--pose standing",
                  fmt::format("{} photos, {} at most", request.images.size(), kMost),
                  "one straight on, one from each side");
  }
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  StandingRequest standing;
  LIEFLAT_TAKE(held, HowHeld(request, state.board));
  standing.held = held;
  LIEFLAT_TAKE(edge, EdgeFlag("--edge", request.edge));
  standing.edge = *edge;
  LIEFLAT_TRY(CheckWord("--side", request.side, kSideWords));
  standing.seen = request.side == "component" ? Side::kComponent : Side::kSolder;
  const Printed printed = Printed::Of(*session.calib);
  std::vector<StandingPhoto> photos;
  for (const auto& file : request.images) {
    LIEFLAT_TAKE(bytes, session.disk.Read(file));
    LIEFLAT_TAKE(picture, DecodePicture(bytes, file, Colours::kColour));
    StandingPhoto photo;
    photo.weakest = WeakestChannel(picture);
    photo.seen = LookAt(photo.weakest, file, printed);
    photos.push_back(std::move(photo));
  }
  LIEFLAT_TAKE(result, MeasureStanding(photos, state.board, standing, printed, *session.calib));
  return SaveResult(session, request, result, state.board);
}

Result<ExitStatus> RunTaps(Session& session, const Request& request) {
  if (request.images.size() != 1 || request.taps.size() != 3 || request.edge.empty() ||
      request.side.empty()) {
    return BadUse("--pose standing",
                  "needs one photo, --edge, --side and three --tap",
                  "--edge AB --side component --tap X,Y (its A end) --tap X,Y (its B end) --tap "
                  "X,Y (the deepest point)");
  }
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(held, HowHeld(request, state.board));
  Taps taps;
  LIEFLAT_TAKE(edge, EdgeFlag("--edge", request.edge));
  taps.edge = *edge;
  LIEFLAT_TRY(CheckWord("--side", request.side, kSideWords));
  taps.touched = request.side == "component" ? Side::kComponent : Side::kSolder;
  Eigen::Vector2d* const places[] = {&taps.first_px, &taps.last_px, &taps.deepest_px};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto point = ParsePoint(request.taps[i], "--tap");
    if (!point) return BadFlag(point.error());
    *places[i] = {point->first, point->second};
  }
  LIEFLAT_TAKE(bytes, session.disk.Read(request.images.front()));
  LIEFLAT_TAKE(picture,
               DecodePicture(bytes, request.images.front(), Colours::kGrey, Turning::kUpright));
  LIEFLAT_TAKE(reading,
               MeasureTaps(taps, picture.width, picture.height, state.board, held, *session.calib));
  const PhotoPoint& point = reading.points.front();
  const double u95 = kNormal95 * std::sqrt(reading.covariance_mm2(0, 0));
  Json document = {
      {"format", "lieflat-photo"}, {"version", 1}, {"pose", "standing"}, {"edge", Name(taps.edge)}};
  document["departure_mm"] = std::round(1e3 * point.height_mm) / 1e3;
  document["u95_mm"] = std::round(1e3 * u95) / 1e3;
  document["warnings"] = Json::array();
  document["not_proved"] = kNotProved;
  const std::string text =
      fmt::format("{}: the deepest point stands {:.2f} mm (95 %: {:.2f}) towards the {} side\n{}",
                  Name(taps.edge),
                  std::abs(point.height_mm),
                  u95,
                  point.height_mm < 0.0 ? "solder" : "component",
                  Wrapped(kNotProved));
  return Save(session, request, reading, document, text, "");
}

Result<ExitStatus> RunPhoto(Session& session, const Request& request) {
  LIEFLAT_TRY(CheckWord("--pose", request.pose, {"lying", "standing"}));
  if (request.check_shot) return CheckShots(session, request);
  if (request.pose == "lying") {
    if (!request.taps.empty())
      return BadUse("--tap", "belongs to --pose standing", "see lieflat photo --help");
    return RunLying(session, request);
  }
  return request.taps.empty() ? RunStanding(session, request) : RunTaps(session, request);
}

}  // namespace

void AddPhoto(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand(
      "photo", "measures from photos: stickers or an edge on a printed sheet, or a gap pointed at");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    return verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("IMG", request->images, "the photos: JPEG, PNG or HEIC")->required();
  add("--pose",
      request->pose,
      "WORD",
      "lying: stickers, on the lay sheet; standing: an edge, upright")
      ->required();
  add("--stickers",
      request->stickers,
      "FILE",
      "where the numbered stickers are: sticker,x_mm,y_mm (- is stdin)");
  add("--ruler-x", request->ruler_x, "MM", "the sheet's lower ruler as measured on paper");
  add("--ruler-y", request->ruler_y, "MM", "and its left one");
  add("--edge", request->edge, "EDGE", "standing: the edge, AB, BC, CD or DA");
  add("--side",
      request->side,
      "SIDE",
      "standing: the face towards the phone, or that the steel rule touches");
  verb->add_option("--tap",
                   request->taps,
                   "standing, without a sheet, three times: the edge's two ends, then its deepest "
                   "point, in pixels")
      ->type_name("X,Y")
      ->allow_extra_args(false)
      ->take_all();
  verb->add_flag("--check-shot", request->check_shot, "only say whether each photo can be used");
  add("--when", request->when, "TIME", "when it was taken (ISO 8601 with offset); now when absent");
  AddHeldFlags(*verb, request->flags);
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunPhoto(session, *request); };
  });
}

}  // namespace lieflat::cli
