// settle explain: what a circuit is, in words.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/explain_report.h"

namespace settle::cli {
namespace {

struct ExplainCommand {
  CommonOptions common;
  SpaceLimits limits = SpaceLimits::of(ExplainOptions());
};

constexpr const char* explain_example = R"(
Example: what is this pair of gates, how is it used, and where may it fall over?

  settle explain examples/block_memory.gates

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong; 3 a limit stopped the work, and
what was found up to then is reported.)";

int run_it(const ExplainCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  ExplainOptions options;
  options.any_delay = any_delay_limits(command.common);
  command.limits.set(options);
  options.jobs = threads(command.common);
  options.stop = &stop_flag();
  const Explanation explanation = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return explain(*circuit, options);
  }();
  const std::string text = command.common.format == "json" ? explain_json(explanation)
                                                           : explain_text(explanation, text_style(command.common));
  if (!write_output(command.common.output, text)) return exit_bad_input;
  return explanation.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_explain_command(CLI::App& program, int& status) {
  auto command = std::make_shared<ExplainCommand>();
  command->common.limit_states = ExplainOptions().any_delay.states;
  CLI::App& app = *program.add_subcommand("explain", "Say in words what a circuit is and how to use it");
  app.footer(explain_example);
  add_input_options(app, command->common, "text|json");
  add_text_options(app, command->common);
  add_jobs_option(app, command->common);
  add_space_limits(app, command->limits);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
