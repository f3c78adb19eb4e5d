// settle check: netlists and stimuli of whole folders judged in one go.
#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "cli/chosen_family.h"
#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/board.h"
#include "settle/check_report.h"

namespace settle::cli {
namespace {

struct CheckCommand {
  CommonOptions common;
  std::vector<std::string> paths;
  std::vector<std::string> fail_on, allow;
  std::string junit;
  std::string golden;
  bool update_golden = false;
  bool storage = false;
  bool details = false;
  bool warnings = false;
  bool list_kinds = false;
  std::uint32_t fan_out = CheckOptions().fan_out;
  bool states_given = false;
  Time limit_time = RunOptions().time_limit;
  std::uint64_t limit_changes = RunOptions().change_limit;
  std::uint64_t limit_events = RunOptions().event_limit;
  std::uint64_t limit_lanes = RunOptions().lane_limit;
};

constexpr const char* check_example = R"(
Example: judge all cells of a folder, and what their 'require' lines demand:

  settle check --storage examples

With gates of the HC family, so that limits such as 'require delay d -> q <= 60ns' can be judged:

  settle check --storage --family HC examples

Exit status: 0 all passed; 1 something failed; 2 a file or the call is wrong; 3 a limit stopped some
work and nothing was wrong up to then. The smallest of 2, 1, 3, 0 in this order that applies.)";

std::string report(const CheckCommand& command, const CheckResult& result) {
  if (command.common.format == "json") return check_json(result);
  if (command.common.format == "junit") return check_junit(result);
  const CheckShown shown = command.details    ? CheckShown::all
                           : command.warnings ? CheckShown::warnings
                                              : CheckShown::failures;
  return check_text(result, text_style(command.common), shown);
}

bool store_waveforms(const CheckResult& result) {
  for (const CheckedFile& file : result.files) {
    if (!file.waveform_update) continue;
    const auto folder = std::filesystem::path(file.waveform_path).parent_path();
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error) {
      print_message(
          fmt::format("settle: error: cannot make folder '{}': {}\n", folder.string(), error.message()));
      return false;
    }
    if (!write_output(file.waveform_path, *file.waveform_update)) return false;
  }
  return true;
}

int status_of(const CheckResult& result) {
  if (result.count(CheckVerdict::error) > 0) return exit_bad_input;
  if (result.count(CheckVerdict::fail) > 0) return exit_short;
  return result.count(CheckVerdict::incomplete) > 0 || result.interrupted ? exit_incomplete : exit_good;
}

CheckOptions check_options(const CheckCommand& command) {
  CheckOptions options;
  options.storage = command.storage;
  options.golden = command.golden;
  options.fan_out = command.fan_out;
  options.update_golden = command.update_golden;
  options.elaborate = elaborate_options(command.common);
  options.flip_flops = flip_flops(command.common);
  options.error_limit = command.common.limit_errors;
  options.run.time_limit = command.limit_time;
  options.run.change_limit = command.limit_changes;
  options.run.event_limit = command.limit_events;
  options.run.lane_limit = command.limit_lanes;
  options.run.any_delay = any_delay_limits(command.common);
  options.requirement.any_delay.memory_bytes = options.run.any_delay.memory_bytes;
  options.run.kernel.delays = delay_choice(command.common);
  // What is demanded must hold for the slowest gates, unless others are asked for.
  if (command.common.delays_option->count() > 0) options.requirement.delays = delay_choice(command.common);
  if (command.states_given) options.requirement.any_delay.states = command.common.limit_states;
  options.jobs = threads(command.common);
  options.stop = &stop_flag();
  return options;
}

CheckResult check_all(const CheckCommand& command, CheckOptions& options, const std::vector<CheckInput>& inputs) {
  ProgressLine line(command.common.progress, command.common.quiet);
  options.progress = line.progress();
  DiskReader files(command.common.limit_file << 20);
  return check(inputs, files, options);
}

