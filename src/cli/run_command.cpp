// settle run: netlist and stimulus in, waveforms and verdicts out.
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/run.h"
#include "settle/sweep.h"
#include "settle/text_reader.h"

namespace settle::cli {
namespace {

struct RunCommand {
  CommonOptions common;
  std::string stimulus;
  std::string set;
  std::vector<std::string> nets;
  bool all_nets = false;
  std::size_t activity = 0;  ///< signals to list in place of the diagram; 0: the diagram
  Time from = 0;
  Time to = end_of_time;
  bool transport = false;
  std::optional<std::uint64_t> seed;
  Time limit_time = RunOptions().time_limit;
  std::uint64_t limit_changes = RunOptions().change_limit;
  std::uint64_t limit_events = RunOptions().event_limit;
  std::uint64_t limit_lanes = RunOptions().lane_limit;
};

constexpr const char* run_example = R"(
Example: a set/reset latch from two NOR gates is set, and then holds.

  settle run examples/block_memory.gates examples/block_memory.stim

Without a stimulus the circuit powers up unknown and settles with the inputs given:

  settle run examples/block_memory.gates --set enter=1,leave=0

Exit status: 0 nothing wrong; 1 an expectation failed or an unexpected warning came;
2 the call or an input file is wrong; 3 a limit stopped the run.)";

// The stimulus of a call without one: hold the inputs, settle.
std::string plain_stimulus(const std::string& set) {
  if (set.empty()) return "settle\n";
  std::string text = "set " + set + "\nsettle\n";
  std::replace(text.begin(), text.end(), ',', ' ');
  return text;
}

Stimulus read_stimulus(const RunCommand& command, Sources& sources, Diagnostics& diagnostics) {
  if (command.stimulus.empty()) {
    TextReader text(plain_stimulus(command.set));
    return parse_stimulus("--set", text, sources, diagnostics);
  }
  const EndsAtOnce guard("while the stimulus was read");
  DiskReader files(command.common.limit_file << 20);
  return parse_stimulus(command.stimulus, files, sources, diagnostics);
}

RunOptions run_options(const RunCommand& command) {
  RunOptions options;
  options.kernel.delays = delay_choice(command.common);
  options.kernel.transport = command.transport;
  options.record_all = command.all_nets;
  options.patterns = command.nets;
  options.time_limit = command.limit_time;
  options.change_limit = command.limit_changes;
  options.event_limit = command.limit_events;
  options.lane_limit = command.limit_lanes;
  options.any_delay = any_delay_limits(command.common);
  options.seed = command.seed;
  options.stop = &stop_flag();
  return options;
}

std::string report(const RunCommand& command, const RunResult& result, const Circuit& circuit,
                   const Sources& sources) {
  const WaveformView view{command.from, command.to, command.nets};
  const std::string& format = command.common.format;
  if (format == "json") return run_json(result, circuit, sources, view);
  if (format == "vcd") return run_vcd(result, circuit, view);
  if (format == "csv") return run_csv(result, circuit, view);
  const TextStyle style = text_style(command.common);
  if (command.activity == 0 || style.quiet) return run_text(result, circuit, sources, style, view);
  WaveformView rest = view;
  rest.diagram = false;
  return run_activity(result, command.activity, view) + "\n" + run_text(result, circuit, sources, style, rest);
}

// Other forms than text and JSON hold no findings: those go to the standard error.
void print_findings(const RunResult& result, const Circuit& circuit, const Sources& sources,
                    const RunCommand& command) {
  if (command.common.format == "text" || command.common.format == "json") return;
  if (result.passes() && result.complete) return;
  TextStyle style;
  style.quiet = true;
  print_message(run_text(result, circuit, sources, style));
}

/// False after a message.
bool shows_something(const RunCommand& command) {
  if (command.from > command.to) {
    print_message(fmt::format("settle: error: --from {} is later than --to {}\n", command.from, command.to));
    return false;
  }
  if (command.activity != 0 && command.common.format != "text") {
    print_message(fmt::format("settle: error: --activity is for --format text, not {}\n", command.common.format));
    return false;
  }
  return true;
}

int run_it(RunCommand& command) {
  if (!shows_something(command)) return exit_bad_input;
  Sources sources;
  Diagnostics diagnostics(command.common.limit_errors);
  if (command.common.netlist == "-" && command.stimulus == "-") {
    print_message("settle: error: the netlist and the stimulus cannot both be read from the standard input\n");
    return exit_bad_input;
  }
  const Stimulus stimulus = read_stimulus(command, sources, diagnostics);
  if (diagnostics.has_errors()) {
    // The netlist's errors are worth seeing in the same go.
    int ignored = exit_bad_input;
    const bool good_netlist = load(command.common, sources, ignored).has_value();
    print_diagnostics(diagnostics, sources, command.common.quiet);
    return good_netlist ? status_of_errors(diagnostics) : exit_bad_input;
  }
  if (command.common.cell.empty()) command.common.cell = stimulus.cell;
  int status = exit_bad_input;
  command.common.delay_seed = command.seed.value_or(1);
  const auto circuit = load(command.common, sources, status, stimulus.finest_unit);
  if (!circuit) return status;
  if (!command.common.family.empty()) note_bare_times(stimulus, circuit->time_unit(), diagnostics);
  const auto result = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    RunOptions options = run_options(command);
    options.progress = line.progress();
    return run(*circuit, stimulus, options, diagnostics);
  }();
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (!result) return exit_bad_input;
  if (command.from > result->waveform.end && !command.common.quiet) {
    print_message(fmt::format("settle: warning: the run ends at {}, before --from {}\n",
                              to_text(result->waveform.end, circuit->time_unit()), command.from));
  }
  if (!write_output(command.common.output, report(command, *result, *circuit, sources))) return exit_bad_input;
  print_findings(*result, *circuit, sources, command);
  if (!result->passes()) return exit_short;
  return result->complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_run_command(CLI::App& program, int& status) {
  auto command = std::make_shared<RunCommand>();
  CLI::App& app = *program.add_subcommand("run", "Simulate a stimulus: waveforms, warnings, expectations");
  app.footer(run_example);
  add_input_options(app, command->common, "text|json|vcd|csv");
  CLI::Option* stimulus =
      app.add_option("STIMULUS", command->stimulus, "Stimulus file (.stim); default: power up and settle");
  app.add_option("--set", command->set, "Inputs to hold when there is no stimulus, as in a=1,b=0")->excludes(stimulus);
  app.add_flag("--all-nets", command->all_nets, "Show every net, not only the pins");
  app.add_option("--nets", command->nets, "Show only nets whose flat name matches; * and ? stand for others")
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_option("--activity", command->activity, "In place of the diagram: totals and the N signals that change most")
      ->type_name("N")
      ->check(CLI::Range(std::size_t{1}, std::size_t{1000000}));
  app.add_option("--from", command->from, "First time to show, a number in the unit of the result");
  app.add_option("--to", command->to, "Last time to show");
  add_delay_options(app, command->common);
  app.add_flag("--transport", command->transport, "Let every pulse through a gate, however short");
  app.add_option("--seed", command->seed, "Replaces the seeds written in the stimulus; of random delays (default 1)");
  add_text_options(app, command->common);
  add_limit(app, LimitKind::time, command->limit_time);
  add_limit(app, LimitKind::changes, command->limit_changes);
  add_limit(app, LimitKind::events, command->limit_events);
  add_limit(app, LimitKind::lanes, command->limit_lanes);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
