// Options and steps that several commands share.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "settle/catalogue.h"
#include "settle/circuit.h"
#include "settle/elaborate.h"
#include "settle/formats.h"
#include "settle/kernel.h"
#include "settle/limits.h"
#include "settle/report.h"
#include "settle/step_analysis.h"

namespace settle::cli {

struct CommonOptions {
  std::string netlist;
  std::string cell;
  std::string from;                     ///< form of the netlist; empty: by its name
  std::string flip_flops = "six-nand";  ///< what stands for the flip-flops of an ISCAS text
  std::vector<std::string> parts;       ///< files of parts beside the catalogue
  std::string delays = "typical";       ///< which delays of the gates
  const CLI::Option* delays_option = nullptr;
  bool part_delays = false;             ///< delays of the parts that gates name, without being asked
  std::string family;                   ///< of gates that name no part; empty: HC, and only when parts are named
  std::vector<std::string> families;    ///< files of families beside those that are shipped
  std::uint64_t delay_seed = 1;         ///< of random delays
  std::string format = "text";
  std::string output;
  std::string color = "auto";
  bool ascii = false;
  bool quiet = false;
  unsigned width = 0;
  std::string progress = "auto";
  unsigned jobs = 0;                    ///< 0: one a processor
  std::uint64_t limit_file = default_limit(LimitKind::file);
  std::uint64_t limit_depth = default_limit(LimitKind::depth);
  std::uint64_t limit_array = default_limit(LimitKind::array);
  std::uint64_t limit_errors = default_limit(LimitKind::errors);
  std::uint64_t limit_gates = default_limit(LimitKind::gates);
  std::uint64_t limit_nets = default_limit(LimitKind::nets);
  std::uint64_t limit_states = default_limit(LimitKind::states);
  std::uint64_t limit_memory = default_limit(LimitKind::memory);
};

/// The option of a limit, with help text and range from the table. `value` holds the default, which may
/// differ from the table's.
template <class Number>
CLI::Option* add_limit(CLI::App& command, LimitKind kind, Number& value) {
  const LimitInfo& info = info_of(kind);
  return command.add_option(std::string(info.option), value, std::string(info.meaning))
      ->check(CLI::Range(info.least, info.most))
      ->capture_default_str()
      ->group("Limits");
}

/// Limits on the study of a state space, with the defaults of the analysis that takes them.
struct SpaceLimits {
  std::uint64_t stable = 0;  ///< stable states listed
  std::uint64_t steps = 0;   ///< steps judged
  std::uint32_t inputs = 0;  ///< free input bits that are tried in all ways

  /// `Options` has stable_limit, transition_limit and input_limit.
  template <class Options>
  static SpaceLimits of(const Options& options) {
    return {options.stable_limit, options.transition_limit, options.input_limit};
  }
  template <class Options>
  void set(Options& options) const {
    options.stable_limit = stable;
    options.transition_limit = steps;
    options.input_limit = inputs;
  }
};

/// NETLIST, --cell, --read-as, --flip-flops, --parts.
void add_netlist_options(CLI::App& command, CommonOptions& options);
/// --flip-flops.
void add_flip_flops_option(CLI::App& command, CommonOptions& options);
FlipFlopForm flip_flops(const CommonOptions& options);
/// --parts.
void add_parts_option(CLI::App& command, CommonOptions& options);
/// The catalogue and the files of --parts; nothing after an error, which is told and leaves its exit status in
/// `status`.
std::optional<Catalogue> read_catalogue(const CommonOptions& options, Sources& sources, int& status);
/// NETLIST, --cell, --read-as, --flip-flops, --parts, --format (one of `formats`, comma-separated), -o, --quiet.
void add_input_options(CLI::App& command, CommonOptions& options, const std::string& formats);
/// --delays, --family, --families. `choices` are words of --delays, with | between.
void add_delay_options(CLI::App& command, CommonOptions& options, const std::string& choices = "min|typical|max|random|unit");
/// Which delays of the circuit that load() gives: random ones have been drawn by then.
DelayChoice delay_choice(const CommonOptions& options);
/// --progress.
void add_progress_option(CLI::App& command, CommonOptions& options);
/// --jobs.
void add_jobs_option(CLI::App& command, CommonOptions& options);
unsigned threads(const CommonOptions& options);
/// Limits on what is read: --limit-file, --limit-depth, --limit-array, --limit-errors, --limit-gates,
/// --limit-nets.
void add_reading_limits(CLI::App& command, CommonOptions& options);
/// The same as the library takes them.
ElaborateOptions elaborate_options(const CommonOptions& options);
/// --width, --ascii, --color.
void add_text_options(CLI::App& command, CommonOptions& options);
/// --limit-states, --limit-memory.
void add_analysis_limits(CLI::App& command, CommonOptions& options);
/// --limit-stable, --limit-steps, --limit-inputs.
void add_space_limits(CLI::App& command, SpaceLimits& limits);

TextStyle text_style(const CommonOptions& options);
AnyDelayLimits any_delay_limits(const CommonOptions& options);

/// Prints what was collected; warnings are left out when `quiet`.
void print_diagnostics(const Diagnostics& diagnostics, const Sources& sources, bool quiet);

/// exit_incomplete when limits were all that was wrong, else exit_bad_input.
int status_of_errors(const Diagnostics& diagnostics);

/// The circuit of the options, its messages printed; nothing after an error, which leaves its exit status in
/// `status`. `tree`, when given, receives what was read; `warnings`, when given, receives what would be printed
/// of a circuit without errors.
std::optional<Circuit> load(const CommonOptions& options, Sources& sources, int& status, TimeUnit stimulus_unit = TimeUnit::none,
                            Netlist* tree = nullptr, std::vector<Diagnostic>* warnings = nullptr);

}  // namespace settle::cli
