#include "cli/common.h"

#include <algorithm>
#include <clocale>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <langinfo.h>
#include <thread>

#include <fmt/format.h>

#include "cli/chosen_family.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/board.h"
#include "settle/family.h"
#include "settle/formats.h"
#include "settle/random_delays.h"
#include "text/visible_text.h"

namespace settle::cli {
namespace {

bool terminal_has_unicode() {
  std::setlocale(LC_CTYPE, "");
  const bool unicode = std::strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
  std::setlocale(LC_CTYPE, "C");
  return unicode;
}

}  // namespace

void add_netlist_options(CLI::App& command, CommonOptions& options) {
  command.add_option("NETLIST", options.netlist, "Netlist file (.gates, .v, .bench, .json); - reads the standard input")
      ->required();
  command.add_option("--cell", options.cell, "Cell to work on; default: the only one that no other cell uses");
  command.add_option("--read-as", options.from, "Form of the netlist: gates|ieee1364|iscas|json; default: by the file's name")
      ->check(CLI::IsMember({"gates", "ieee1364", "iscas", "json"}));
  add_flip_flops_option(command, options);
  add_parts_option(command, options);
}

void add_flip_flops_option(CLI::App& command, CommonOptions& options) {
  command.add_option("--flip-flops", options.flip_flops,
                     "What stands for the flip-flops of an ISCAS text: six-nand|master-slave|pins")
      ->check(CLI::IsMember({"six-nand", "master-slave", "pins"}))
      ->capture_default_str();
}

void add_input_options(CLI::App& command, CommonOptions& options, const std::string& formats) {
  add_netlist_options(command, options);
  command.add_option("--format", options.format, "Form of the result: " + formats)
      ->check(CLI::IsMember(CLI::detail::split(formats, '|')))
      ->capture_default_str();
  command.add_option("-o,--output", options.output, "Write the result to this file, whole or not at all");
  command.add_flag("--quiet", options.quiet, "Print only what is wrong");
  add_progress_option(command, options);
  add_reading_limits(command, options);
}

void add_parts_option(CLI::App& command, CommonOptions& options) {
  command.add_option("--parts", options.parts, "File of parts of your own (docs/wire.md); may be given several times")
      ->allow_extra_args(false);
}

std::optional<Catalogue> read_catalogue(const CommonOptions& options, Sources& sources, int& status) {
  Catalogue catalogue = built_in_catalogue();
  DiskReader files(options.limit_file << 20);
  Diagnostics diagnostics(options.limit_errors);
  for (const std::string& path : options.parts) read_parts(path, files, sources, diagnostics, catalogue);
  print_diagnostics(diagnostics, sources, options.quiet);
  if (!diagnostics.has_errors()) return catalogue;
  status = status_of_errors(diagnostics);
  return std::nullopt;
}

void add_delay_options(CLI::App& command, CommonOptions& options, const std::string& choices) {
  auto words = CLI::detail::split(choices, '|');
  words.emplace_back("typ");
  options.delays_option = command.add_option("--delays", options.delays,
                                             "Which delays of the gates: " + choices + "; unit: one tick a gate, whatever the netlist says")
                              ->check(CLI::IsMember(words))
                              ->capture_default_str();
  command.add_option("--family", options.family, "Gates without a delay get those of this logic family: LS|HC|HCT|AC|4000B; a part that a gate names comes first");
  command.add_option("--families", options.families, "File with figures of more logic families (docs/families.md)")->allow_extra_args(false);
}

DelayChoice delay_choice(const CommonOptions& options) {
  if (options.delays == "unit") return DelayChoice::unit;
  if (options.delays == "min") return DelayChoice::min;
  return options.delays == "max" ? DelayChoice::max : DelayChoice::typ;
}

void add_progress_option(CLI::App& command, CommonOptions& options) {
  command.add_option("--progress", options.progress, "auto|always|never: how far long work is, on the standard error; auto: on a terminal")
      ->check(CLI::IsMember({"auto", "always", "never"}))
      ->capture_default_str();
}

void add_jobs_option(CLI::App& command, CommonOptions& options) {
  command.add_option("--jobs", options.jobs, "Threads; default: one a processor. The result is the same")
      ->check(CLI::Range(1u, 64u));
}

unsigned threads(const CommonOptions& options) {
  return options.jobs != 0 ? options.jobs : std::clamp(std::thread::hardware_concurrency(), 1u, 64u);
}

void add_reading_limits(CLI::App& command, CommonOptions& options) {
  add_limit(command, LimitKind::file, options.limit_file);
  add_limit(command, LimitKind::depth, options.limit_depth);
  add_limit(command, LimitKind::array, options.limit_array);
  add_limit(command, LimitKind::errors, options.limit_errors);
  add_limit(command, LimitKind::gates, options.limit_gates);
  add_limit(command, LimitKind::nets, options.limit_nets);
}

ElaborateOptions elaborate_options(const CommonOptions& options) {
  ElaborateOptions result;
  result.cell = options.cell;
  result.gate_limit = options.limit_gates;
  result.net_limit = options.limit_nets;
  result.parse.include_depth = options.limit_depth;
  result.parse.bus_width = options.limit_array;
  return result;
}

FlipFlopForm flip_flops(const CommonOptions& options) {
  return flip_flop_form_from(options.flip_flops).value_or(FlipFlopForm::six_nand);
}

void add_text_options(CLI::App& command, CommonOptions& options) {
  command.add_option("--width", options.width, "Columns of text; default: as wide as the terminal, else 80")
      ->check(CLI::Range(20, 1000));
  command.add_flag("--ascii", options.ascii, "Use only ASCII characters");
  command.add_option("--color", options.color, "auto|always|never; NO_COLOR turns auto off")
      ->check(CLI::IsMember({"auto", "always", "never"}))
      ->capture_default_str();
}

void add_analysis_limits(CLI::App& command, CommonOptions& options) {
  add_limit(command, LimitKind::states, options.limit_states);
  add_limit(command, LimitKind::memory, options.limit_memory);
}

void add_space_limits(CLI::App& command, SpaceLimits& limits) {
  add_limit(command, LimitKind::stable, limits.stable);
  add_limit(command, LimitKind::steps, limits.steps);
  add_limit(command, LimitKind::inputs, limits.inputs);
}

TextStyle text_style(const CommonOptions& options) {
  TextStyle style;
  const bool terminal = options.output.empty() && is_terminal_output();
  style.width = options.width != 0 ? options.width : terminal ? terminal_width() : 80;
  style.ascii = options.ascii || (terminal && !terminal_has_unicode());
  const char* no_color = std::getenv("NO_COLOR");
  const bool wanted = terminal && (no_color == nullptr || *no_color == '\0');
  style.color = options.color == "always" || (options.color == "auto" && wanted);
  style.quiet = options.quiet;
  return style;
}

AnyDelayLimits any_delay_limits(const CommonOptions& options) {
  return {options.limit_states, options.limit_memory << 20};
}

void print_diagnostics(const Diagnostics& diagnostics, const Sources& sources, bool quiet) {
  if (diagnostics.all().empty() || (quiet && !diagnostics.has_errors())) return;
  print_message(render(diagnostics, sources));
}

int status_of_errors(const Diagnostics& diagnostics) {
  return diagnostics.only_limits() ? exit_incomplete : exit_bad_input;
}

bool choose_family(const CommonOptions& options, Sources& sources, ChosenFamily& chosen) {
  const bool asked = options.part_delays || (options.delays_option != nullptr && options.delays_option->count() > 0);
  if (options.delays == "unit" || (options.family.empty() && options.families.empty() && !asked)) return true;
  chosen.library = FamilyLibrary::shipped();
  Diagnostics diagnostics(options.limit_errors);
  DiskReader files(options.limit_file << 20);
  for (const std::string& file : options.families) chosen.library.add(file, files, sources, diagnostics);
  const Family* family = chosen.library.find(options.family.empty() ? "HC" : options.family);
  if (family == nullptr && !diagnostics.has_errors()) {
    diagnostics.error({}, fmt::format("there is no logic family '{}'", options.family), "the families are " + chosen.library.names());
  }
  print_diagnostics(diagnostics, sources, options.quiet);
  if (diagnostics.has_errors()) return false;
  chosen.delays.emplace(chosen.library, *family, options.family.empty());
  return true;
}

namespace {

// The file among the texts read that a result would replace; empty: none.
std::string input_at(const std::string& output, const Sources& sources) {
  std::error_code error;
  if (output.empty() || !std::filesystem::is_regular_file(output, error)) return {};
  for (std::uint32_t file = 0; file < sources.count(); ++file) {
    if (std::filesystem::equivalent(output, sources.path(file), error)) return sources.path(file);
  }
  return {};
}

}  // namespace

std::optional<Circuit> load(const CommonOptions& options, Sources& sources, int& status, TimeUnit stimulus_unit, Netlist* tree,
                            std::vector<Diagnostic>* warnings) {
  const EndsAtOnce guard("while the netlist was read");
  std::optional<Catalogue> catalogue;  // else only when there are chips
  if (!options.parts.empty() && !(catalogue = read_catalogue(options, sources, status))) return std::nullopt;
  DiskReader files(options.limit_file << 20);
  Diagnostics diagnostics(options.limit_errors);
  ElaborateOptions reading = elaborate_options(options);
  reading.stimulus_unit = stimulus_unit;
  ChosenFamily chosen;
  if (!choose_family(options, sources, chosen)) {
    status = exit_bad_input;
    return std::nullopt;
  }
  if (chosen.delays) reading.delay_source = &*chosen.delays;
  ReadOptions read_options;
  read_options.format = netlist_format_from(options.from);
  read_options.flip_flops = flip_flops(options);
  read_options.place_chips = [&catalogue](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, catalogue ? *catalogue : built_in_catalogue(), messages);
  };
  std::optional<Circuit> circuit;
  {
    ProgressLine line(options.progress, options.quiet);
    reading.progress = line.progress();
    circuit = load_any_circuit(options.netlist, files, read_options, reading, sources, diagnostics, tree);
  }
  if (const std::string input = input_at(options.output, sources); !input.empty()) {
    print_message(fmt::format("settle: error: -o {} would replace '{}', which was read\n  hint: write to another file\n",
                              visible_text(options.output), visible_text(input)));
    status = exit_bad_input;
    return std::nullopt;
  }
  if (circuit && warnings != nullptr) {
    *warnings = diagnostics.all();
  } else {
    print_diagnostics(diagnostics, sources, options.quiet);
  }
  if (!circuit) {
    status = status_of_errors(diagnostics);
  } else if (options.delays == "random" && !draw_delays(*circuit, options.delay_seed, *circuit)) {
    print_message("settle: error: too many gates for random delays: at most 65535 may differ\n");
    status = exit_incomplete;
    return std::nullopt;
  }
  return circuit;
}

}  // namespace settle::cli
