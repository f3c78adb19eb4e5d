// settle states: stable states, what follows from each input change, flow table, power-up.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "cli/replay_output.h"
#include "cli/set_option.h"
#include "settle/states_report.h"

namespace settle::cli {
namespace {

struct StatesCommand {
  CommonOptions common;
  std::string set;
  std::string witness;
  bool single = false;
  bool all = false;
  SpaceLimits limits = SpaceLimits::of(StateSpaceOptions());
};

constexpr std::size_t witnesses_for_files = 64;

constexpr const char* states_example = R"(
Example: what can the block memory hold, and which input change leaves it undecided?

  settle states examples/block_memory.gates

Both endings of that change, as a netlist with gate delays and a stimulus for each:

  settle states examples/block_memory.gates --witness undecided
  settle run undecided.gates undecided-1.stim

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong; 3 a limit stopped the work.)";

StatesOptions study_options(const StatesCommand& command, std::vector<Value> held) {
  StatesOptions options;
  options.space.held = std::move(held);
  options.space.any_delay = any_delay_limits(command.common);
  command.limits.set(options.space);
  options.space.single_changes_only = command.single;
  options.space.jobs = threads(command.common);
  options.space.stop = &stop_flag();
  if (command.all || !command.witness.empty()) options.witness_limit = witnesses_for_files;
  return options;
}

std::string report(const StatesCommand& command, const StatesStudy& study, const Circuit& circuit) {
  if (command.common.format == "json") return states_json(study, circuit);
  if (command.common.format == "dot") return states_dot(study, circuit, command.all);
  return states_text(study, circuit, text_style(command.common), command.all);
}

bool write_replay(const StatesCommand& command, const StatesStudy& study, const Circuit& circuit) {
  return write_replay_files(replay_files(circuit, study.space, study.witnesses, command.witness), command.common.quiet,
                            "no step ends in several ways that delays of gates can replay");
}

StatesStudy study_it(const StatesCommand& command, const Circuit& circuit, std::vector<Value> held) {
  ProgressLine line(command.common.progress, command.common.quiet);
  StatesOptions options = study_options(command, std::move(held));
  options.space.progress = line.progress();
  return study_states(circuit, options);
}

int run_it(const StatesCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  std::vector<Value> held;
  if (!held_inputs(command.set, *circuit, held)) return exit_bad_input;
  const StatesStudy study = study_it(command, *circuit, std::move(held));
  if (!write_output(command.common.output, report(command, study, *circuit))) return exit_bad_input;
  if (!command.witness.empty() && !write_replay(command, study, *circuit)) return exit_bad_input;
  return study.space.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_states_command(CLI::App& program, int& status) {
  auto command = std::make_shared<StatesCommand>();
  CLI::App& app = *program.add_subcommand("states", "Stable states, flow table, power-up, races with witnesses");
  app.footer(states_example);
  add_input_options(app, command->common, "text|json|dot");
  app.add_option("--set", command->set, "Inputs to hold, as in a=1,b=0; the others are tried in all ways");
  app.add_flag("--single", command->single, "Judge only steps in which one input changes");
  app.add_flag("--all", command->all, "Text: full lists; dot: steps in which several inputs change as well");
  app.add_option("--witness", command->witness,
                 "Write NAME.gates and NAME-1.stim, NAME-2.stim, ...: gate delays and stimuli that replay each ending");
  add_jobs_option(app, command->common);
  add_text_options(app, command->common);
  add_space_limits(app, command->limits);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
