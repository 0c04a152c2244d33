#pragma once
// One board folder's Assessment, worked out afresh.

#include "lieflat/assess/assessment.h"

#include "app/cli/command.h"

namespace lieflat::cli {

Result<Assessment> AssessFolder(Session& session,
                                const std::string& folder,
                                const AssessOptions& options = {});

}  // namespace lieflat::cli
