#pragma once
// The flags that say what a board is (`new`, `set`), and how they change its description.

#include <string>

#include "lieflat/board/board.h"

#include "app/cli/command.h"

namespace lieflat::cli {

struct Description {
  std::string size, size_u, preset, label, thickness, thickness_u, laminate, copper_layers, mass,
      mass_u, mounting, year, works, need, worth, limit, limit_origin, acceptance_class, populated;

  /// No flag was given.
  [[nodiscard]] bool empty() const;
};

void AddDescriptionFlags(App& verb, Description& description);

/// A new board from --size or --preset and the rest. @error kBadUse when neither is given.
Result<Board> StartBoard(const Description& description,
                         const std::string& label,
                         const Calib& calib);
/// Changes what the flags name, and nothing else; the whole board is checked again.
/// @error kBadUse for a malformed flag; kRefused for a value out of range, by the field of
/// board.json.
Result<void> ChangeDescription(Board& board, const Description& description, const Calib& calib);

}  // namespace lieflat::cli
