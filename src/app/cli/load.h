#pragma once
// One board folder's Assessment, worked out afresh.

#include "lieflat/assess/assessment.h"

#include "app/cli/command.h"

namespace lieflat::cli {

/// @param worth  empty: the board's own.
Result<Assessment> AssessFolder(Session& session,
                                const std::string& folder,
                                const std::string& worth);

}  // namespace lieflat::cli
