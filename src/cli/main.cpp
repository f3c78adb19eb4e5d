// settle: the program. Options and calls, nothing else.
#include <CLI/CLI.hpp>
#include <cstdlib>
#include <exception>
#include <new>
#include <string>
#include <string_view>
#include <vector>

#if defined(__GLIBC__)
#include <malloc.h>
#endif

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "settle/diagnostic.h"
#include "settle/report.h"

namespace {

using namespace settle;

// CLI11 reports wrong calls by exception; its sentences are kept, the form is ours.
int wrong_call(const CLI::App& program, const CLI::ParseError& error) {
  const auto chosen = program.get_subcommands();
  const std::string command = chosen.empty() ? "settle" : "settle " + chosen.front()->get_name();
  cli::print_message(fmt::format("settle: error: {}\n  hint: '{} --help' shows what can be said\n", error.what(), command));
  return cli::exit_bad_input;
}

bool has_command(const CLI::App& program, std::string_view word) {
  return !program.get_subcommands([word](const CLI::App* command) { return command->get_name() == word; }).empty();
}

// No command, or none of ours: CLI11 would only say that one is missing.
int bad_command(const CLI::App& program, std::string_view word) {
  std::vector<std::string> names;
  for (const CLI::App* command : program.get_subcommands([](const CLI::App*) { return true; })) {
    names.push_back(command->get_name());
  }
  const std::vector<std::string_view> views(names.begin(), names.end());
  const std::string_view near = nearest_name(word, views);
  const std::string hint = near.empty() ? fmt::format("the commands are {}", fmt::join(names, ", "))
                                        : fmt::format("did you mean '{}'?", near);
  cli::print_message(fmt::format("settle: error: {}\n  hint: {}\n",
                                 word.empty() ? "no command is given" : fmt::format("unknown command '{}'", word), hint));
  return cli::exit_bad_input;
}

// Large arrays lie outside the heap and go back to the system when they are freed: a netlist of a million
// gates needs its most memory while some of them make room for others.
void give_large_memory_back() {
#if defined(__GLIBC__)
  constexpr int large = 1 << 20;
  mallopt(M_MMAP_THRESHOLD, large);
  mallopt(M_TRIM_THRESHOLD, 16 * large);
#endif
}

int run_program(int argc, char** argv) {
  CLI::App program("Simulates and judges storage circuits built from logic gates.", "settle");
  program.set_version_flag("--version", "settle " + std::string(version()));
  program.set_help_flag("-h,--help", "Show this text");
  program.footer("\n'settle COMMAND --help' shows the options of a command with an example.\n"
                 "A logic simulation is no safety case: where people can be hurt, follow local codes.");
  program.require_subcommand(1);
  program.get_formatter()->column_width(28);
  program.get_formatter()->label("SUBCOMMAND", "COMMAND");
  program.get_formatter()->label("Subcommands", "Commands");
  program.get_formatter()->label("REQUIRED", "");
  int status = cli::exit_good;
  cli::add_run_command(program, status);
  cli::add_table_command(program, status);
  cli::add_states_command(program, status);
  cli::add_explain_command(program, status);
  cli::add_draw_command(program, status);
  cli::add_timing_command(program, status);
  cli::add_margin_command(program, status);
  cli::add_sweep_command(program, status);
  cli::add_resolve_command(program, status);
  cli::add_compare_command(program, status);
  cli::add_convert_command(program, status);
  cli::add_wire_command(program, status);
  cli::add_report_command(program, status);
  cli::add_check_command(program, status);
  cli::add_try_command(program, status);
  cli::add_help_command(program, status);
  cli::add_completion_command(program, status);
  cli::add_diagnose_command(program, status);
  if (argc < 2) return bad_command(program, "");
  if (argv[1][0] != '-' && !has_command(program, argv[1])) return bad_command(program, argv[1]);
  try {
    program.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    const auto chosen = program.get_subcommands();
    const CLI::App& asked = chosen.empty() ? program : *chosen.front();
    return cli::write_output("", asked.help(chosen.empty() ? "" : "settle")) ? cli::exit_good : cli::exit_bad_input;
  } catch (const CLI::CallForVersion& text) {
    return cli::write_output("", std::string(text.what()) + "\n") ? cli::exit_good : cli::exit_bad_input;
  } catch (const CLI::ParseError& error) {
    return wrong_call(program, error);
  }
  return cli::status_after_signal(status);
}

}  // namespace

int main(int argc, char** argv) {
  cli::catch_signals();
  give_large_memory_back();
  try {
    return run_program(argc, argv);
  } catch (const std::bad_alloc&) {
    cli::print_message("settle: error: out of memory; a smaller circuit or lower limits need less\n");
    return cli::exit_incomplete;
  } catch (const std::exception& error) {
    cli::print_message(fmt::format("settle: error in settle itself, please report it: {}\n", error.what()));
    return cli::exit_incomplete;
  }
}
