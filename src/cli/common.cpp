#include "cli/common.h"

#include <clocale>
#include <cstdlib>
#include <cstring>
#include <langinfo.h>

#include "cli/output.h"

namespace settle::cli {
namespace {

bool terminal_has_unicode() {
  std::setlocale(LC_CTYPE, "");
  const bool unicode = std::strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
  std::setlocale(LC_CTYPE, "C");
  return unicode;
}

}  // namespace

void add_input_options(CLI::App& command, CommonOptions& options, const std::string& formats) {
  command.add_option("NETLIST", options.netlist, "Netlist file (.gates); - reads the standard input")->required();
  command.add_option("--cell", options.cell, "Cell to work on; default: the only one that no other cell uses");
  command.add_option("--format", options.format, "Form of the result: " + formats)
      ->check(CLI::IsMember(CLI::detail::split(formats, '|')))
      ->capture_default_str();
  command.add_option("-o,--output", options.output, "Write the result to this file, whole or not at all");
  command.add_flag("--quiet", options.quiet, "Print only what is wrong");
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
  command.add_option("--limit-states", options.limit_states, "States that one analysis may visit")
      ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{1} << 40))
      ->capture_default_str();
  command.add_option("--limit-memory", options.limit_memory, "Memory that one analysis may take, in MiB")
      ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{1} << 20))
      ->capture_default_str();
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

std::optional<Circuit> load(const CommonOptions& options, Sources& sources, TimeUnit stimulus_unit) {
  DiskReader files;
  Diagnostics diagnostics;
  ElaborateOptions elaborate_options;
  elaborate_options.cell = options.cell;
  elaborate_options.stimulus_unit = stimulus_unit;
  auto circuit = load_circuit(options.netlist, files, elaborate_options, sources, diagnostics);
  print_diagnostics(diagnostics, sources, options.quiet);
  return circuit;
}

}  // namespace settle::cli
