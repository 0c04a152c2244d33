// part: add or remove the parts of a board, one by one, by group or from a sheet; or list them.

#include <algorithm>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, act, ref, csv, group;
  std::string part_class, at, size, region, rotation, side, height, pitch, mass, joints,
      max_temperature;
};

const std::vector<std::string> kActs = {"add", "remove", "list"};

/// The numbers of a part, by flag, by column of a sheet, and by key of board.json.
struct NumberField {
  const char* flag;
  const char* key;
  std::string Request::*text;
};
const NumberField kNumbers[] = {
    {"--rotation", "rotation_deg", &Request::rotation},
    {"--height", "height_mm", &Request::height},
    {"--pitch", "joint_pitch_mm", &Request::pitch},
    {"--mass", "mass_g", &Request::mass},
    {"--joints", "joint_count", &Request::joints},
    {"--max-temperature", "max_temperature_c", &Request::max_temperature}};

void PutNumber(Json& part, const std::string& key, double value) {
  key == "joint_count" ? part[key] = static_cast<int>(value) : part[key] = value;
}

Result<Json> PartFromFlags(const Request& request, const Calib& calib) {
  if (request.ref.empty())
    return Error{ErrorCode::kBadUse, "REF", "the part's reference is missing", "for example U1"};
  if (request.part_class.empty()) {
    return Error{ErrorCode::kBadUse,
                 "--class",
                 "the part's class is missing",
                 "one of " + Join(PartClassNames(calib), ", ")};
  }
  LIEFLAT_TRY(CheckWord("--class", request.part_class, PartClassNames(calib)));
  LIEFLAT_TRY(CheckWord("--side", request.side, kSideWords));
  LIEFLAT_TRY(CheckWord("--region", request.region, kRegionWords));
  if (request.at.empty() != request.size.empty()) {
    return Error{ErrorCode::kBadUse,
                 request.at.empty() ? "--at" : "--size",
                 "is missing: a place needs both",
                 "give --at X,Y (the centre) with --size LxW, or --region alone"};
  }
  Json part = {{"ref", request.ref}, {"class", request.part_class}};
  if (!request.at.empty()) {
    auto at = ParsePoint(request.at, "--at");
    if (!at) return BadFlag(at.error());
    auto size = ParseSize(request.size, "--size");
    if (!size) return BadFlag(size.error());
    part["x_mm"] = at->first;
    part["y_mm"] = at->second;
    part["length_mm"] = size->first;
    part["width_mm"] = size->second;
  }
  if (!request.region.empty()) part["region"] = request.region;
  if (!request.side.empty()) part["side"] = request.side;
  for (const auto& field : kNumbers) {
    LIEFLAT_TAKE(number, NumberFlag(field.flag, request.*field.text));
    if (number) PutNumber(part, field.key, *number);
  }
  return part;
}

const std::vector<std::string> kWordColumns = {"ref", "class", "side", "region"};
const std::vector<std::string> kNumberColumns = {"x_mm",
                                                 "y_mm",
                                                 "length_mm",
                                                 "width_mm",
                                                 "rotation_deg",
                                                 "height_mm",
                                                 "mass_g",
                                                 "joint_pitch_mm",
                                                 "joint_count",
                                                 "max_temperature_c"};

Result<void> CheckColumns(const Sheet& sheet) {
  auto known = kWordColumns;
  known.insert(known.end(), kNumberColumns.begin(), kNumberColumns.end());
  for (const auto& column : sheet.columns) {
    if (std::find(known.begin(), known.end(), column) == known.end()) {
      const auto near = Nearest(column, known);
      return Error{ErrorCode::kRefused,
                   sheet.name + ":1",
                   fmt::format("column \"{}\" is not known{}",
                               column,
                               near ? fmt::format(", did you mean {}?", *near) : ""),
                   "columns: " + Join(known, ", ")};
    }
  }
  for (const auto* needed : {"ref", "class"}) {
    if (!sheet.Column(needed)) {
      return Error{ErrorCode::kRefused,
                   sheet.name + ":1",
                   fmt::format("column {} is missing", needed),
                   "columns: " + Join(known, ", ")};
    }
  }
  return {};
}

