#include "app/cli/describe.h"

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

const char* const kSizeExample =
    "give --size LENGTHxWIDTH in mm, for example --size 305x244, or --preset NAME";

Result<Board> BareBoard(const Description& description, const Calib& calib) {
  if (!description.preset.empty()) {
    LIEFLAT_TRY(CheckWord("--preset", description.preset, PresetNames(calib)));
    if (description.size.empty()) return PresetBoard(description.preset, calib);
    return Error{ErrorCode::kBadUse, "--size", "cannot go with --preset", "give one of them"};
  }
  if (description.size.empty())
    return Error{ErrorCode::kBadUse, "--size", "the board's size is missing", kSizeExample};
  auto size = ParseSize(description.size, "--size");
  if (!size) return BadFlag(size.error());
  return RectangularBoard(size->first, size->second, calib);
}

Result<void> CheckWords(const Description& description) {
  LIEFLAT_TRY(CheckWord("--mounting", description.mounting, kMountingWords));
  LIEFLAT_TRY(CheckWord("--works", description.works, kWorksWords));
  LIEFLAT_TRY(CheckWord("--need", description.need, kNeedWords));
  LIEFLAT_TRY(CheckWord("--worth", description.worth, kWorthWords));
  return CheckWord("--populated", description.populated, {"yes", "no"});
}

void PutWord(Json& json, const char* key, const std::string& word) {
  if (!word.empty()) json[key] = word;
}

Result<void> PutLength(Json& json,
                       const char* key,
                       const std::string& flag,
                       const std::string& text) {
  LIEFLAT_TAKE(length, LengthFlag(flag, text));
  if (length) json[key] = *length;
  return {};
}

Result<void> PutInteger(Json& json,
                        const char* key,
                        const std::string& flag,
                        const std::string& text) {
  LIEFLAT_TAKE(number, IntegerFlag(flag, text));
  if (number) json[key] = *number;
  return {};
}

Result<void> PutNumbers(Json& json, const Description& description) {
  // A new figure makes the old one's uncertainty void; the format has a usual one.
  if (!description.size.empty()) json.erase("size_u_mm");
  if (!description.thickness.empty()) json.erase("thickness_u_mm");
  if (!description.mass.empty()) json.erase("mass_u_g");
  LIEFLAT_TRY(PutLength(json, "size_u_mm", "--size-u", description.size_u));
  LIEFLAT_TRY(PutLength(json, "thickness_mm", "--thickness", description.thickness));
  LIEFLAT_TRY(PutLength(json, "thickness_u_mm", "--thickness-u", description.thickness_u));
  LIEFLAT_TAKE(mass, NumberFlag("--mass", description.mass));
  if (mass) json["mass_g"] = *mass;
  LIEFLAT_TAKE(mass_u, NumberFlag("--mass-u", description.mass_u));
  if (mass_u) json["mass_u_g"] = *mass_u;
  LIEFLAT_TRY(PutInteger(json, "year", "--year", description.year));
  LIEFLAT_TRY(PutInteger(json, "acceptance_class", "--class", description.acceptance_class));
  return PutInteger(json, "copper_layers", "--copper-layers", description.copper_layers);
}

Result<void> PutLimit(Json& json, const Description& description) {
  if (description.limit == "none") {
    json.erase("limit");
    return {};
  }
  LIEFLAT_TAKE(percent, NumberFlag("--limit", description.limit));
  if (percent) {
    json["limit"] = {{"percent", *percent}, {"origin", "the owner's own"}};
  }
  if (description.limit_origin.empty()) return {};
  if (!json.contains("limit")) {
    return Error{ErrorCode::kBadUse,
                 "--limit-origin",
                 "there is no limit of your own",
                 "give --limit PERCENT with it"};
  }
  json["limit"]["origin"] = description.limit_origin;
  return {};
}

