// settle explain: what a circuit is, in words.
#include <algorithm>
#include <memory>
#include <thread>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "settle/explain_report.h"

namespace settle::cli {
namespace {

struct ExplainCommand {
  CommonOptions common;
  unsigned jobs = 0;
};

constexpr const char* explain_example = R"(
Example: what is this pair of gates, how is it used, and where may it fall over?

  settle explain examples/block_memory.gates

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong; 3 a limit stopped the work, and
what was found up to then is reported.)";

int run_it(const ExplainCommand& command) {
  Sources sources;
  const auto circuit = load(command.common, sources);
  if (!circuit) return exit_bad_input;
  ExplainOptions options;
  options.any_delay = any_delay_limits(command.common);
  options.jobs = command.jobs != 0 ? command.jobs : std::max(1u, std::thread::hardware_concurrency());
  options.stop = &stop_flag();
  const Explanation explanation = explain(*circuit, options);
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
  app.add_option("--jobs", command->jobs, "Threads; default: one a processor. The result is the same")
      ->check(CLI::Range(1u, 256u));
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
