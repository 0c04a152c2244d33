// damage: marks of damage, added, listed, measured, resolved. The quick form is a kind and the
// nearest part; what else must be known is asked for only where it changes the outcome.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/load.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, act, id, when;
  std::string kind, at, outline, width, length, depth, side, near, region, photo, note, as;
  std::vector<std::string> to, measures, aspects;
};

const std::vector<std::string> kActs = {"add", "list", "measure", "resolve"};
const std::vector<std::string> kStateWords = {"repaired", "accepted", "open"};

/// "0.3", or "0.30+-0.05" with the half-width of its 95 % interval.
Result<Measured> MeasuredValue(const std::string& flag, const std::string& text) {
  const auto sign = text.find("+-");
  const bool has_u95 = sign != std::string::npos;
  const auto length = [&](const std::string& part) -> Result<double> {
    auto value = ParseLength(part, flag, /*comma_is_decimal=*/true);
    if (!value) return BadFlag(value.error());
    return *value;
  };
  LIEFLAT_TAKE(value, length(has_u95 ? text.substr(0, sign) : text));
  Measured measured{value, 0.0};
  if (has_u95) {
    LIEFLAT_TAKE(u95, length(text.substr(sign + 2)));
    measured.u95 = u95;
  }
  if (measured.value < 0.0 || measured.u95 < 0.0) {
    return Error{
        ErrorCode::kBadUse, flag, fmt::format("\"{}\" is under 0", text), "give a size from 0 up"};
  }
  return measured;
}

Result<std::map<std::string, Measured>> MeasuresFrom(const Request& request, const Calib& calib) {
  std::map<std::string, Measured> measures;
  for (const auto& text : request.measures) {
    LIEFLAT_TAKE(named, NamedValue("--measure", text, "nick-depth=1.4+-0.1"));
    LIEFLAT_TRY(CheckWord("--measure", named.first, DamageMeasures(calib)));
    LIEFLAT_TAKE(measured, MeasuredValue("--measure " + named.first, named.second));
    measures[named.first] = measured;
  }
  for (const auto& [name, text] :
       {std::pair("width", &request.width), std::pair("length", &request.length)}) {
    if (text->empty()) continue;
    LIEFLAT_TAKE(measured, MeasuredValue(std::string("--") + name, *text));
    measures[name] = measured;
  }
  return measures;
}

Result<Eigen::Vector2d> PlaceFrom(const std::string& flag, const std::string& text) {
  auto point = ParsePoint(text, flag);
  if (!point) return BadFlag(point.error());
  return Eigen::Vector2d(point->first, point->second);
}

/// "--outline 10,10 20,10 20,18" as one text.
Result<void> TakeOutline(const std::string& text, Mark& mark) {
  if (text.empty()) return {};
  std::string rest = text;
  while (!rest.empty()) {
    const auto space = rest.find(' ');
    const std::string word = rest.substr(0, space);
    rest = space == std::string::npos ? "" : rest.substr(space + 1);
    if (word.empty()) continue;
    LIEFLAT_TAKE(at, PlaceFrom("--outline", word));
    mark.at_mm.push_back(at);
  }
  mark.outline = true;
  if (mark.at_mm.size() >= 3) return {};
  return Error{ErrorCode::kBadUse,
               "--outline",
               "an outline takes three places at least",
               "for example --outline \"10,10 20,10 20,18\""};
}

