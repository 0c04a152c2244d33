#pragma once
// The log as lines for a person.

#include <vector>

#include "lieflat/record/log.h"
#include "lieflat/report/html.h"

namespace lieflat::cli {

std::vector<HistoryLine> History(const Log& log);

/// "4 readings, upright; strips along DA and BC"
std::string GaugeInWords(const Gauge& gauge);

}  // namespace lieflat::cli
