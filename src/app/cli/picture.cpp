// picture: the board's face to scale from photos on the lay sheet, kept in its folder; and what is
// measured on it: a scratch, an edge's nicks, a row of pins, against a sound board.

#include "app/cli/picture.h"

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/damage/mark.h"
#include "lieflat/photo/document.h"
#include "lieflat/photo/picture_measures.h"

#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/kept_picture.h"
#include "app/cli/load.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, side, turned, from, to, edge, against, mark;
  std::vector<std::string> images;
  bool pins = false;
};

Side SideOf(const Request& request) {
  return request.side == "solder" ? Side::kSolder : Side::kComponent;
}

/// The picture and what places in it mean: never of two different pictures, whatever fails on the
/// way.
Result<void> KeepPair(Disk& disk,
                      const KeptPicture& kept,
                      const std::string& png,
                      const std::string& json) {
  if (disk.IsFile(kept.json)) LIEFLAT_TRY(disk.Remove(kept.json));
  LIEFLAT_TRY(ReplaceFile(disk, kept.png, png));
  auto saved = ReplaceFile(disk, kept.json, json);
  if (saved || disk.IsFile(kept.json) || disk.Remove(kept.png)) return saved;
  Error error = saved.error();
  error.message += "; " + kept.png.string() + " was left behind, and nothing is measured on it";
  return error;
}

Result<ExitStatus> Make(Session& session, const Request& request) {
  BoardPictureRequest wanted;
  wanted.side = SideOf(request);
  LIEFLAT_TRY(CheckWord("--turned", request.turned, {"0", "90", "180", "270"}));
  wanted.turned_deg = request.turned.empty() ? 0 : std::stoi(request.turned);
  AssessOptions quick;
  quick.press_flat = false;
  LIEFLAT_TAKE(assessment, AssessFolder(session, request.folder, quick));
  if (assessment.surface) {
    const auto surface = std::make_shared<Surface>(*assessment.surface);
    wanted.warp = [surface](const Eigen::Vector2d& at) { return surface->Height(at); };
  }
  const Printed printed = Printed::Of(*session.calib);
  std::vector<BoardPhoto> photos;
  for (const auto& file : request.images) {
    LIEFLAT_TAKE(bytes, session.disk.Read(file));
    LIEFLAT_TAKE(photo, TakeBoardPhoto(bytes, file, printed));
    photos.push_back(std::move(photo));
  }
  LIEFLAT_TAKE(picture,
               MakeBoardPicture(photos, assessment.board, wanted, printed, *session.calib));
  Json document = ToJson(picture, assessment.board.label);
  const KeptPicture kept = KeptPicture::Of(request.folder, wanted.side);
  document["file"] = kept.png.filename().string();
  LIEFLAT_TRY(KeepPair(session.disk, kept, EncodePng(picture.picture), DumpJson(document)));
  session.Print(fmt::format("{}: {}", kept.png.string(), ToText(picture)), document);
  return ExitStatus::kDone;
}

/// A whole number of steps, without the noise of binary tenths.
double To(double value, double step) {
  const double parts = std::round(1.0 / step);
  return std::round(value * parts) / parts;
}
/// As it is kept on record: to a hundredth.
Eigen::Vector2d Kept(const Eigen::Vector2d& at) { return {To(at.x(), 1e-2), To(at.y(), 1e-2)}; }
Measured Kept(const Measured& m) { return {To(m.value, 1e-2), To(m.u95, 1e-2)}; }

Json Number(const Measured& m) { return {{"value", To(m.value, 1e-3)}, {"u95", To(m.u95, 1e-3)}}; }
Json Place(const Eigen::Vector2d& at) { return {To(at.x(), 1e-2), To(at.y(), 1e-2)}; }
std::string Words(const Measured& m, const char* unit) {
  return fmt::format("{:.2f} {} (95 %: {:.2f})", m.value, unit, m.u95);
}

/// What was measured, as text, document and the marks it would make.
struct Found {
  std::string text;
  Json document;
  std::vector<Mark> marks;
};

Result<Eigen::Vector2d> PlaceFlag(const std::string& flag, const std::string& text) {
  auto point = ParsePoint(text, flag);
  if (!point) return BadFlag(point.error());
  return Eigen::Vector2d(point->first, point->second);
}

