// settle sweep: one stimulus, many circuits with delays drawn at random.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/sweep_report.h"

namespace settle::cli {
namespace {

struct SweepCommand {
  CommonOptions common;
  std::string stimulus;
  std::uint64_t samples = SweepOptions().samples;
  std::uint64_t seed = SweepOptions().first_seed;
  Time limit_time = RunOptions().time_limit;
  std::uint64_t limit_changes = RunOptions().change_limit;
  std::uint64_t limit_events = RunOptions().event_limit;
  std::uint64_t limit_lanes = RunOptions().lane_limit;
};

constexpr const char* sweep_example = R"(
Example: a thousand block memories from 74HC02 chips as they come.

  settle sweep examples/block_memory.gates examples/block_memory.stim --family HC

Exit status: 0 all samples pass; 1 some do not; 2 the call or an input file is wrong;
3 a limit stopped some samples.)";

int run_it(SweepCommand& command) {
  Sources sources;
  Diagnostics diagnostics(command.common.limit_errors);
  const Stimulus stimulus = [&] {
    const EndsAtOnce guard("while the stimulus was read");
    DiskReader files(command.common.limit_file << 20);
    return parse_stimulus(command.stimulus, files, sources, diagnostics);
  }();
  if (diagnostics.has_errors()) {
    print_diagnostics(diagnostics, sources, command.common.quiet);
    return status_of_errors(diagnostics);
  }
  if (command.common.cell.empty()) command.common.cell = stimulus.cell;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status, stimulus.finest_unit);
  if (!circuit) return status;
  note_bare_times(stimulus, circuit->time_unit(), diagnostics);
  SweepOptions options;
  options.samples = command.samples;
  options.first_seed = command.seed;
  options.jobs = threads(command.common);
  options.stop = &stop_flag();
  options.run.time_limit = command.limit_time;
  options.run.change_limit = command.limit_changes;
  options.run.event_limit = command.limit_events;
  options.run.lane_limit = command.limit_lanes;
  options.run.any_delay = any_delay_limits(command.common);
  const auto result = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return sweep(*circuit, stimulus, options, diagnostics);
  }();
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (!result) return exit_bad_input;
  const std::string text =
      command.common.format == "json" ? sweep_json(*result) : sweep_text(*result, text_style(command.common));
  if (!write_output(command.common.output, text)) return exit_bad_input;
  if (result->passed != result->judged()) return exit_short;
  return result->complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_sweep_command(CLI::App& program, int& status) {
  auto command = std::make_shared<SweepCommand>();
  CLI::App& app = *program.add_subcommand(
      "sweep", "Run a stimulus with delays drawn at random: yield, times, worst case");
  app.footer(sweep_example);
  add_input_options(app, command->common, "text|json");
  app.add_option("STIMULUS", command->stimulus,
                 "Stimulus file (.stim); what it expects decides whether a sample passes")
      ->required();
  command->common.part_delays = true;
  app.add_option("--family", command->common.family,
                 "Gates without a delay get those of this logic family: LS|HC|HCT|AC|4000B; a part that a "
                 "gate names comes first");
  app.add_option("--families", command->common.families,
                 "File with figures of more logic families (docs/families.md)")
      ->allow_extra_args(false);
  app.add_option("--samples", command->samples, "Circuits to try")
      ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{10'000'000}))
      ->capture_default_str();
  app.add_option("--seed", command->seed, "Seed of the first sample; each further one has the next")
      ->capture_default_str();
  add_jobs_option(app, command->common);
  add_text_options(app, command->common);
  add_limit(app, LimitKind::time, command->limit_time);
  add_limit(app, LimitKind::changes, command->limit_changes);
  add_limit(app, LimitKind::events, command->limit_events);
  add_limit(app, LimitKind::lanes, command->limit_lanes);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
