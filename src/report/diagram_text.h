// The timing diagram in characters: ruler, marks, traces, key.
#pragma once

#include <string>
#include <vector>

#include "report/signal_view.h"

namespace settle::report {

/// A letter or number at a time, which refers to the list below the diagram.
struct Mark {
  Time time = 0;
  std::string label;
  bool failure = false;  ///< a failed expectation; else a finding
};

/// Every line fits style.width (at least 40). Empty when the selection is.
std::string diagram_text(const Selection& selection, const std::vector<Mark>& marks, const TextStyle& style);

}  // namespace settle::report
