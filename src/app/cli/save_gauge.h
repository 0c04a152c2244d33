#pragma once
// Checks a gauge entry, appends it and prints it.

#include <functional>
#include <string>

#include "lieflat/record/folder.h"

#include "app/cli/command.h"

namespace lieflat::cli {

/// @param where   what to call the readings in a refusal: the sheet's name, "typed".
/// @param finish  may add to the document and the text that are printed.
Result<ExitStatus> SaveGauge(
    Session& session,
    const std::string& folder,
    const std::string& when,
    const std::string& where,
    const std::function<Result<Gauge>(const BoardFolder::State&)>& make,
    const std::function<void(const Entry&, Json&, std::string&)>& finish = {},
    const std::string& again_of = "");

}  // namespace lieflat::cli
