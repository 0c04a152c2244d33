#pragma once
// Answers near a solved case: other stress-free heights, stiffness, mass or loads on the same mesh,
// for a small part of the price of a solve. Serves the uncertainty: derivatives, and samples by the
// thousand.
//
//   Neighbourhood::Make(plate, shape, hold) -> nominal()
//   Linear(...)  one step with the nominal matrix and the nominal contact: exact to first order
//   Full(...)    the nonlinear answer, by steps with the nominal matrix; solved anew where those do
//   not get there

#include <memory>

#include "lieflat/plate/solve.h"

namespace lieflat {

class Neighbourhood {
 public:
  /// @error as Plate::Solve.
  static Result<Neighbourhood> Make(Plate plate,
                                    HeightField shape,
                                    Hold hold,
                                    const SolveOptions& options = {});
  ~Neighbourhood();
  Neighbourhood(Neighbourhood&&) noexcept;
  Neighbourhood& operator=(Neighbourhood&&) noexcept;

  [[nodiscard]] const Plate& plate() const;
  [[nodiscard]] const PlateSolution& nominal() const;

  /// @param other  a plate with the same mesh, or null for the nominal one.
  /// @error kRefused for a plate with another mesh; as Plate::Solve.
  [[nodiscard]] Result<PlateSolution> Linear(const Plate* other, const HeightField& shape);
  [[nodiscard]] Result<PlateSolution> Full(const Plate* other, const HeightField& shape);

 private:
  struct Core;
  explicit Neighbourhood(std::unique_ptr<Core> core);
  std::unique_ptr<Core> core_;
};

}  // namespace lieflat
