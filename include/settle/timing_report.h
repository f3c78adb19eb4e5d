// Timing -> texts.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/timing.h"

namespace settle {

/// A page of short tables: propagation, what the inputs must observe, what limits it, how it was proved.
std::string timing_text(const Timing& timing, const TextStyle& style);

/// Document timing/1, as one text with a line feed.
std::string timing_json(const Timing& timing);

}  // namespace settle
