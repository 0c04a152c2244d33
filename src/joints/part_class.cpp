#include <fmt/format.h>

#include "lieflat/joints/rating.h"
#include "lieflat/joints/strain_limits.h"

#include "joints/limits.h"

namespace lieflat {
namespace {

constexpr double kMicrostrain = 1e-6;

/// The limits of a size variant in place of the class's own.
void TakeVariant(PartClass& made, const std::string& at, const Calib& calib) {
  made.allowed_strain =
      kMicrostrain * calib.Number("part_classes", at + "/allowed_strain_ue").value;
  made.median_strain = kMicrostrain * calib.Number("part_classes", at + "/median_strain_ue").value;
}

}  // namespace

PartClass ClassOf(const Part& part, const Calib& calib) {
  const std::string at = "/classes/" + part.part_class;
  const Json& entry = calib.Document("part_classes").at("classes").at(part.part_class);
  const CalibNumber allowed = calib.Number("part_classes", at + "/allowed_strain_ue");
  PartClass made;
  made.name = part.part_class;
  made.plain = calib.Text("part_classes", at + "/plain");
  made.trade = calib.Text("part_classes", at + "/trade");
  TakeVariant(made, at, calib);
  made.log_sd = calib.Number("part_classes", at + "/log_sd").value;
  made.area_array = entry.at("area_array").get<bool>();
  made.chip = entry.at("chip").get<bool>();
  made.source = fmt::format("{} [{}]", allowed.source, Name(allowed.confidence));
  if (!part.size_mm) return made;
  const double longer = part.size_mm->maxCoeff();
  const auto from = calib.Find("part_classes", at + "/large/from_size_mm");
  if (from && longer > from->value) TakeVariant(made, at + "/large", calib);
  const auto to = calib.Find("part_classes", at + "/small/to_length_mm");
  if (to && longer <= to->value) TakeVariant(made, at + "/small", calib);
  return made;
}

double LimitFactor(const Board& board, int year_now, const Calib& calib) {
  const auto factor = [&](const char* key) {
    return calib.Number("part_classes", std::string("/factors/") + key).value;
  };
  const bool old = !board.year || year_now - *board.year >= factor("old_age_from_years");
  const double age = old ? factor("old_age") : 1.0;
  return age * ThicknessFactor(board.thickness_mm.value, calib);
}

}  // namespace lieflat
