// settle try: press the inputs, watch the outputs, keep what was done as a stimulus.
#include <unistd.h>
#include <iostream>
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/try_parts.h"

namespace settle::cli {
namespace {

struct TryCommand {
  CommonOptions common;
  std::string save;
  bool lines = false;
  bool transport = false;
};

constexpr const char* try_example = R"(
Example: press the keys of the inputs, watch the lamps, and keep it all for 'settle check':

  settle try examples/block_memory.gates --save by_hand.stim

Without a terminal statements are read line by line:

  printf 'set enter=1 leave=0; settle\nset enter=0; settle\n' | settle try examples/block_memory.gates

Exit status: 0 left as asked; 1 an expectation that was typed is not met; 2 the call, the netlist or a
statement that was read is wrong.)";

int try_it(const TryCommand& command) {
  const bool on_screen = !command.lines && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
  if (command.common.netlist == "-" && !on_screen) {
    print_message("settle: error: the netlist and the statements cannot both be read from the standard input\n");
    return exit_bad_input;
  }
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  RunOptions options;
  options.kernel.transport = command.transport;
  options.any_delay = any_delay_limits(command.common);
  options.stop = &stop_flag();
  Trial trial(*circuit, options, "");
  const TryJob job{trial, *circuit, text_style(command.common), command.save, command.common.netlist};
  return on_screen ? try_screen(job) : try_lines(job, std::cin);
}

}  // namespace

void add_try_command(CLI::App& program, int& status) {
  auto command = std::make_shared<TryCommand>();
  CLI::App& app =
      *program.add_subcommand("try", "Press the inputs and watch the outputs, and keep it as a stimulus");
  app.footer(try_example);
  add_netlist_options(app, command->common);
  app.add_option("--save", command->save,
                 "Write what was done to this file at the end, as a stimulus with expectations");
  app.add_flag("--lines", command->lines, "Read statements line by line on a terminal, too");
  app.add_flag("--transport", command->transport, "Let every pulse through a gate, however short");
  add_text_options(app, command->common);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = try_it(*command); });
}

}  // namespace settle::cli
