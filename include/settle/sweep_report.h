// `settle sweep` in its forms.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/sweep.h"

namespace settle {

/// Yield with its interval, settling times as a histogram, and how to replay the worst sample.
std::string sweep_text(const Sweep& sweep, const TextStyle& style);
/// Document sweep/1.
std::string sweep_json(const Sweep& sweep);

}  // namespace settle