Result<Found> Scratch(const BoardPicture& picture,
                      const Eigen::Vector2d& from,
                      const Eigen::Vector2d& to) {
  LIEFLAT_TAKE(seen, MeasureScratch(picture, from, to));
  Found found;
  Mark mark;
  mark.kind = "scratch";
  mark.at_mm = seen.course_mm;
  mark.measures = {{"length", seen.length}, {"width", seen.width}};
  found.marks.push_back(mark);
  found.text = Wrapped(fmt::format("scratch: {} long, {} wide, {} than what lies beside it",
                                   Words(seen.length, "mm"),
                                   Words(seen.width, "mm"),
                                   seen.brighter ? "brighter" : "darker"));
  found.text +=
      seen.conductors_told == Told::kYes
          ? fmt::format("crosses {} conductors that show under the coating, one more or less\n",
                        seen.conductors)
      : seen.conductors_told == Told::kNo ? "no conductor shows under the coating\n"
                                          : "whether it crosses conductors does not show\n";
  found.text += seen.copper == Told::kYes  ? "bare copper shows in it\n"
                : seen.copper == Told::kNo ? "no bare copper shows in it\n"
                                           : "too narrow here to tell whether copper shows\n";
  found.document = {{"what", "scratch"},
                    {"length_mm", Number(seen.length)},
                    {"width_mm", Number(seen.width)},
                    {"brighter", seen.brighter},
                    {"conductors_told", Name(seen.conductors_told)},
                    {"conductors", seen.conductors},
                    {"copper", Name(seen.copper)},
                    {"course_mm", Json::array()}};
  for (const auto& at : seen.course_mm) found.document["course_mm"].push_back(Place(at));
  return found;
}

Result<Found> EdgeFound(const BoardPicture& picture,
                        const Board& board,
                        Edge edge,
                        const Printed& printed) {
  LIEFLAT_TAKE(seen, MeasureEdge(picture, board, edge, printed));
  Found found;
  found.document = {{"what", "edge"},
                    {"edge", Name(edge)},
                    {"told_share", To(seen.told_share, 1e-3)},
                    {"scatter_mm", To(seen.scatter_mm, 1e-3)},
                    {"departures", Json::array()},
                    {"not_told_mm", Json::array()}};
  found.text =
      fmt::format("edge {}: {} from straight; the rest keeps to {:.2f} mm\n",
                  Name(edge),
                  seen.departures.empty() ? std::string("nothing departs")
                                          : fmt::format("{} departure{}",
                                                        seen.departures.size(),
                                                        seen.departures.size() == 1 ? "" : "s"),
                  seen.scatter_mm);
  for (const auto& one : seen.departures) {
    found.text += fmt::format("  {} at {:.1f} to {:.1f} mm from {}:\n    {}{} {}, {} long\n",
                              one.inwards ? "nick" : "stands out",
                              one.from_mm,
                              one.to_mm,
                              Name(edge)[0],
                              one.at_least ? "at least " : "",
                              Words(one.depth, "mm"),
                              one.inwards ? "deep" : "over it",
                              Words(one.length, "mm"));
    found.document["departures"].push_back({{"inwards", one.inwards},
                                            {"from_mm", To(one.from_mm, 1e-2)},
                                            {"to_mm", To(one.to_mm, 1e-2)},
                                            {"depth_mm", Number(one.depth)},
                                            {"at_least", one.at_least},
                                            {"length_mm", Number(one.length)},
                                            {"at_mm", Place(one.deepest_mm)}});
    if (!one.inwards) continue;
    Mark mark;
    mark.kind = "edge-nick";
    mark.at_mm = {one.deepest_mm};
    mark.measures = {{"length", one.length}};
    if (!one.at_least) mark.measures.emplace("nick-depth", one.depth);
    found.marks.push_back(mark);
  }
  for (const auto& gap : seen.not_told_mm) {
    found.text += fmt::format("  not told from the sheet: {:.0f} to {:.0f} mm from {}\n",
                              gap.x(),
                              gap.y(),
                              Name(edge)[0]);
    found.document["not_told_mm"].push_back(Place(gap));
  }
  return found;
}

/// Said of what was not yet held against enough pictures.
constexpr const char* kOnTrial =
    "On trial: few pictures were tried; trust your own eyes before it.\n";

