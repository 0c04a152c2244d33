#include "lieflat/lasting/temperature_cap.h"

#include <algorithm>

#include <fmt/format.h>

namespace lieflat {
namespace {

struct PartCap {
  double cap_c = 0.0;
  std::string why;
};

/// The part's own figure, else that of its class; nothing where neither is known.
std::optional<PartCap> CapOfPart(const Part& part, const Calib& calib) {
  const std::string at = "/classes/" + part.part_class;
  const std::string plain = calib.Text("part_classes", at + "/plain");
  if (part.max_temperature_c) {
    return PartCap{*part.max_temperature_c,
                   fmt::format("{} is said to stand {:.0f} C", plain, *part.max_temperature_c)};
  }
  const auto number = calib.Find("part_classes", at + "/max_temperature_c");
  if (!number) return std::nullopt;
  return PartCap{number->value,
                 fmt::format("a {} stands {:.0f} C ({} [{}])",
                             plain,
                             number->value,
                             number->source,
                             Name(number->confidence))};
}

double Number(const Calib& calib, const char* key) {
  return calib.Number("creep", std::string("/temperature/") + key).value;
}

}  // namespace

bool IsPaper(const Board& board) { return board.laminate_name == "fr2"; }

TemperatureCap CapOf(const Board& board, const Calib& calib) {
  TemperatureCap cap;
  cap.may_bake = !board.populated && board.parts.empty();
  const double laminate_c = IsPaper(board) ? Number(calib, "paper_cap_c")
                                           : board.laminate.tg_c - Number(calib, "below_tg_k");
  cap.cap_c = laminate_c;
  cap.set_by = "the laminate";
  cap.why = fmt::format("its laminate softens from about {:.0f} C", laminate_c);
  if (cap.may_bake) return cap;
  const double populated_c = Number(calib, "populated_cap_c");
  if (populated_c < cap.cap_c) {
    cap.cap_c = populated_c;
    cap.set_by = "the parts on it";
    cap.why = fmt::format(
        "with parts on it {:.0f} C is the most that can be defended: plastics, labels and glue "
        "soften",
        populated_c);
  }
  for (const Part& part : board.parts) {
    const auto own = CapOfPart(part, calib);
    if (!own) continue;
    cap.delicate.emplace_back(part.ref, own->cap_c);
    if (own->cap_c >= cap.cap_c) continue;
    cap.cap_c = own->cap_c;
    cap.set_by = part.ref;
    cap.why = own->why;
  }
  std::stable_sort(cap.delicate.begin(), cap.delicate.end(), [](const auto& a, const auto& b) {
    return a.second < b.second;
  });
  return cap;
}

}  // namespace lieflat
