// `settle compare` in its forms.
#pragma once

#include <string>

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

/// Document compare/1.
std::string compare_json(const Comparison& comparison, const Circuit& a, const Circuit& b, const ComparedNames& names);

}  // namespace settle
