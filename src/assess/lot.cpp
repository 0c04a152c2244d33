#include "lieflat/assess/lot.h"

#include <algorithm>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

std::string TextAt(const Json& json, const char* key) {
  const auto found = json.find(key);
  return found != json.end() && found->is_string() ? found->get<std::string>() : std::string();
}

std::optional<double> NumberAt(const Json& json, const char* key) {
  const auto found = json.find(key);
  return found != json.end() && found->is_number() ? std::optional(found->get<double>())
                                                   : std::nullopt;
}

std::optional<Interval> IntervalAt(const Json& json, const char* key) {
  const auto found = json.find(key);
  if (found == json.end() || !found->is_array() || found->size() != 2) return std::nullopt;
  return Interval{found->at(0).get<double>(), found->at(1).get<double>()};
}

/// Most urgent first: needed flat and over or open, then not measured, then the rest.
int Urgency(const LotRow& row) {
  const bool needed = row.need != "none";
  const bool over = row.bow_verdict == "over" || row.twist_verdict == "over";
  int urgency = 0;
  if (needed) urgency += 4;
  if (over) urgency += 3;
  if (row.recommended == "measure-further") urgency += 2;
  if (row.works != "yes") urgency += 1;
  return urgency;
}

std::optional<LotRow::WorstEdge> WorstEdgeOf(const Json& flatness) {
  const auto edges = flatness.find("bow_edges");
  if (edges == flatness.end()) return std::nullopt;
  for (const Json& edge : *edges) {
    const auto length = NumberAt(edge, "length_mm"), gap = NumberAt(edge, "gap_mm");
    if (TextAt(edge, "edge") != TextAt(flatness, "bow_edge") || !length || !gap) continue;
    return LotRow::WorstEdge{TextAt(edge, "edge"), TextAt(flatness, "bow_towards"), *length, *gap};
  }
  return std::nullopt;
}

std::string WorstPartOf(const Json& document) {
  std::string ref;
  double most = -1.0;
  for (const Json& part : document.at("parts")) {
    const auto share = NumberAt(part, "share");
    if (!share || *share <= most) continue;
    most = *share;
    ref = TextAt(part, "ref");
  }
  return ref;
}

LotRow RowOf(const Disk::Path& folder, const Json& document) {
  LotRow row;
  const Json& flatness = document["flatness"];
  row.folder = folder.filename().string();
  row.label = TextAt(document, "label");
  row.works = TextAt(document, "works");
  row.need = TextAt(document, "need");
  row.bow_verdict = TextAt(flatness, "bow_verdict");
  row.twist_verdict = TextAt(flatness, "twist_verdict");
  row.bow_percent = NumberAt(flatness, "bow_percent");
  row.twist_percent = NumberAt(flatness, "twist_percent");
  row.bow_percent95 = IntervalAt(flatness, "bow_interval95_percent");
  row.twist_percent95 = IntervalAt(flatness, "twist_interval95_percent");
  row.bow_limit_percent = NumberAt(flatness, "limit_percent");
  row.recommended = TextAt(document, "recommended");
  row.next_action = TextAt(document, "next_action");
  row.due = TextAt(document, "due");
  row.worst_edge = WorstEdgeOf(flatness);
  row.worst_part = WorstPartOf(document);
  row.urgency = Urgency(row);
  return row;
}

/// One folder's state, and under which key its assessment is kept.
struct Keyed {
  BoardFolder folder;
  BoardFolder::State state;
  Bench bench;
  std::string key;

  [[nodiscard]] std::optional<Json> Kept() const {
    const auto text = folder.KeptAssessment(key);
    if (!text) return std::nullopt;
    auto document = ParseJson(*text, "the kept assessment");
    return document ? std::optional<Json>(std::move(*document)) : std::nullopt;
  }
};

Result<Keyed> LoadKeyed(Disk& disk,
                        const Clock& clock,
                        const Calib& calib,
                        const Disk::Path& folder,
                        const Disk::Path& settings_folder) {
  const BoardFolder board_folder(disk, clock, calib, folder);
  auto state = board_folder.Load();
  if (!state) return state.error();
  auto bench = LoadBench(disk, folder, settings_folder);
  if (!bench) return bench.error();
  std::string extra = clock.Now().Iso().substr(0, 4);  // the year ages the board
  for (const auto& [instrument, own] : bench->repeatability)
    extra += instrument + "=" + std::to_string(own.sd_mm) + ";";
  for (const std::string& skill : bench->skills) extra += skill + ";";
  if (bench->tools) extra += "tools:" + Join(*bench->tools, ",");
  std::string key = BoardFolder::AssessmentKey(*state, calib, extra);
  return Keyed{board_folder, std::move(*state), std::move(*bench), std::move(key)};
}

