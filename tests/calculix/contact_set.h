#pragma once
// Which of the places where a board may touch does touch.

#include <vector>

#include "calculix/solid_model.h"

namespace lieflat::testing {

struct Place {
  Touch what = Touch::kTable;
  int number = 0;
  int vertex = 0;
  double height_mm = 0.0;
  double pushes = 1.0;  ///< +1 up (table, rest), -1 down (plate), 0 both ways
  bool touches = false;
};

class ContactSet {
 public:
  /// Every place of the hold; the two-sided ones touch, and those that the plate's answer names.
  /// @error kInternal when a rest or contact stands at no vertex.
  static Result<ContactSet> Make(const SolidModel& model,
                                 const Hold& hold,
                                 const std::vector<ContactForce>& contacts);

  [[nodiscard]] std::vector<HeldVertex> Held() const;
  /// Lets go what pulls, takes up what lies beyond; true when there was nothing of either.
  bool Verify(const SolidAnswer& answer);

 private:
  std::vector<Place> places_;
  int passes_ = 0;
};

}  // namespace lieflat::testing