Result<Mark> MarkFrom(const Request& request, const Calib& calib) {
  if (request.kind.empty()) {
    return Error{ErrorCode::kBadUse,
                 "--kind",
                 "the kind of damage is missing",
                 "one of " + Join(DamageKinds(calib), ", ")};
  }
  LIEFLAT_TRY(CheckWord("--kind", request.kind, DamageKinds(calib)));
  LIEFLAT_TRY(CheckWord("--depth", request.depth, kDepthWords));
  LIEFLAT_TRY(CheckWord("--side", request.side, kSideWords));
  LIEFLAT_TRY(CheckWord("--region", request.region, RegionNames()));
  for (const auto& aspect : request.aspects)
    LIEFLAT_TRY(CheckWord("--aspect", aspect, DamageAspects(calib)));
  Mark mark;
  mark.kind = request.kind;
  if (!request.side.empty())
    mark.side = request.side == Name(Side::kSolder) ? Side::kSolder : Side::kComponent;
  if (request.at.empty() && !request.to.empty()) {
    return Error{ErrorCode::kBadUse, "--to", "needs where it starts", "give --at X,Y as well"};
  }
  if (!request.at.empty() && !request.outline.empty()) {
    return Error{ErrorCode::kBadUse, "--outline", "stands beside --at", "give one of them"};
  }
  if (!request.at.empty()) {
    LIEFLAT_TAKE(at, PlaceFrom("--at", request.at));
    mark.at_mm.push_back(at);
  }
  for (const auto& text : request.to) {
    LIEFLAT_TAKE(to, PlaceFrom("--to", text));
    mark.at_mm.push_back(to);
  }
  LIEFLAT_TRY(TakeOutline(request.outline, mark));
  mark.depth = request.depth;
  mark.near = SplitWords(request.near);
  mark.region = request.region;
  mark.aspects = request.aspects;
  LIEFLAT_TAKE(measures, MeasuresFrom(request, calib));
  mark.measures = measures;
  mark.photo = request.photo;
  mark.note = request.note;
  if (mark.at_mm.empty() && mark.near.empty() && mark.region.empty()) {
    return Error{ErrorCode::kBadUse,
                 "lieflat damage DIR add",
                 "the mark has no place",
                 "give --near U1, or --at X,Y, or --region top-left"};
  }
  return mark;
}

Result<Json> AddFields(Session& session, const Request& request, const BoardFolder::State& state) {
  LIEFLAT_TAKE(mark, MarkFrom(request, *session.calib));
  LIEFLAT_TRY(CheckMark(mark, state.board, request.folder));
  return Json{{"damage", ToJson(mark)}};
}

/// The mark that the request names: an entry's id, or its number on the sheet.
Result<std::string> MarkNamed(const Request& request, const BoardFolder::State& state) {
  const auto marks = MarksOf(state.log, Calib::Embedded());
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (request.id == marks[i].id || request.id == std::to_string(i + 1)) return marks[i].id;
    ids.push_back(marks[i].id);
  }
  return Error{ErrorCode::kRefused,
               request.folder,
               fmt::format("no mark of damage is named \"{}\"", request.id),
               ids.empty() ? "none is on record" : "its marks: " + Join(ids, ", ")};
}

Result<Json> ChangeFields(Session& session,
                          const Request& request,
                          const BoardFolder::State& state) {
  MarkChange change;
  LIEFLAT_TAKE(id, MarkNamed(request, state));
  change.mark = id;
  change.note = request.note;
  if (request.act == "resolve") {
    LIEFLAT_TRY(CheckWord("--as", request.as, kStateWords));
    change.state = request.as == "accepted" ? MarkState::kAccepted
                   : request.as == "open"   ? MarkState::kOpen
                                            : MarkState::kRepaired;
    return ToJson(change);
  }
  LIEFLAT_TRY(CheckWord("--depth", request.depth, kDepthWords));
  for (const auto& aspect : request.aspects)
    LIEFLAT_TRY(CheckWord("--aspect", aspect, DamageAspects(*session.calib)));
  change.depth = request.depth;
  change.aspects = request.aspects;
  LIEFLAT_TAKE(measures, MeasuresFrom(request, *session.calib));
  change.measures = measures;
  if (change.measures.empty() && change.aspects.empty() && change.depth.empty()) {
    return Error{ErrorCode::kBadUse,
                 "lieflat damage DIR measure",
                 "nothing was measured",
                 "--width 0.3, --length 12, --depth copper, --measure NAME=VALUE or --aspect WORD"};
  }
  return ToJson(change);
}

Json Document(const Assessment& assessment, const std::string& written) {
  Json document = {{"format", "lieflat-damage"}, {"version", 1}, {"label", assessment.board.label}};
  document["acceptance_class"] = assessment.board.acceptance_class;
  if (!written.empty()) document["written"] = written;
  document["marks"] = Json::array();
  for (const auto& mark : assessment.marks) document["marks"].push_back(ToJson(mark));
  return document;
}

