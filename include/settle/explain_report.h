// Explanations -> texts.
#pragma once

#include <string>

#include "settle/explain.h"
#include "settle/report.h"

namespace settle {

/// A page in words: what it is, how to use it, power-up, cautions, how sure all this is.
std::string explain_text(const Explanation& explanation, const TextStyle& style);

/// Document explain/1.
std::string explain_json(const Explanation& explanation);

}  // namespace settle
