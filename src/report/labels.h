#pragma once
// Places labels one after another so that none overlaps another: a label that finds no room is left
// out.

#include <vector>

#include "report/svg.h"

namespace lieflat::report {

using LabelGroup = std::vector<Label>;  ///< lines of text that go together

class LabelPlacer {
 public:
  /// @param page  every label stays inside.
  explicit LabelPlacer(const PxBox& page) : page_(page) {}

  void AddObstacle(const PxBox& box) { taken_.push_back(box); }
  /// The first of the candidates that is free (grown by a pixel all round). False when none is.
  /// @param also_avoid  boxes that matter to this label only.
  bool Place(const std::vector<LabelGroup>& candidates, const std::vector<PxBox>& also_avoid = {});
  [[nodiscard]] bool IsFree(const PxBox& box) const;
  [[nodiscard]] const std::vector<Label>& placed() const { return placed_; }

 private:
  PxBox page_;
  std::vector<PxBox> taken_;
  std::vector<Label> placed_;
};

}  // namespace lieflat::report
