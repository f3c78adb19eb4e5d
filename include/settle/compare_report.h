// `settle compare` in its forms.
#pragma once

#include <string>

#include "settle/board_difference.h"
#include "settle/compare.h"
#include "settle/report.h"

namespace settle {

/// Names of the two circuits as the user gave them, for the sentences.
struct ComparedNames {
  std::string first, second;
};

/// The answer in a sentence, how it was proved, or the steps that tell the two apart.
std::string compare_text(const Comparison& comparison, const Circuit& a, const Circuit& b, const ComparedNames& names,
                         const TextStyle& style);

/// The pins of a board that are not as the cell has them, one a line; empty when there are none.
std::string board_difference_text(const BoardDifference& difference);

/// Document compare/1. `wiring`: of the two when one is a board and their gates are not the same.
std::string compare_json(const Comparison& comparison, const Circuit& a, const Circuit& b, const ComparedNames& names,
                         const BoardDifference* wiring = nullptr);

}  // namespace settle
