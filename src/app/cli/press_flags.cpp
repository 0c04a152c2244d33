#include "app/cli/press_flags.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

const std::vector<std::string> kWays = {"plates", "weights", "clamps", "mount"};
const std::string kWeightForm = "KG@X,Y:LENGTHxWIDTH, for example 1.0@152,122:60x60:soft";

Error NotAWeight(const std::string& text) {
  return {ErrorCode::kBadUse,
          "--weight",
          fmt::format("\"{}\" is no weight with its place and footprint", text),
          kWeightForm};
}

/// "1.0@152,122:60x60:rigid".
Result<UnderWeights::Weight> ReadWeight(const std::string& text) {
  const auto at = text.find('@');
  const auto colon = text.find(':', at == std::string::npos ? 0 : at);
  if (at == std::string::npos || colon == std::string::npos) return NotAWeight(text);
  const auto last = text.find(':', colon + 1);
  UnderWeights::Weight weight;
  LIEFLAT_TAKE(mass, NumberFlag("--weight", text.substr(0, at)));
  if (!mass) return NotAWeight(text);
  weight.mass_kg = *mass;
  const auto place = ParsePoint(text.substr(at + 1, colon - at - 1), "--weight");
  if (!place) return BadFlag(place.error());
  const std::size_t size_ends = last == std::string::npos ? last : last - colon - 1;
  const auto size = ParseSize(text.substr(colon + 1, size_ends), "--weight");
  if (!size) return BadFlag(size.error());
  weight.at_mm = {place->first, place->second};
  weight.size_mm = {size->first, size->second};
  if (last != std::string::npos) {
    const std::string bottom = text.substr(last + 1);
    LIEFLAT_TRY(CheckWord("--weight", bottom, {"rigid", "soft"}));
    weight.rigid = bottom == "rigid";
  }
  return weight;
}

Result<double> Load(const PressFlags& flags) {
  LIEFLAT_TAKE(load, NumberFlag("--load-n", flags.load));
  if (load) return *load;
  return Error{ErrorCode::kBadUse,
               "--load-n",
               "is missing: the load in newtons",
               "10 N is the weight of about one kilogram"};
}

Result<PressWay> Plates(const PressFlags& flags) {
  if (flags.gap.empty() == flags.load.empty()) {
    return Error{ErrorCode::kBadUse,
                 "--way plates",
                 "takes either a gap or a load",
                 "--gap-mm 1 or --load-n 40"};
  }
  LIEFLAT_TAKE(gap, LengthFlag("--gap-mm", flags.gap));
  if (gap) return PressWay(BetweenPlates{*gap, 0.0});
  LIEFLAT_TAKE(load, Load(flags));
  return PressWay(BetweenPlates{std::nullopt, load});
}

Result<PressWay> Weights(const PressFlags& flags) {
  if (flags.weights.empty())
    return Error{ErrorCode::kBadUse, "--weight", "is missing", kWeightForm};
  UnderWeights under;
  for (const std::string& text : flags.weights) {
    LIEFLAT_TAKE(weight, ReadWeight(text));
    under.weights.push_back(weight);
  }
  return PressWay(std::move(under));
}

Result<PressWay> Clamps(const PressFlags& flags) {
  if (flags.bars.empty())
    return Error{ErrorCode::kBadUse, "--bar", "is missing", "an edge: AB, BC, CD or DA"};
  UnderBars under;
  for (const std::string& text : flags.bars) {
    LIEFLAT_TAKE(edge, EdgeFlag("--bar", text));
    if (edge) under.edges.push_back(*edge);
  }
  LIEFLAT_TAKE(load, Load(flags));
  under.load_n = load;
  return PressWay(std::move(under));
}

Result<PressWay> Mount(const PressFlags& flags) {
  OnStandOffs mount;
  for (const std::string& text : flags.shims) {
    LIEFLAT_TAKE(pair, NamedValue("--shim", text, "2=1.5"));
    LIEFLAT_TAKE(hole, IntegerFlag("--shim", pair.first));
    LIEFLAT_TAKE(height, LengthFlag("--shim", pair.second));
    if (!mount.shims_mm.emplace(*hole, *height).second) {
      return Error{ErrorCode::kBadUse,
                   "--shim",
                   fmt::format("hole {} is given twice", *hole),
                   "one shim a hole"};
    }
  }
  return PressWay(std::move(mount));
}

/// A flag that belongs to another way is a slip, not something to pass over.
Result<void> NothingOfOtherWays(const PressFlags& flags) {
  const std::vector<std::pair<bool, std::pair<const char*, std::vector<std::string>>>> given = {
      {!flags.gap.empty(), {"--gap-mm", {"plates"}}},
      {!flags.load.empty(), {"--load-n", {"plates", "clamps"}}},
      {!flags.weights.empty(), {"--weight", {"weights"}}},
      {!flags.shims.empty(), {"--shim", {"mount"}}},
      {!flags.bars.empty(), {"--bar", {"clamps"}}}};
  for (const auto& [is_given, flag] : given) {
    const auto& [name, ways] = flag;
    if (!is_given || std::find(ways.begin(), ways.end(), flags.way) != ways.end()) continue;
    return Error{ErrorCode::kBadUse,
                 name,
                 fmt::format("does not go with --way {}", flags.way),
                 "it goes with --way " + Join(ways, " or ")};
  }
  return {};
}

}  // namespace

void AddPressFlags(App& verb, PressFlags& flags) {
  verb.add_option("--way", flags.way, "plates, weights, clamps or mount")->type_name("WAY");
  verb.add_option("--gap-mm", flags.gap, "plates: the height of bend that they leave")
      ->type_name("MM");
  verb.add_option("--load-n", flags.load, "plates: load of the upper one; clamps: of each bar")
      ->type_name("N");
  verb.add_option("--weight",
                  flags.weights,
                  "weights: kilograms, middle and footprint, hard or soft below; once for each: "
                  "1.0@152,122:60x60:soft")
      ->type_name("W");
  verb.add_option("--bar", flags.bars, "clamps: an edge that a bar holds down; once for each")
      ->type_name("EDGE");
  verb.add_option("--shim",
                  flags.shims,
                  "mount: washers on a stand-off, hole number = mm; once for each: 2=1.5")
      ->type_name("N=MM");
}

Result<PressWay> ReadPressWay(const PressFlags& flags) {
  if (flags.way.empty())
    return Error{ErrorCode::kBadUse, "--way", "is missing", "one of " + Join(kWays, ", ")};
  LIEFLAT_TRY(CheckWord("--way", flags.way, kWays));
  LIEFLAT_TRY(NothingOfOtherWays(flags));
  if (flags.way == "plates") return Plates(flags);
  if (flags.way == "weights") return Weights(flags);
  if (flags.way == "clamps") return Clamps(flags);
  return Mount(flags);
}

}  // namespace lieflat::cli
