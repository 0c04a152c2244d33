// The "lieflat-preview" document.

#include "lieflat/assess/preview.h"

#include "assess/numbers.h"

namespace lieflat {
namespace {

Json StepJson(const PressStep& step, const Board& board) {
  Json json = {{"share", Round(step.share)},
               {"load_n", Round(step.load_n)},
               {"gap_mm", Round(step.gap_mm)},
               {"highest_mm", Round(step.highest_mm)},
               {"contact_n", Round(step.contact_n)},
               {"largest_strain_ue", Round(step.largest_strain * kMicrostrain)},
               {"parts", Json::array()}};
  for (std::size_t i = 0; i < step.parts.size(); ++i) {
    const PressedPartAt& at = step.parts[i];
    Json part = {{"ref", board.parts[i].ref},
                 {"strain_ue", Round(at.strain.strain * kMicrostrain)}};
    if (at.joints) {
      part["joint_force_n"] = Round(at.joints->axial_n);
      part["joint_shear_n"] = Round(at.joints->shear_n);
    }
    json["parts"].push_back(std::move(part));
  }
  return json;
}

Json PartJson(const PressedPart& part, const Pressing& pressing) {
  Json json = {{"ref", part.ref},
               {"strain_ue", Round(part.strain * kMicrostrain)},
               {"at_load_n", Round(pressing.steps[part.worst_step].load_n)},
               {"share", Round(part.share)},
               {"damage_probability", Round(part.damage_probability)},
               {"rating", Name(part.rating)}};
  if (part.strain95) json["strain_interval95_ue"] = ToJson(*part.strain95, kMicrostrain);
  if (part.share95) json["share_interval95"] = ToJson(*part.share95);
  return json;
}

Json ForceJson(const PressForce& force) {
  return {{"on", force.on},
          {"x_mm", Round(force.at_mm.x())},
          {"y_mm", Round(force.at_mm.y())},
          {"up_n", Round(force.up_n)}};
}

Json PointJson(const PressPoint& point) {
  const auto face = [](const Eigen::Vector2d& strain) {
    return Json::array({Round(strain.x() * kMicrostrain), Round(strain.y() * kMicrostrain)});
  };
  return {{"x_mm", Round(point.at_mm.x())},
          {"y_mm", Round(point.at_mm.y())},
          {"height_mm", Round(point.height_mm)},
          {"top_ue", face(point.top)},
          {"bottom_ue", face(point.bottom)}};
}

Json OptimisedJson(const Optimised& optimised) {
  Json json = {{"searched", optimised.searched},
               {"share_before", Round(optimised.before)},
               {"share_after", Round(optimised.after)},
               {"finest_step_mm", Round(optimised.finest_step_mm)}};
  if (const auto* under = std::get_if<UnderWeights>(&optimised.way)) {
    json["weights"] = Json::array();
    for (const UnderWeights::Weight& weight : under->weights) {
      json["weights"].push_back({{"mass_kg", Round(weight.mass_kg)},
                                 {"x_mm", Round(weight.at_mm.x())},
                                 {"y_mm", Round(weight.at_mm.y())},
                                 {"length_mm", Round(weight.size_mm.x())},
                                 {"width_mm", Round(weight.size_mm.y())},
                                 {"rigid", weight.rigid}});
    }
  }
  if (const auto* mount = std::get_if<OnStandOffs>(&optimised.way)) {
    json["shims"] = Json::array();
    for (const auto& [hole, mm] : mount->shims_mm)
      json["shims"].push_back({{"hole", hole}, {"mm", Round(mm)}});
  }
  return json;
}

template <typename Of, typename Make>
Json ListOf(const std::vector<Of>& items, const Make& make) {
  Json list = Json::array();
  for (const Of& item : items) list.push_back(make(item));
  return list;
}

}  // namespace

Json ToJson(const Preview& preview) {
  const Pressing& pressing = preview.pressing;
  const Board& board = preview.basis.board;
  const auto step = [&](const PressStep& one) { return StepJson(one, board); };
  Json json = {{"format", "lieflat-preview"}, {"version", 1}};
  json["label"] = board.label;
  json["way"] = pressing.way;
  json["up"] = Name(preview.up);
  json["own_weight"] = preview.own_weight;
  json["warp_mm"] = Round(pressing.warp_mm);
  json["flat_mm"] = Round(pressing.flat_mm);
  json["flat"] = pressing.flat();
  json["reached"] = pressing.reached;
  json["steps"] = ListOf(pressing.steps, step);
  json["worst"] = step(pressing.steps[pressing.worst]);
  json["end"] = step(pressing.end());
  if (pressing.flat_load_n) json["flat_load_n"] = Round(*pressing.flat_load_n);
  json["parts"] =
      ListOf(pressing.parts, [&](const PressedPart& part) { return PartJson(part, pressing); });
  json["any_damage_probability"] = Round(pressing.any_damage_probability);
  json["any_damage_chance"] = ProbabilityInWords(pressing.any_damage_probability);
  json["reactions"] = ListOf(pressing.forces, ForceJson);
  if (!pressing.unforced_gaps.empty()) {
    json["unforced_gaps"] =
        ListOf(pressing.unforced_gaps, [](const Pressing::HoleGap& gap) -> Json {
          return {{"hole", gap.hole}, {"gap_mm", Round(gap.mm)}};
        });
  }
  json["points"] = ListOf(pressing.points, PointJson);
  if (preview.optimised) json["optimised"] = OptimisedJson(*preview.optimised);
  if (!preview.lasting.empty()) {
    json["lasting"] = ListOf(preview.lasting, [](const LastingRow& row) -> Json {
      return {{"hold", row.hold},
              {"hours", Round(row.time.hours)},
              {"temperature_c", Round(row.time.temperature_c)},
              {"keeps", ToJson(row.keeps)},
              {"just_freed", ToJson(row.just_freed)}};
    });
  }
  json["lower_over_s"] = Round(pressing.lower_over_s);
  json["validity"] = pressing.validity;
  json["cautions"] = preview.cautions;
  json["unknowns"] = pressing.unknowns;
  json["calib"] = preview.basis.calib_origin;
  return json;
}

}  // namespace lieflat