Result<Json> PartFromRow(const Sheet& sheet, const Sheet::Row& row) {
  Json part = Json::object();
  for (std::size_t i = 0; i < sheet.columns.size(); ++i) {
    const auto& column = sheet.columns[i];
    const auto& cell = row.cells[i];
    if (cell.empty()) continue;
    if (std::find(kWordColumns.begin(), kWordColumns.end(), column) != kWordColumns.end()) {
      part[column] = cell;
    } else {
      LIEFLAT_TAKE(number, ParseNumber(cell, sheet.Where(row, column), sheet.separator != ','));
      PutNumber(part, column, number);
    }
  }
  return part;
}

/// A row's part by itself, so that a fault of board.json's rules names the row.
Result<void> CheckRow(const Sheet& sheet,
                      const Sheet::Row& row,
                      const Json& part,
                      const Board& board,
                      const Calib& calib) {
  Json alone = ToJson(board);
  alone["parts"] = Json::array({part});
  if (auto checked = ParseBoard(alone, fmt::format("{}:{}", sheet.name, row.line), calib);
      !checked) {
    return checked.error();
  }
  return {};
}

Result<std::vector<Json>> PartsFromSheet(Session& session,
                                         const Request& request,
                                         const Board& board) {
  LIEFLAT_TAKE(text, session.disk.Read(request.csv));
  LIEFLAT_TAKE(sheet, ParseSheet(text, request.csv));
  LIEFLAT_TRY(CheckColumns(sheet));
  std::vector<Json> parts;
  std::map<std::string, int> lines;
  for (const auto& row : sheet.rows) {
    LIEFLAT_TAKE(part, PartFromRow(sheet, row));
    const auto [first, fresh] = lines.emplace(part.value("ref", ""), row.line);
    if (!fresh) {
      return Error{ErrorCode::kRefused,
                   sheet.Where(row, "ref"),
                   fmt::format("\"{}\" stands in line {} already", first->first, first->second),
                   "number them apart"};
    }
    LIEFLAT_TRY(CheckRow(sheet, row, part, board, *session.calib));
    parts.push_back(part);
  }
  return parts;
}

Result<std::vector<Json>> PartsOfGroup(const Request& request, const Calib& calib) {
  LIEFLAT_TRY(CheckWord("--group", request.group, calib.Keys("presets", "/part_groups")));
  std::vector<Json> parts;
  for (const auto& part :
       calib.Document("presets").at("part_groups").at(request.group).at("parts")) {
    parts.push_back(part);
  }
  return parts;
}

Result<std::vector<Json>> PartsAsked(Session& session, const Request& request, const Board& board) {
  if (!request.csv.empty()) return PartsFromSheet(session, request, board);
  if (!request.group.empty()) return PartsOfGroup(request, *session.calib);
  LIEFLAT_TAKE(part, PartFromFlags(request, *session.calib));
  return std::vector<Json>{part};
}

Result<void> AddParts(Board& board,
                      const std::vector<Json>& parts,
                      const std::string& folder,
                      const Calib& calib) {
  Json json = ToJson(board);
  for (const auto& part : parts) {
    const std::string ref = part.at("ref");
    if (board.FindPart(ref) != nullptr) {
      return Error{ErrorCode::kRefused,
                   folder,
                   fmt::format("{} is on the board already", ref),
                   fmt::format("to replace it: lieflat part {} remove {}", folder, ref)};
    }
    json["parts"].push_back(part);
  }
  LIEFLAT_TAKE(changed, ParseBoard(json, "the board as described", calib));
  board = changed;
  return {};
}

Result<void> RemovePart(Board& board, const Request& request) {
  const auto found = std::find_if(board.parts.begin(), board.parts.end(), [&](const Part& part) {
    return part.ref == request.ref;
  });
  if (found != board.parts.end()) {
    board.parts.erase(found);
    return {};
  }
  std::vector<std::string> refs;
  for (const auto& part : board.parts) refs.push_back(part.ref);
  return Error{ErrorCode::kRefused,
               request.folder,
               fmt::format("no part is named \"{}\"", request.ref),
               refs.empty() ? "the board has no parts yet" : "its parts: " + Join(refs, ", ")};
}

