#pragma once
// The first 90 seconds: at most eight answers, no coordinates, no mass, no file; leave, measure
// properly, or do not touch.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/base/statistics.h"
#include "lieflat/board/board.h"

namespace lieflat {

struct FirstLook {
  double length_mm = 0.0, width_mm = 0.0;
  std::vector<std::string> large_parts;  ///< part classes present
  std::string works = "untested", need = "none";
  struct EdgeGap {
    Edge edge;
    double gap_mm;  ///< magnitude; which way does not matter yet
  };
  std::vector<EdgeGap> bows;            ///< one edge of each pair settles most boards
  std::optional<double> corner_gap_mm;  ///< fourth corner's lift, three touching
  std::optional<double> tip_difference_mm, strip_length_mm;
  double gap_u_mm = 0.3;  ///< steel rule by eye
  std::string mounting = "mixed";
};

enum class Sorted { kLeave, kMeasure, kDoNotTouch };
const char* Name(Sorted sorted);  ///< "leave" "measure" "do-not-touch"

struct FirstLookAnswer {
  Sorted sorted = Sorted::kMeasure;
  std::string limit_side;  ///< under over too-close; empty when too few edges were read to say
  double limit_percent = 0.75;
  std::optional<double> bow_percent;
  std::optional<Interval> bow_percent95;
  std::optional<double> twist_percent;
  std::optional<Interval> twist_percent95;
  std::vector<std::string> because;  ///< plain sentences
};

/// @error kBadUse: no size, an edge twice, a gap outside 0..50 mm, a strip without its length.
Result<FirstLookAnswer> SortAtFirstLook(const FirstLook& look, const Calib& calib);

Json ToJson(const FirstLook& look);
Result<FirstLook> ParseFirstLook(const Json& json, const std::string& where);
/// The "lieflat-glance" document.
Json ToJson(const FirstLookAnswer& answer);

}  // namespace lieflat