/// @param written  the id of the entry just made; empty: all marks are shown.
Result<ExitStatus> Show(Session& session, const Request& request, const std::string& written) {
  LIEFLAT_TAKE(shown, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
  AssessOptions quick;
  quick.press_flat = false;  // no figure of a part is shown
  LIEFLAT_TAKE(assessment, Assess(shown, bench, *session.calib, session.clock.Now(), quick));
  std::string about = written;
  if (!written.empty() && request.act != "add") {
    LIEFLAT_TAKE(id, MarkNamed(request, shown));
    about = id;
  }
  std::string text = written.empty() || about == written ? "" : written + ": ";
  text += DamageText(assessment, about, *session.calib);
  session.Print(text, Document(assessment, written));
  return ExitStatus::kDone;
}

Result<ExitStatus> RunDamage(Session& session, const Request& request) {
  if (request.act.empty()) {
    return Error{ErrorCode::kBadUse,
                 "lieflat damage",
                 "what to do is missing",
                 "lieflat damage DIR add --kind NAME --near REF, list, measure ID, or resolve ID"};
  }
  LIEFLAT_TRY(CheckWord("lieflat damage DIR", request.act, kActs));
  if (request.act == "list") return Show(session, request, "");
  const bool adds = request.act == "add";
  if (adds != request.id.empty()) {
    return Error{ErrorCode::kBadUse,
                 "ID",
                 adds ? "a new mark is named by the log" : "the mark is missing",
                 adds ? "leave it out" : "its entry such as e3, or its number on the sheet"};
  }
  LIEFLAT_TAKE(at, InstantFlag("--when", request.when));
  auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TAKE(
      entry, folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        LIEFLAT_TAKE(
            fields,
            adds ? AddFields(session, request, state) : ChangeFields(session, request, state));
        return BoardFolder::NewEntry{"damage", {}, fields, at};
      }));
  auto shown = Show(session, request, entry.id);
  return shown ? shown : KeptBefore(shown.error(), {entry.id});
}

}  // namespace

void AddDamage(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("damage", "marks of damage: add, list, measure, resolve");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb->add_option(name, text, help)->type_name(type);
  };
  const auto many =
      [&](const char* name, std::vector<std::string>& texts, const char* type, const char* help) {
        verb->add_option(name, texts, help)
            ->type_name(type)
            ->expected(1)
            ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
            ->allow_extra_args(false);
      };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("ACT", request->act, "add, list, measure or resolve");
  verb->add_option("ID", request->id, "the mark: its entry such as e3, or its number");
  add("--kind", request->kind, "NAME", "scratch, crack, edge-nick, lifted-land, bent-pin, ...");
  add("--near", request->near, "REF,...", "the part it is on or beside, then others");
  add("--at", request->at, "X,Y", "where, in mm from corner A, component side seen");
  many("--to", request->to, "X,Y", "on to here (again for each bend of the line)");
  add("--outline", request->outline, "PLACES", "round it: \"10,10 20,10 20,18\"");
  add("--region", request->region, "WORD", "in place of --at: top-left, middle-centre, ...");
  add("--side", request->side, "WORD", "component or solder");
  add("--depth", request->depth, "WORD", "coating, copper, laminate or through");
  add("--width", request->width, "MM", "its width, as 0.3 or 0.30+-0.05");
  add("--length", request->length, "MM", "its length, where it is not drawn");
  many("--measure", request->measures, "NAME=MM", "another size that was asked for");
  many("--aspect",
       request->aspects,
       "WORD",
       "an answer that was asked for: frayed, still-holds, ...");
  add("--photo", request->photo, "FILE", "a photo of it");
  add("--note", request->note, "TEXT", "in your own words");
  add("--as", request->as, "WORD", "resolve: repaired (default), accepted, or open again");
  add("--when", request->when, "TIME", "when it was (ISO 8601 with offset); now when absent");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunDamage(session, *request); };
  });
}

}  // namespace lieflat::cli