Result<Found> Pins(const BoardPicture& picture,
                   const Eigen::Vector2d& from,
                   const Eigen::Vector2d& to) {
  LIEFLAT_TAKE(seen, MeasurePins(picture, from, to));
  Found found;
  found.document = {{"what", "pins"},
                    {"pitch_mm", To(seen.pitch_mm, 1e-3)},
                    {"thickness_mm", Number(seen.thickness)},
                    {"resolved", seen.resolved},
                    {"pins", Json::array()}};
  found.text = fmt::format("{} pins, {:.2f} mm apart, {} thick\n",
                           seen.pins.size(),
                           seen.pitch_mm,
                           Words(seen.thickness, "mm"));
  if (!seen.resolved) found.text += "too thin in this picture for shares of their thickness\n";
  int number = 0;
  for (const auto& pin : seen.pins) {
    ++number;
    found.document["pins"].push_back(
        {{"at_mm", Place(pin.at_mm)}, {"off_mm", Place(pin.off_mm)}, {"share", Number(pin.share)}});
    if (!seen.resolved || pin.share.value <= pin.share.u95) continue;
    found.text += fmt::format(
        "  pin {} stands off by {} of its thickness\n", number, Words(pin.share, "times"));
    Mark mark;
    mark.kind = "bent-pin";
    mark.at_mm = {pin.at_mm};
    mark.measures = {{"pin-offset", {pin.off_mm.norm(), pin.share.u95 * seen.thickness.value}},
                     {"pin-thickness", seen.thickness}};
    found.marks.push_back(mark);
  }
  found.text += kOnTrial;
  return found;
}

Result<Found> Against(Session& session,
                      const Request& request,
                      const BoardPicture& picture,
                      const Board& board) {
  KeptPicture other = KeptPicture::Of(request.against, picture.side);
  if (session.disk.IsFile(request.against)) {
    other.png = request.against;
    other.json = other.png;
    other.json.replace_extension(".json");
  }
  LIEFLAT_TAKE(sound, OpenKeptPicture(session, other, request.against));
  LIEFLAT_TAKE(seen, CompareWithSound(picture, sound, board));
  Found found;
  found.document = {{"what", "against"},
                    {"registration_rms_mm", To(seen.registration_rms_mm, 1e-3)},
                    {"candidates", Json::array()}};
  found.text = seen.candidates.empty()
                   ? "nothing stands out against the sound board\n"
                   : fmt::format("{} places stand out against the sound board; look at each:\n",
                                 seen.candidates.size());
  for (const auto& one : seen.candidates) {
    const Eigen::Vector2d middle = 0.5 * (one.low_mm + one.high_mm),
                          size = one.high_mm - one.low_mm;
    found.text +=
        fmt::format("  {:.0f}, {:.0f} mm, {:.1f} x {:.1f} mm: {}{}\n",
                    middle.x(),
                    middle.y(),
                    size.x(),
                    size.y(),
                    one.moved_mm ? fmt::format("displaced by {:.1f} mm", one.moved_mm->norm())
                                 : std::string("missing or changed"),
                    one.parts.empty() ? "" : " (" + Join(one.parts, ", ") + ")");
    Json json = {{"low_mm", Place(one.low_mm)},
                 {"high_mm", Place(one.high_mm)},
                 {"weight", To(one.weight, 1.0)},
                 {"parts", one.parts}};
    if (one.moved_mm) json["moved_mm"] = Place(*one.moved_mm);
    found.document["candidates"].push_back(json);
  }
  found.text += Wrapped(
      "What was found when photos of boards were rendered: every missing part of 2 mm and more, "
      "two "
      "of three that are 1.6 mm long, none of 1 mm; less than one false find a board. Trust your "
      "own eyes before it.");
  return found;
}

/// One thing at a time is made or measured. @error kBadUse.
Result<void> CheckWhatIsAsked(const Request& request) {
  const bool line = !request.from.empty() || !request.to.empty();
  const int asked = (request.images.empty() ? 0 : 1) + (line ? 1 : 0) +
                    (request.edge.empty() ? 0 : 1) + (request.against.empty() ? 0 : 1);
  if (asked != 1 || (line && (request.from.empty() || request.to.empty())) ||
      (request.pins && !line)) {
    return Error{ErrorCode::kBadUse,
                 "lieflat picture",
                 asked > 1 ? "does one thing at a time" : "needs photos, or what to measure",
                 "IMG..., or --from X,Y --to X,Y (a scratch; with --pins a row of pins), --edge "
                 "AB, --against DIR"};
  }
  if (!request.images.empty() && !request.mark.empty())
    return Error{ErrorCode::kBadUse, "--mark", "belongs to a measurement", "leave it out"};
  if (request.images.empty() && !request.turned.empty())
    return Error{ErrorCode::kBadUse, "--turned", "belongs to photos", "leave it out"};
  return {};
}

