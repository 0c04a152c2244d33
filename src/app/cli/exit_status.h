#pragma once
// What the program's exit says. Scripts rely on these.

#include "lieflat/base/result.h"

namespace lieflat::cli {

enum class ExitStatus {
  kDone = 0,
  kGate = 1,      ///< with --gate: over the limit, or undecided
  kBadUse = 2,    ///< unknown verb or flag, a value missing or malformed
  kRefused = 3,   ///< an input is refused: file, line, field, value out of range
  kNoFigure = 4,  ///< well formed, but carries no figure; with --gate: not measured yet
  kBusy = 5,      ///< somebody else holds the folder
  kInternal = 6,  ///< our fault, or the machine's (disk full)
};

inline ExitStatus StatusOf(ErrorCode code) {
  switch (code) {
    case ErrorCode::kBadUse:
      return ExitStatus::kBadUse;
    case ErrorCode::kRefused:
      return ExitStatus::kRefused;
    case ErrorCode::kNoFigure:
      return ExitStatus::kNoFigure;
    case ErrorCode::kBusy:
      return ExitStatus::kBusy;
    case ErrorCode::kInternal:
      return ExitStatus::kInternal;
  }
  return ExitStatus::kInternal;
}

inline constexpr const char* kExitHelp =
    "Exit: 0 done; 1 with --gate: over or undecided; 2 bad use; 3 an input is\n"
    "      refused; 4 no figure can be had from it (with --gate: not measured yet);\n"
    "      5 the folder is busy; 6 our fault, or the disk's.";

}  // namespace lieflat::cli
