#include "lieflat/damage/effect.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Eigenvalues>
#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/polygon.h"
#include "lieflat/board/segment.h"

#include "damage/criterion.h"

namespace lieflat {
namespace {

using damage::kFile;

constexpr double kMicrostrain = 1e6;

const Json& KindOf(const Mark& mark, const Calib& calib) {
  return calib.Document(kFile).at("kinds").at(mark.kind);
}

/// From the mark's line or outline to the part's footprint; 0 where they overlap.
double DistanceToPart(const Mark& mark, const Part& part) {
  const auto corners = part.Footprint();
  const Ring footprint(corners.begin(), corners.end());
  std::vector<Eigen::Vector2d> line = mark.at_mm;
  if (mark.outline) line.push_back(line.front());
  double nearest = INFINITY;
  for (const auto& at : line)
    nearest = std::min(nearest, Inside(footprint, at) ? 0.0 : DistanceToBoundary(footprint, at));
  for (std::size_t i = 1; i < line.size(); ++i) {
    for (const auto& corner : footprint)
      nearest = std::min(nearest, DistanceToSegment(line[i - 1], line[i], corner));
    if (RingsMeet({line[i - 1], line[i], line[i - 1]}, footprint)) nearest = 0.0;
  }
  if (mark.outline && Inside(mark.at_mm, footprint.front())) nearest = 0.0;
  return nearest;
}

/// A stretch of the crack: its middle and its direction, when that is known.
struct Stretch {
  Eigen::Vector2d middle;
  std::optional<Eigen::Vector2d> along;
};

std::vector<Stretch> StretchesOf(const Mark& mark, const Board& board) {
  std::vector<Stretch> stretches;
  for (std::size_t i = 1; i < mark.at_mm.size(); ++i) {
    const Eigen::Vector2d along = mark.at_mm[i] - mark.at_mm[i - 1];
    if (along.norm() > 0.0)
      stretches.push_back({0.5 * (mark.at_mm[i] + mark.at_mm[i - 1]), along.normalized()});
  }
  if (!stretches.empty()) return stretches;
  if (!mark.at_mm.empty()) return {{mark.at_mm.front(), std::nullopt}};
  const Part* part = damage::FirstPart(mark, board);
  if (part != nullptr && part->centre_mm) return {{*part->centre_mm, std::nullopt}};
  return {};
}

/// Stretch across the line; where no line is known the largest principal strain.
double AcrossStrain(const Eigen::Vector3d& strain, const std::optional<Eigen::Vector2d>& along) {
  Eigen::Matrix2d tensor;
  tensor << strain(0), strain(2), strain(2), strain(1);
  if (!along) return Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(tensor).eigenvalues()(1);
  const Eigen::Vector2d across(-along->y(), along->x());
  return across.dot(tensor * across);
}

std::vector<Side> FacesOf(const Mark& mark) {
  if (mark.side && mark.depth == "laminate") return {*mark.side};
  return {Side::kComponent, Side::kSolder};  // through, or not told
}

/// Why pressing opens the crack; empty when it closes it or leaves it alone.
std::string OpensCrack(const Mark& mark,
                       const Board& board,
                       const StrainWhenFlat& strain,
                       const Calib& calib) {
  const auto stretches = StretchesOf(mark, board);
  if (stretches.empty()) return "its place is not known, so it may lie across the tension";
  const bool direction_known = stretches.front().along.has_value();  // of all or of none
  double worst = -INFINITY;
  for (const Stretch& stretch : stretches) {
    for (const Side face : FacesOf(mark)) {
      const auto there = strain ? strain(stretch.middle, face) : std::nullopt;
      if (!there) return "the bend there is not measured, so it may lie across the tension";
      worst = std::max(worst, AcrossStrain(*there, stretch.along));
    }
  }
  if (worst * kMicrostrain < calib.Number(kFile, "/reach/opens_from_ue").value) return "";
  return direction_known
             ? fmt::format(
                   "pressing flat stretches across it by {:.0f} microstrain, which opens it",
                   worst * kMicrostrain)
             : fmt::format(
                   "pressing flat stretches the board there by up to {:.0f} microstrain, and "
                   "which way it runs is not on record",
                   worst * kMicrostrain);
}

std::string WhyBlocked(const std::string& rule,
                       const Mark& mark,
                       const Board& board,
                       const StrainWhenFlat& strain,
                       const Calib& calib) {
  if (rule == "across-tension") return OpensCrack(mark, board, strain, calib);
  if (rule == "loaded") {
    return mark.near.empty() || mark.Has("unloaded")
               ? ""
               : fmt::format("a joint of {} pulls on it when the board is bent", mark.near.front());
  }
  const Part* part = damage::FirstPart(mark, board);
  const auto& ceramic = calib.Document(kFile).at("ceramic_classes");
  if (part == nullptr ||
      std::find(ceramic.begin(), ceramic.end(), Json(part->part_class)) == ceramic.end())
    return "";
  return fmt::format("{} is ceramic and cracked already; bending it makes it worse", part->ref);
}

std::string PlaceWords(const Mark& mark) {
  if (!mark.near.empty()) return "beside " + mark.near.front();
  if (!mark.at_mm.empty())
    return fmt::format("at {:g}, {:g}", mark.at_mm.front().x(), mark.at_mm.front().y());
  return "in the region " + mark.region;
}

void PutMeasure(const Mark& mark, const char* name, double otherwise, Json& json) {
  const auto found = mark.measures.find(name);
  const std::string key = name;
  if (found != mark.measures.end()) {
    json[key + "_mm"] = found->second.value;
    if (found->second.u95 > 0.0) json[key + "_u95_mm"] = found->second.u95;
  } else if (otherwise > 0.0) {
    json[key + "_mm"] = std::round(otherwise * 100.0) / 100.0;
  }
}

}  // namespace

std::vector<std::string> PartsBeside(const Mark& mark, const Board& board, const Calib& calib) {
  std::vector<std::string> beside = mark.near;
  if (mark.at_mm.empty()) return beside;
  const double reach = calib.Number(kFile, "/reach/near_mm").value;
  for (const Part& part : board.parts) {
    if (!part.has_place() || std::find(beside.begin(), beside.end(), part.ref) != beside.end())
      continue;
    if (DistanceToPart(mark, part) <= reach) beside.push_back(part.ref);
  }
  return beside;
}

std::vector<Block> BlocksOf(const Mark& mark,
                            const Board& board,
                            const StrainWhenFlat& strain,
                            const Calib& calib) {
  const Json& kind = KindOf(mark, calib);
  if (mark.state == MarkState::kRepaired || !kind.contains("block_rule")) return {};
  const std::string why = WhyBlocked(kind.at("block_rule"), mark, board, strain, calib);
  if (why.empty()) return {};
  return {{kind.at("blocks").get<std::vector<std::string>>(), why}};
}

std::vector<JudgedMark> JudgeMarks(const std::vector<Mark>& marks,
                                   const Board& board,
                                   const std::string& works_now,
                                   const StrainWhenFlat& strain,
                                   const Calib& calib) {
  std::vector<JudgedMark> judged;
  for (const Mark& mark : marks) {
    const Json& kind = KindOf(mark, calib);
    JudgedMark one;
    one.number = static_cast<int>(judged.size()) + 1;
    one.mark = mark;
    one.beside = PartsBeside(mark, board, calib);
    one.judgement = Judge(mark, board, works_now, calib);
    if (kind.contains("weakens"))
      one.limit_factor = calib.Number("part_classes", "/factors/damage").value;
    one.blocks = BlocksOf(mark, board, strain, calib);
    const Json& procedure = kind.at("procedure");
    const std::string number = procedure.at("value");
    one.procedure =
        number.starts_with("no")
            ? number
            : fmt::format(
                  "IPC-7721 {} [{}]", number, procedure.at("confidence").get<std::string>());
    one.tests = kind.at("tests").get<std::vector<std::string>>();
    judged.push_back(std::move(one));
  }
  return judged;
}

std::map<std::string, double> LimitFactors(const std::vector<JudgedMark>& marks) {
  std::map<std::string, double> factors;
  for (const JudgedMark& mark : marks) {
    if (mark.limit_factor >= 1.0) continue;
    for (const std::string& ref : mark.beside) {
      const auto at = factors.try_emplace(ref, 1.0).first;
      at->second = std::min(at->second, mark.limit_factor);
    }
  }
  return factors;
}

std::string MarkWords(const JudgedMark& mark, const Calib& calib) {
  return fmt::format(
      "{} {}", KindOf(mark.mark, calib).at("plain").get<std::string>(), PlaceWords(mark.mark));
}

Json ToJson(const JudgedMark& judged) {
  const Mark& mark = judged.mark;
  Json json = {{"number", judged.number}, {"id", mark.id}, {"kind", mark.kind}};
  if (mark.side) json["side"] = Name(*mark.side);
  if (!mark.at_mm.empty()) {
    json["at_mm"] = Json::array();
    for (const auto& at : mark.at_mm) json["at_mm"].push_back({at.x(), at.y()});
  }
  if (mark.outline) json["outline"] = true;
  if (!mark.region.empty()) json["region"] = mark.region;
  PutMeasure(mark, "length", mark.DrawnLength(), json);
  PutMeasure(mark, "width", 0.0, json);
  if (!mark.depth.empty()) json["depth"] = mark.depth;
  json["measures"] = Json::object();
  for (const auto& [name, measure] : mark.measures) {
    json["measures"][name] = {{"value", measure.value}, {"u95", measure.u95}};
  }
  json["aspects"] = mark.aspects;
  json["near"] = judged.beside;
  json["state"] = Name(mark.state);
  if (!mark.state_note.empty()) json["state_note"] = mark.state_note;
  json["outcome"] = Name(judged.judgement.outcome);
  json["reasons"] = judged.judgement.reasons;
  json["missing"] = judged.judgement.missing;
  json["limit_factor"] = judged.limit_factor;
  json["blocks"] = Json::array();
  for (const Block& block : judged.blocks)
    json["blocks"].push_back({{"options", block.options}, {"why", block.why}});
  json["procedure"] = judged.procedure;
  json["tests"] = judged.tests;
  if (!mark.photo.empty()) json["photo"] = mark.photo;
  if (!mark.note.empty()) json["note"] = mark.note;
  json["source"] = judged.judgement.source;
  return json;
}

}  // namespace lieflat