Result<Found> Measure(Session& session, const Request& request, const Board& board) {
  const auto opened = [&] {
    const KeptPicture kept = KeptPicture::Of(request.folder, SideOf(request));
    return OpenKeptPicture(session, kept, request.folder);
  };
  if (!request.against.empty()) {
    LIEFLAT_TAKE(picture, opened());
    return Against(session, request, picture, board);
  }
  if (!request.edge.empty()) {
    LIEFLAT_TAKE(edge, EdgeFlag("--edge", request.edge));
    LIEFLAT_TAKE(picture, opened());
    return EdgeFound(picture, board, *edge, Printed::Of(*session.calib));
  }
  LIEFLAT_TAKE(from, PlaceFlag("--from", request.from));
  LIEFLAT_TAKE(to, PlaceFlag("--to", request.to));
  LIEFLAT_TAKE(picture, opened());
  return request.pins ? Pins(picture, from, to) : Scratch(picture, from, to);
}

/// Makes the marks that were asked for.
Result<void> KeepMarks(Session& session, const Request& request, Found& found) {
  if (request.mark.empty()) return {};
  if (found.marks.empty()) {
    return Error{ErrorCode::kNoFigure,
                 "--mark",
                 "nothing was found to make a mark of",
                 "add it by hand: lieflat damage DIR add"};
  }
  found.document["marks"] = Json::array();
  auto folder = OpenFolder(session, request.folder);
  std::vector<std::string> kept;
  for (Mark& mark : found.marks) {
    mark.side = SideOf(request);
    mark.depth = request.mark == "unknown" ? "" : request.mark;
    for (auto& at : mark.at_mm) at = Kept(at);
    for (auto& [name, measure] : mark.measures) measure = Kept(measure);
    mark.photo = KeptPicture::Of("", SideOf(request)).png.string();
    const auto entry =
        folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
          LIEFLAT_TRY(CheckMark(mark, state.board, request.folder));
          return BoardFolder::NewEntry{"damage", {}, {{"damage", ToJson(mark)}}, {}};
        });
    if (!entry) return KeptBefore(entry.error(), kept);
    kept.push_back(entry->id);
    found.document["marks"].push_back(entry->id);
    found.text += fmt::format("{}: on record as {}\n", entry->id, mark.kind);
  }
  return {};
}

Result<ExitStatus> RunPicture(Session& session, const Request& request) {
  LIEFLAT_TRY(CheckWord("--side", request.side, kSideWords));
  LIEFLAT_TRY(
      CheckWord("--mark", request.mark, {"unknown", "coating", "copper", "laminate", "through"}));
  LIEFLAT_TRY(CheckWhatIsAsked(request));
  if (!request.images.empty()) return Make(session, request);
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(found, Measure(session, request, state.board));
  LIEFLAT_TRY(KeepMarks(session, request, found));
  Json document = {{"format", "lieflat-picture-measure"},
                   {"version", 1},
                   {"label", state.board.label},
                   {"side", Name(SideOf(request))}};
  document.update(found.document);
  document["not_proved"] = kNotProved;
  session.Print(found.text + Wrapped(kNotProved), document);
  return ExitStatus::kDone;
}

}  // namespace

void AddPicture(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand(
      "picture", "the board's face to scale from photos; scratches, nicks, pins measured on it");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option(
      "IMG", request->images, "photos on the lay sheet, from above: makes the picture");
  add("--side", request->side, "SIDE", "the face that is up: component (default) or solder");
  add("--turned", request->turned, "DEG", "AB against the sheet's lower edge: 0, 90, 180 or 270");
  add("--from", request->from, "X,Y", "one end of a scratch, in mm from corner A");
  add("--to", request->to, "X,Y", "its other end");
  verb->add_flag("--pins", request->pins, "a row of pins from --from to --to instead");
  add("--edge", request->edge, "EDGE", "nicks of an edge: AB, BC, CD or DA");
  add("--against", request->against, "DIR", "what differs from a sound board's picture");
  add("--mark",
      request->mark,
      "DEPTH",
      "keep it as a mark: coating, copper, laminate, through, unknown");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunPicture(session, *request); };
  });
}

}  // namespace lieflat::cli