LotRow ProblemRow(const Disk::Path& folder, const Error& error) {
  LotRow row;
  row.folder = row.label = folder.filename().string();
  row.problem = error;
  row.next_action = error.Text();
  row.urgency = 100;  // a folder that cannot be read comes before everything
  return row;
}

LotRow PendingRow(const Disk::Path& folder, const BoardFolder::State& state) {
  LotRow row;
  row.folder = folder.filename().string();
  row.label = state.board.label;
  row.works = state.log.WorksNow(state.board.works);
  row.need = state.board.need;
  row.pending = true;
  row.urgency = -1;
  return row;
}

}  // namespace

Result<Json> AssessmentDocument(Disk& disk,
                                const Clock& clock,
                                const Calib& calib,
                                const Disk::Path& folder,
                                const Disk::Path& settings_folder) {
  const auto keyed = LoadKeyed(disk, clock, calib, folder, settings_folder);
  if (!keyed) return keyed.error();
  if (auto kept = keyed->Kept()) return std::move(*kept);
  const auto assessment = Assess(keyed->state, keyed->bench, calib, clock.Now());
  if (!assessment) return assessment.error();
  Json document = ToJson(*assessment);
  keyed->folder.KeepAssessment(keyed->key, DumpJsonLine(document));
  return document;
}

Result<Lot> AssessLot(Disk& disk,
                      const Clock& clock,
                      const Calib& calib,
                      const Disk::Path& lot,
                      const Disk::Path& settings_folder,
                      LotWork work) {
  const auto folders = BoardFolders(disk, lot);
  if (!folders) return folders.error();
  Lot out;
  out.name =
      lot.filename().empty() ? lot.parent_path().filename().string() : lot.filename().string();
  for (const Disk::Path& folder : *folders) {
    if (work == LotWork::kKeptOnly) {
      const auto keyed = LoadKeyed(disk, clock, calib, folder, settings_folder);
      const auto kept = keyed ? keyed->Kept() : std::nullopt;
      out.rows.push_back(!keyed ? ProblemRow(folder, keyed.error())
                         : kept ? RowOf(folder, *kept)
                                : PendingRow(folder, keyed->state));
      continue;
    }
    const auto document = AssessmentDocument(disk, clock, calib, folder, settings_folder);
    out.rows.push_back(document ? RowOf(folder, *document) : ProblemRow(folder, document.error()));
  }
  std::stable_sort(out.rows.begin(), out.rows.end(), [](const LotRow& a, const LotRow& b) {
    return a.urgency > b.urgency;
  });
  return out;
}

Json ToJson(const Lot& lot) {
  Json json = {
      {"format", "lieflat-lot"}, {"version", 1}, {"name", lot.name}, {"rows", Json::array()}};
  for (const LotRow& row : lot.rows) {
    Json item = {{"folder", row.folder}, {"label", row.label}};
    if (row.problem) {
      item["problem"] = row.problem->Text();
      json["rows"].push_back(item);
      continue;
    }
    item["works"] = row.works;
    item["need"] = row.need;
    if (row.pending) {
      item["pending"] = true;
      json["rows"].push_back(item);
      continue;
    }
    item["verdicts"] = {{"bow", row.bow_verdict}, {"twist", row.twist_verdict}};
    if (row.bow_percent) item["bow_percent"] = *row.bow_percent;
    if (row.bow_percent95) {
      item["bow_interval95_percent"] = {row.bow_percent95->low, row.bow_percent95->high};
    }
    if (row.twist_percent) item["twist_percent"] = *row.twist_percent;
    if (row.twist_percent95) {
      item["twist_interval95_percent"] = {row.twist_percent95->low, row.twist_percent95->high};
    }
    if (row.bow_limit_percent) item["limit_percent"] = *row.bow_limit_percent;
    if (row.worst_edge) {
      item["worst_edge"] = {{"edge", row.worst_edge->edge},
                            {"towards", row.worst_edge->towards},
                            {"length_mm", row.worst_edge->length_mm},
                            {"gap_mm", row.worst_edge->gap_mm}};
    }
    if (!row.worst_part.empty()) item["worst_part"] = row.worst_part;
    item["recommended"] = row.recommended;
    item["next_action"] = row.next_action;
    if (!row.due.empty()) item["due"] = row.due;
    json["rows"].push_back(item);
  }
  return json;
}

}  // namespace lieflat
