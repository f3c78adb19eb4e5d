// The sentences of findings: one each, for a beginner to understand and an expert to accept.
#pragma once

#include <string>
#include <vector>

#include "settle/run.h"

namespace settle {

/// "enter falls and leave falls at once", "at power-up".
std::string cause_text(const std::vector<Finding::Cause>& causes);

/// "a, b and c"; long lists are cut: "a, b, c and 12 more".
std::string list_text(const std::vector<std::string>& names, std::size_t most = 6);

/// "occupied=0 clear=1 or occupied=1 clear=0".
std::string outcomes_text(const Finding& finding, std::size_t most = 4);

/// The message of a finding whose other fields are filled in.
std::string message_of(const Finding& finding, TimeUnit tick, bool given_delays);

}  // namespace settle
