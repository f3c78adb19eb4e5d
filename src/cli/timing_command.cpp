// settle timing: delays through a circuit, and what its inputs must observe.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/timing_report.h"

namespace settle::cli {
namespace {

struct TimingCommand {
  CommonOptions common;
  std::uint64_t limit_stable = TimingOptions().stable_limit;
  std::uint64_t limit_steps = TimingOptions().run_limit;
  std::uint32_t limit_inputs = TimingOptions().input_limit;
};

constexpr const char* timing_example = R"(
Example: how long must the lever stand still before and after the latch closes?

  settle timing examples/lever_latch.gates

The same in nanoseconds, with gates of the HC family at their slowest:

  settle timing examples/lever_latch.gates --family HC --delays max

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong; 3 a limit stopped the work, and
what was found up to then is reported.)";

int run_it(const TimingCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  TimingOptions options;
  options.delays = delay_choice(command.common);
  options.any_delay = any_delay_limits(command.common);
  options.stable_limit = command.limit_stable;
  options.run_limit = command.limit_steps;
  options.input_limit = command.limit_inputs;
  options.jobs = threads(command.common);
  options.stop = &stop_flag();
  const Timing timing = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return measure_timing(*circuit, options);
  }();
  const std::string text =
      command.common.format == "json" ? timing_json(timing) : timing_text(timing, text_style(command.common));
  if (!write_output(command.common.output, text)) return exit_bad_input;
  return timing.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_timing_command(CLI::App& program, int& status) {
  auto command = std::make_shared<TimingCommand>();
  command->common.limit_states = TimingOptions().any_delay.states;
  CLI::App& app = *program.add_subcommand("timing", "Propagation, pulse widths, setup and hold, proved by simulation");
  app.footer(timing_example);
  add_input_options(app, command->common, "text|json");
  add_text_options(app, command->common);
  add_delay_options(app, command->common, "min|typical|max|unit");
  add_jobs_option(app, command->common);
  add_limit(app, LimitKind::stable, command->limit_stable);
  add_limit(app, LimitKind::steps, command->limit_steps);
  add_limit(app, LimitKind::inputs, command->limit_inputs);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
