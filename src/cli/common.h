// Options and steps that several commands share.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "settle/circuit.h"
#include "settle/elaborate.h"
#include "settle/report.h"
#include "settle/step_analysis.h"

namespace settle::cli {

struct CommonOptions {
  std::string netlist;
  std::string cell;
  std::string format = "text";
  std::string output;
  std::string color = "auto";
  bool ascii = false;
  bool quiet = false;
  unsigned width = 0;
  std::uint64_t limit_states = 4'000'000;
  std::uint64_t limit_memory = 1024;
};

/// NETLIST, --cell, --format (one of `formats`, comma-separated), -o, --quiet.
void add_input_options(CLI::App& command, CommonOptions& options, const std::string& formats);
/// --width, --ascii, --color.
void add_text_options(CLI::App& command, CommonOptions& options);
/// --limit-states, --limit-memory.
void add_analysis_limits(CLI::App& command, CommonOptions& options);

TextStyle text_style(const CommonOptions& options);
AnyDelayLimits any_delay_limits(const CommonOptions& options);

/// Prints what was collected; warnings are left out when `quiet`.
void print_diagnostics(const Diagnostics& diagnostics, const Sources& sources, bool quiet);

/// The circuit of the options, its messages printed; nothing after an error.
std::optional<Circuit> load(const CommonOptions& options, Sources& sources, TimeUnit stimulus_unit = TimeUnit::none);

}  // namespace settle::cli
