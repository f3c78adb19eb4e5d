// Margins -> texts.
#pragma once

#include <string>

#include "settle/margin.h"
#include "settle/report.h"

namespace settle {

/// The least tolerance of all steps, then the steps with their races and what lies just beyond. Long lists
/// are cut unless `all`.
std::string margin_text(const MarginStudy& study, const Circuit& circuit, const TextStyle& style,
                        bool all = false);

/// Document margin/1.
std::string margin_json(const MarginStudy& study, const Circuit& circuit);

}  // namespace settle
