// How the cells of a circuit are used, in sentences.
#pragma once

#include <string>
#include <vector>

#include "settle/explain.h"

namespace settle::report {

bool is_storage(const ExplainedCell& cell);

/// The outputs of a cell: "q and qn", "q7 to q0".
std::string output_names(const ExplainedCell& cell);

/// One for each storage cell, and for other loops beside such.
std::vector<std::string> usage_paragraphs(const Explanation& explanation);

/// Which outputs are driven when; empty: all are, always.
std::string three_state_words(const Explanation& explanation);

}  // namespace settle::report
