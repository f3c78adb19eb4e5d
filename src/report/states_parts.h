// The parts of the text form of `settle states`.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/states.h"

namespace settle::report {

/// Everything a part needs to know.
struct StatesPage {
  const StatesStudy& study;
  const Circuit& circuit;
  const TextStyle& style;
  bool all = false;
  std::size_t width = 80;

  const StateSpace& space() const { return study.space; }
};

/// Flow table row of each stable state, or nothing where no flow table is shown (a table of one column tells nothing).
std::vector<std::uint32_t> rows_of_states(const StateSpace& space);

std::string stable_table(const StatesPage& page);
std::string flow_table(const StatesPage& page);
std::string unsettled_steps(const StatesPage& page);

/// A paragraph: `head` in bold, then the text, wrapped and indented.
std::string paragraph(const StatesPage& page, std::string_view head, std::string_view text);
/// "1 state", "2 states".
std::string counted(std::uint64_t count, std::string_view thing);

}  // namespace settle::report
