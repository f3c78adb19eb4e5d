// settle margin: how far gate delays may stray before a step ends elsewhere.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "cli/replay_output.h"
#include "cli/set_option.h"
#include "settle/margin_report.h"

namespace settle::cli {
namespace {

struct MarginCommand {
  CommonOptions common;
  std::string set, witness;
  bool together = false, edges_apart = false, all = false;
  std::uint64_t limit_stable = StateSpaceOptions().stable_limit;
  std::uint64_t limit_steps = StateSpaceOptions().transition_limit;
  std::uint32_t limit_inputs = StateSpaceOptions().input_limit;
};

constexpr const char* margin_example = R"(
Example: how unequal may the gates of the bell divider be, and which race does it lose first?

  settle margin examples/bell_divider.gates

Delays just beyond the margin, as a netlist and a stimulus that shows what goes wrong:

  settle margin examples/bell_divider.gates --witness beyond
  settle run beyond.gates beyond-1.stim

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong; 3 a limit stopped the work, and what was
proved up to then is reported.)";

MarginOptions margin_options(const MarginCommand& command, std::vector<Value> held) {
  MarginOptions options;
  options.space.held = std::move(held);
  options.space.any_delay = any_delay_limits(command.common);
  options.space.stable_limit = command.limit_stable;
  options.space.transition_limit = command.limit_steps;
  options.space.input_limit = command.limit_inputs;
  options.space.single_changes_only = !command.together;
  options.space.jobs = threads(command.common);
  options.space.stop = &stop_flag();
  options.order_limit = command.common.limit_states;
  options.separate_edges = command.edges_apart;
  options.delays = delay_choice(command.common);
  return options;
}

bool write_margin_replay(const MarginCommand& command, const MarginStudy& study, const Circuit& circuit) {
  return write_replay_files(replay_files(circuit, study.space, margin_witnesses(study), command.witness), command.common.quiet,
                            "no step has a margin that delays of gates can replay");
}

int run_margin(const MarginCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  std::vector<Value> held;
  if (!held_inputs(command.set, *circuit, held)) return exit_bad_input;
  const MarginStudy study = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    MarginOptions options = margin_options(command, std::move(held));
    options.space.progress = line.progress();
    return study_margins(*circuit, options);
  }();
  const std::string text = command.common.format == "json"
                               ? margin_json(study, *circuit)
                               : margin_text(study, *circuit, text_style(command.common), command.all);
  if (!write_output(command.common.output, text)) return exit_bad_input;
  if (!command.witness.empty() && !write_margin_replay(command, study, *circuit)) return exit_bad_input;
  return study.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_margin_command(CLI::App& program, int& status) {
  auto command = std::make_shared<MarginCommand>();
  command->common.limit_states = MarginOptions().order_limit;
  CLI::App& app =
      *program.add_subcommand("margin", "How unequal gate delays may be, and which race is lost first");
  app.footer(margin_example);
  add_input_options(app, command->common, "text|json");
  app.add_option("--set", command->set, "Inputs to hold, as in a=1,b=0; the others are tried in all ways");
  app.add_flag("--together", command->together, "Judge also steps in which several inputs change at once");
  app.add_flag("--edges-apart", command->edges_apart,
               "Let the rise and the fall of a gate stray each on its own");
  add_delay_options(app, command->common, "min|typical|max|unit");
  app.add_flag("--all", command->all, "Text: the full list of steps");
  app.add_option(
      "--witness", command->witness,
      "Write NAME.gates and NAME-1.stim, NAME-2.stim, ...: delays just beyond each margin, for replay");
  add_jobs_option(app, command->common);
  add_text_options(app, command->common);
  add_limit(app, LimitKind::stable, command->limit_stable);
  add_limit(app, LimitKind::steps, command->limit_steps);
  add_limit(app, LimitKind::inputs, command->limit_inputs);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_margin(*command); });
}

}  // namespace settle::cli