int run_it(const CheckCommand& command) {
  if (command.list_kinds) return write_output(command.common.output, check_kinds_text()) ? exit_good : exit_bad_input;
  Diagnostics diagnostics;
  CheckOptions options = check_options(command);
  options.policy = CheckPolicy::parse(command.fail_on, command.allow, diagnostics);
  if (command.paths.empty()) diagnostics.error({}, "no file or folder is given", "'settle check .' checks this folder");
  if (command.update_golden && command.golden.empty()) {
    diagnostics.error({}, "--update-golden needs the folder of the waveforms", "as in --golden waveforms --update-golden");
  }
  const auto inputs = command.paths.empty() ? std::vector<CheckInput>() : find_check_files(command.paths, diagnostics);
  print_diagnostics(diagnostics, Sources(), false);
  if (diagnostics.has_errors()) return exit_bad_input;
  Sources part_sources;
  int status = exit_bad_input;
  const auto catalogue = read_catalogue(command.common, part_sources, status);
  if (!catalogue) return status;
  ChosenFamily family;
  if (!choose_family(command.common, part_sources, family)) return exit_bad_input;
  if (family.delays) options.elaborate.delay_source = &*family.delays;
  options.place_chips = [&catalogue](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, *catalogue, messages);
  };
  const CheckResult result = check_all(command, options, inputs);
  if (!write_output(command.common.output, report(command, result))) return exit_bad_input;
  if (!command.junit.empty() && !write_output(command.junit, check_junit(result))) return exit_bad_input;
  if (!store_waveforms(result)) return exit_bad_input;
  return status_of(result);
}

}  // namespace

void add_check_command(CLI::App& program, int& status) {
  auto command = std::make_shared<CheckCommand>();
  CLI::App& app = *program.add_subcommand("check", "Judge netlists and stimuli of whole folders, as for CI");
  app.footer(check_example);
  app.add_option("PATH", command->paths,
                 "Netlists (.gates, .v, .bench, .json), stimuli (.stim), or folders that are searched for them");
  app.add_flag("--storage", command->storage, "Judge the 'require' lines of the netlists as well");
  app.add_option("--fail-on", command->fail_on,
                 "Kinds of findings that make a file fail; 'warnings', 'notes': all")
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_option("--allow", command->allow, "Kinds of findings that are neither counted nor shown")
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_flag("--list-kinds", command->list_kinds, "Show the kinds of findings, and do nothing else");
  app.add_option("--fan-out", command->fan_out, "Gate inputs on one net, above which lint tells it")
      ->check(CLI::Range(1u, 1'000'000u))
      ->capture_default_str();
  add_flip_flops_option(app, command->common);
  add_parts_option(app, command->common);
  add_delay_options(app, command->common, "min|typical|max|unit");
  app.add_option("--golden", command->golden, "Compare waveforms with those stored in this folder");
  app.add_flag("--update-golden", command->update_golden, "Store the waveforms that changed instead");
  app.add_option("--junit", command->junit, "Write a report in JUnit-style XML to this file as well");
  app.add_option("--format", command->common.format, "Form of the result: text|json|junit")
      ->check(CLI::IsMember({"text", "json", "junit"}))
      ->capture_default_str();
  app.add_option("-o,--output", command->common.output, "Write the result to this file, whole or not at all");
  app.add_flag("--quiet", command->common.quiet, "Show only files that do not pass");
  app.add_flag("--warnings", command->warnings, "Show each warning in full, also of files that pass");
  app.add_flag("--details", command->details, "Show the warnings and notes of files that pass, too");
  app.add_option("--color", command->common.color, "auto|always|never; NO_COLOR turns auto off")
      ->check(CLI::IsMember({"auto", "always", "never"}))
      ->capture_default_str();
  add_jobs_option(app, command->common);
  add_progress_option(app, command->common);
  add_limit(app, LimitKind::time, command->limit_time);
  add_limit(app, LimitKind::changes, command->limit_changes);
  add_limit(app, LimitKind::events, command->limit_events);
  add_limit(app, LimitKind::lanes, command->limit_lanes);
  add_analysis_limits(app, command->common);
  add_reading_limits(app, command->common);
  app.callback([command, &app, &status] {
    command->states_given = app.count("--limit-states") > 0;
    status = run_it(*command);
  });
}

}  // namespace settle::cli
