// How margins and races are said.
#pragma once

#include <span>
#include <string>

#include "settle/margin.h"

namespace settle::report {

/// "50 % (1/2)", "33.33 % (1/3)", "41.27 %".
std::string spread_text(double spread, const StepMargin& margin);

/// "invert must be faster than m_set, m_a and s_set together (1 against 3)".
std::string race_text(const MarginRace& race, const Circuit& circuit);

/// The name of a MarginKind in documents.
const char* margin_kind_name(MarginKind kind);

}  // namespace settle::report
