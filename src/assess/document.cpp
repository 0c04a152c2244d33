// The "lieflat-assessment" document.

#include <cmath>

#include "lieflat/assess/assessment.h"

#include "assess/numbers.h"

namespace lieflat {
namespace {

void PutBow(const Flatness& flatness, Json& json) {
  if (flatness.bow_measured) {
    json["bow_percent"] = Round(flatness.bow_percent);
    json["bow_u95_percent"] = Round(flatness.bow_u95_percent);
    json["bow_interval95_percent"] = ToJson(flatness.bow_percent95);
    json["bow_edge"] = Name(flatness.bow_edge);
    json["bow_towards"] = Name(flatness.bow_towards);
  }
  Json edges = Json::array();
  for (const EdgeBow& edge : flatness.edges) {
    if (!edge.known) continue;
    edges.push_back({{"edge", Name(edge.edge)},
                     {"percent", Round(edge.percent)},
                     {"interval95_percent", ToJson(edge.percent95)},
                     {"length_mm", Round(edge.length_mm)},
                     {"gap_mm", Round(edge.gap_mm)},
                     {"gap_u95_mm", Round(edge.gap_u95_mm)},
                     {"verdict", Name(edge.verdict)}});
  }
  if (!edges.empty()) json["bow_edges"] = edges;
}

void PutTwist(const Flatness& flatness, Json& json) {
  if (!flatness.twist_measured) return;
  json["twist_percent"] = Round(flatness.twist_percent);
  json["twist_u95_percent"] = Round(flatness.twist_u95_percent);
  json["twist_interval95_percent"] = ToJson(flatness.twist_percent95);
  json["twist_q_mm"] = Round(flatness.twist_q_mm);
  json["high_diagonal"] = flatness.high_diagonal;
  json["twist_procedure"] = flatness.twist_procedure;
}

Json FlatnessJson(const Assessment& assessment) {
  const Flatness& flatness = assessment.flatness;
  Json json = Json::object();
  PutBow(flatness, json);
  PutTwist(flatness, json);
  if (flatness.flatness_measured) {
    json["flatness_ls_mm"] = Round(flatness.ls_mm);
    json["flatness_ls_interval95_mm"] = ToJson(flatness.ls95_mm);
    json["flatness_zone_mm"] = Round(flatness.zone_mm);
    json["flatness_zone_interval95_mm"] = ToJson(flatness.zone95_mm);
  }
  if (assessment.read) {
    const WeightShare& weight = *assessment.weight;
    Json as_seen = Json::object();
    if (weight.bow_percent) as_seen["bow_percent"] = Round(*weight.bow_percent);
    if (weight.twist_percent) as_seen["twist_percent"] = Round(*weight.twist_percent);
    if (weight.lay) {
      as_seen["sag_mm"] = Round(weight.sag_mm);
      as_seen["sag_u_mm"] = Round(weight.sag_u_mm);
    }
    json["as_seen"] = as_seen;
    if (!flatness.weight_removed) json["sag_bound_mm"] = Round(flatness.sag_bound_mm);
    json["weight_removed"] = flatness.weight_removed;
  }
  json["limit_percent"] = flatness.limit.percent;
  json["limit_source"] = flatness.limit.source;
  json["limit_meaning"] = flatness.limit.meaning;
  json["bow_verdict"] = Name(flatness.bow_verdict);
  json["twist_verdict"] = Name(flatness.twist_verdict);
  json["not_measured"] = flatness.not_measured;
  if (!flatness.next_reading.empty()) json["next_reading"] = flatness.next_reading;
  return json;
}

Json PartJson(const PartRating& part) {
  Json json = {{"ref", part.ref}, {"class", part.part_class}};
  json["allowed_strain_ue"] = Round(part.allowed_strain * kMicrostrain);
  if (part.damage_factor < 1.0) json["damage_factor"] = Round(part.damage_factor);
  if (!part.measured) return json;
  json["where"] = part.where_taken;
  json["found_strain_ue"] = Round(part.found_strain * kMicrostrain);
  json["found_strain_interval95_ue"] = ToJson(part.found_strain95, kMicrostrain);
  json["found_share"] = Round(part.found_share);
  json["found_damage_probability"] = Round(part.found_damage_probability);
  json["flatten_strain_ue"] = Round(part.flatten_strain * kMicrostrain);
  json["flatten_strain_interval95_ue"] = ToJson(part.flatten_strain95, kMicrostrain);
  json["share"] = Round(part.share);
  json["share_interval95"] = ToJson(part.share95);
  json["damage_probability"] = Round(part.damage_probability);
  json["damage_chance"] = ProbabilityInWords(part.damage_probability);
  json["by_plate"] = part.by_plate;
  if (part.joint_force_n) {
    json["joint_force_n"] = Round(*part.joint_force_n);
    json["joint_force_interval95_n"] = ToJson(part.joint_force95_n);
    json["joint_shear_n"] = Round(part.joint_shear_n);
    if (part.corner_patch_n > 0.0) json["corner_patch_n"] = Round(part.corner_patch_n);
  }
  if (part.found_joint_force_n) json["found_joint_force_n"] = Round(*part.found_joint_force_n);
  if (part.cycles_to_failure) {
    json["cycles_to_failure"] = Round(*part.cycles_to_failure);
    json["fatigue"] = Round(part.fatigue);
  }
  if (part.local_flatness_u95_mm > 0.0) {
    json["local_flatness_mm"] = Round(part.local_flatness_mm);
    json["local_flatness_u95_mm"] = Round(part.local_flatness_u95_mm);
  }
  json["rating"] = Name(part.rating);
  json["set_by"] = part.set_by;
  return json;
}

Json ReadingsJson(const Assessment& assessment) {
  Json rows = Json::array();
  for (const UsedReading& reading : assessment.used) {
    rows.push_back({{"where", reading.id},
                    {"name", reading.name},
                    {"value_mm", Round(reading.value_mm)},
                    {"u_mm", Round(reading.u_mm)},
                    {"fitted_mm", Round(reading.fitted_mm)}});
  }
  return rows;
}

Json OutliersJson(const Surface& surface) {
  Json rows = Json::array();
  for (const Outlier& outlier : surface.outliers) {
    rows.push_back({{"where", outlier.where},
                    {"name", outlier.name},
                    {"value_mm", Round(outlier.value_mm)},
                    {"others_suggest_mm", Round(outlier.others_suggest_mm)},
                    {"others_sd_mm", Round(outlier.others_sd_mm)}});
  }
  return rows;
}

Json OptionJson(const Option& option) {
  Json json = {{"name", option.name}, {"how", option.how}};
  if (option.bow_after_percent) json["bow_after_percent"] = ToJson(*option.bow_after_percent);
  if (option.twist_after_percent) json["twist_after_percent"] = ToJson(*option.twist_after_percent);
  json["lasting_fraction"] = ToJson(option.lasting_fraction);
  json["just_freed_fraction"] = ToJson(option.just_freed);
  json["gain_mm"] = ToJson(option.gain_mm);
  if (option.rated) {
    json["cycles_share"] = Round(option.cycles_share);
    json["worst_share"] = Round(option.worst_share);
    json["damage_probability"] = Round(option.damage_probability);
    if (option.presses()) json["damage_chance"] = ProbabilityInWords(option.damage_probability);
  }
  json["days"] = Round(option.days);
  json["blocked_by"] = option.blocked_by;
  if (!option.against.empty()) json["against"] = option.against;
  return json;
}

}  // namespace

Json ToJson(const Assessment& assessment) {
  Json json = {{"format", "lieflat-assessment"}, {"version", 1}};
  json["label"] = assessment.board.label;
  json["works"] = assessment.works_now;
  json["need"] = assessment.board.need;
  json["worth"] = assessment.board.worth;
  if (assessment.read_at) json["read_at"] = assessment.read_at->Iso();
  if (!assessment.held.empty()) json["held"] = assessment.held;
  json["flatness"] = FlatnessJson(assessment);
  json["parts"] = Json::array();
  for (const PartRating& part : assessment.parts) json["parts"].push_back(PartJson(part));
  if (assessment.flattening) {
    const Flattening& flat = *assessment.flattening;
    json["pressed_flat"] = {{"gap_mm", Round(flat.gap_mm)},
                            {"force_n", Round(flat.force_n.value)},
                            {"force_interval95_n", ToJson(flat.force_n.interval95)},
                            {"any_damage_probability", Round(assessment.any_damage_probability)},
                            {"nonlinear_samples", flat.sampled},
                            {"unknowns", flat.unknowns}};
  }
  if (assessment.read) {
    json["readings"] = ReadingsJson(assessment);
    json["surface_order"] = assessment.surface->order;
    json["surface_residual_rms_mm"] = Round(assessment.surface->residual_rms_mm);
    json["outliers"] = OutliersJson(*assessment.surface);
  }
  if (!assessment.marks.empty()) {
    json["marks"] = Json::array();
    for (const JudgedMark& mark : assessment.marks) json["marks"].push_back(ToJson(mark));
  }
  if (!assessment.options.empty()) {
    json["options"] = Json::array();
    for (const Option& option : assessment.options) json["options"].push_back(OptionJson(option));
  }
  if (assessment.night_gain_mm) json["night_gain_mm"] = ToJson(*assessment.night_gain_mm);
  json["recommended"] = assessment.recommended.name;
  json["next_action"] = assessment.next.what;
  if (assessment.next.due) json["due"] = assessment.next.due->Iso();
  json["because"] = assessment.recommended.because;
  json["cautions"] = assessment.recommended.cautions;
  json["passed_over"] = assessment.passed_over;
  json["notes"] = assessment.notes;
  if (assessment.first_look) json["first_look"] = ToJson(*assessment.first_look);
  json["calib"] = assessment.calib_origin;
  return json;
}

}  // namespace lieflat