Result<ExitStatus> RunList(Session& session, const Request& request) {
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  std::string text;
  for (const auto& part : state.board.parts) {
    const auto plain =
        session.calib->Text("part_classes", "/classes/" + part.part_class + "/plain");
    std::string place = part.region.empty() ? "place not given" : part.region;
    if (part.has_place()) {
      place = fmt::format("at {:g},{:g}  {:g} x {:g} mm",
                          part.centre_mm->x(),
                          part.centre_mm->y(),
                          part.size_mm->x(),
                          part.size_mm->y());
    }
    text += fmt::format("{:<8} {:<36} {}\n", part.ref, plain, place);
  }
  Json document = WrittenDocument("part", "board", session.clock.Now(), request.folder);
  document["parts"] = ToJson(state.board).value("parts", Json::array());
  session.Print(text.empty() ? "no parts yet\n" : text, document);
  return ExitStatus::kDone;
}

std::string Words(const std::vector<Json>& parts) {
  std::vector<std::string> refs;
  refs.reserve(parts.size());
  for (const auto& part : parts) refs.push_back(part.at("ref"));
  return Join(refs, ", ") + " added";
}

Result<ExitStatus> RunChange(Session& session, const Request& request) {
  std::string summary = request.ref + " removed";
  auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TAKE(board, folder.ChangeBoard([&](Board& changing) -> Result<void> {
    if (request.act == "remove") return RemovePart(changing, request);
    LIEFLAT_TAKE(parts, PartsAsked(session, request, changing));
    summary = Words(parts);
    return AddParts(changing, parts, request.folder, *session.calib);
  }));
  Json document = WrittenDocument("part", "board", session.clock.Now(), request.folder);
  document["parts"] = ToJson(board).value("parts", Json::array());
  session.Print(fmt::format("{}: {}\n", request.folder, summary), document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunPart(Session& session, Request request) {
  if (request.act.empty() && request.csv.empty()) {
    return Error{ErrorCode::kBadUse,
                 "lieflat part",
                 "what to do is missing",
                 "lieflat part DIR add REF --class NAME ..., remove REF, list, or --csv FILE"};
  }
  if (request.act.empty()) request.act = "add";
  LIEFLAT_TRY(CheckWord("lieflat part DIR", request.act, kActs));
  if (request.act == "list") return RunList(session, request);
  if (request.act == "remove" && request.ref.empty()) {
    return Error{ErrorCode::kBadUse, "REF", "the part's reference is missing", "for example U1"};
  }
  return RunChange(session, request);
}

}  // namespace

void AddPart(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("part", "adds, removes or lists the parts of a board");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    return verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("ACT", request->act, "add, remove or list");
  verb->add_option("REF", request->ref, "the part's reference on the board: U1");
  add("--class", request->part_class, "NAME", "pbga, qfp, slot, electrolytic, ...");
  add("--at", request->at, "X,Y", "its centre in mm from corner A, component side seen");
  add("--size", request->size, "LxW", "its length (along AB) and width in mm");
  add("--region", request->region, "WORD", "in place of --at: top-left, middle, bottom-right, ...");
  add("--rotation", request->rotation, "DEG", "turned counter-clockwise");
  add("--side", request->side, "WORD", "component or solder");
  add("--height", request->height, "MM", "over the board");
  add("--pitch", request->pitch, "MM", "from joint to joint");
  add("--mass", request->mass, "G", "of the part");
  add("--joints", request->joints, "N", "how many joints");
  add("--max-temperature", request->max_temperature, "C", "what it stands");
  add("--csv",
      request->csv,
      "FILE",
      "a sheet of parts: ref,class,x_mm,y_mm,length_mm,width_mm,...");
  add("--group", request->group, "NAME", "a usual set of parts: slots-6, ball-grid-2, ...");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunPart(session, *request); };
  });
}

}  // namespace lieflat::cli