/// Outline, corners, holes and laminate of a new size or preset, in place of the old.
Result<void> PutOutline(Json& json, const Description& description, const Calib& calib) {
  if (description.size.empty() && description.preset.empty()) return {};
  LIEFLAT_TAKE(bare, BareBoard(description, calib));
  const Json fresh = ToJson(bare);
  const bool preset = !description.preset.empty();
  for (const auto* key : {"outline_mm", "corners_mm", "cutouts_mm", "holes_mm", "preset"}) {
    fresh.contains(key) ? json[key] = fresh[key] : Json(json.erase(key));
  }
  for (const auto* key :
       {"thickness_mm", "thickness_u_mm", "laminate", "copper_layers", "mounting"}) {
    if (preset && fresh.contains(key)) json[key] = fresh[key];
  }
  return {};
}

}  // namespace

bool Description::empty() const {
  for (const auto* text : {&size,
                           &size_u,
                           &preset,
                           &label,
                           &thickness,
                           &thickness_u,
                           &laminate,
                           &copper_layers,
                           &mass,
                           &mass_u,
                           &mounting,
                           &year,
                           &works,
                           &need,
                           &worth,
                           &limit,
                           &limit_origin,
                           &acceptance_class,
                           &populated}) {
    if (!text->empty()) return false;
  }
  return true;
}

void AddDescriptionFlags(App& verb, Description& description) {
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb.add_option(name, text, help)->type_name(type);
  };
  add("--size", description.size, "LxW", "length and width in mm: 305x244");
  add("--size-u",
      description.size_u,
      "MM",
      "its standard uncertainty: 0.15 read on a rule, 0.05 with callipers");
  add("--preset",
      description.preset,
      "NAME",
      "a known outline with its holes: atx, baby-at, eurocard-6u, ...");
  add("--label",
      description.label,
      "TEXT",
      "what the board is called; the folder's name when absent");
  add("--thickness", description.thickness, "MM", "bare board, without solder mask bumps");
  add("--thickness-u", description.thickness_u, "MM", "its standard uncertainty");
  add("--laminate", description.laminate, "NAME", "fr4-tg130, fr2, ...");
  add("--copper-layers", description.copper_layers, "N", "1 to 16");
  add("--mass",
      description.mass,
      "G",
      "on the kitchen scale, with everything that was fitted when read");
  add("--mass-u", description.mass_u, "G", "its standard uncertainty");
  add("--mounting", description.mounting, "WORD", "smt, mixed or through-hole");
  add("--year", description.year, "YEAR", "when it was made");
  add("--works", description.works, "WORD", "at intake: yes, partly, no or untested");
  add("--need",
      description.need,
      "WORD",
      "why it should be flat: case, cards, cooler, sale or none");
  add("--worth", description.worth, "WORD", "common, scarce or rare");
  add("--limit",
      description.limit,
      "PERCENT",
      "a limit of your own; none goes back to the standard's");
  add("--limit-origin", description.limit_origin, "TEXT", "where that limit comes from");
  add("--class", description.acceptance_class, "N", "acceptance class 1, 2 or 3");
  add("--populated", description.populated, "WORD", "yes, or no for a bare board");
}

Result<void> ChangeDescription(Board& board, const Description& description, const Calib& calib) {
  LIEFLAT_TRY(CheckWords(description));
  Json json = ToJson(board);
  LIEFLAT_TRY(PutOutline(json, description, calib));
  LIEFLAT_TRY(PutNumbers(json, description));
  LIEFLAT_TRY(PutLimit(json, description));
  if (!description.laminate.empty()) {
    LIEFLAT_TRY(
        CheckWord("--laminate", description.laminate, calib.Keys("laminates", "/laminates")));
    json["laminate"] = description.laminate;
  }
  PutWord(json, "label", description.label);
  PutWord(json, "mounting", description.mounting);
  PutWord(json, "works", description.works);
  PutWord(json, "need", description.need);
  PutWord(json, "worth", description.worth);
  if (!description.populated.empty()) json["populated"] = description.populated == "yes";
  LIEFLAT_TAKE(changed, ParseBoard(json, "the board as described", calib));
  board = changed;
  return {};
}

Result<Board> StartBoard(const Description& description,
                         const std::string& label,
                         const Calib& calib) {
  LIEFLAT_TAKE(board, BareBoard(description, calib));
  board.label = label;
  Description rest = description;
  rest.size.clear();
  rest.preset.clear();
  LIEFLAT_TRY(ChangeDescription(board, rest, calib));
  return board;
}

}  // namespace lieflat::cli
