// settle table: truth table of a circuit without loops, characteristic table of one with loops.
#include <fmt/format.h>

#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "cli/set_option.h"
#include "settle/table.h"

namespace settle::cli {
namespace {

struct TableCommand {
  CommonOptions common;
  std::string set;
  bool full = false;
  std::uint64_t limit_rows = TableOptions().row_limit;
  SpaceLimits limits = SpaceLimits::of(TableOptions());
};

constexpr const char* table_example = R"(
Example: when does the lever latch follow, and when does it hold?

  settle table examples/lever_latch.gates

The same as a table for a page, with the 'read' line held at 1:

  settle table examples/lever_latch.gates --set read=1 --format markdown

Exit status: 0 nothing wrong; 2 the call or the netlist is wrong, or the circuit has too many
inputs for a table; 3 a limit stopped the work.)";

std::string report(const TableCommand& command, const Table& table, const Circuit& circuit) {
  const std::string& format = command.common.format;
  if (format == "json") return table_json(table, circuit);
  if (format == "markdown") return table_markdown(table, circuit);
  if (format == "csv") return table_csv(table);
  return table_text(table, circuit, text_style(command.common));
}

int run_it(const TableCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status);
  if (!circuit) return status;
  TableOptions options;
  if (!held_inputs(command.set, *circuit, options.held)) return exit_bad_input;
  options.merge = !command.full;
  options.row_limit = command.limit_rows;
  options.any_delay = any_delay_limits(command.common);
  command.limits.set(options);
  options.jobs = threads(command.common);
  options.stop = &stop_flag();
  const std::string refusal = table_refusal(*circuit, options);
  if (!refusal.empty()) {
    print_message(fmt::format(
        "settle: error: {}\n"
        "  hint: hold inputs with --set, as in --set {}=0, or choose a smaller cell with --cell\n",
        refusal, circuit->net_name(0)));
    return exit_bad_input;
  }
  const Table table = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return make_table(*circuit, options);
  }();
  if (!write_output(command.common.output, report(command, table, *circuit))) return exit_bad_input;
  if (!table.complete && command.common.format == "csv") {
    print_message(fmt::format("settle: incomplete: {}\n", table.incomplete_reason));
  }
  return table.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_table_command(CLI::App& program, int& status) {
  auto command = std::make_shared<TableCommand>();
  CLI::App& app =
      *program.add_subcommand("table", "Truth table, or characteristic table of a circuit with loops");
  app.footer(table_example);
  add_input_options(app, command->common, "text|markdown|csv|json");
  app.add_option("--set", command->set, "Inputs to hold, as in a=1,b=0; they get no column");
  app.add_flag("--full", command->full, "A row for each input vector; do not merge rows");
  add_text_options(app, command->common);
  add_jobs_option(app, command->common);
  add_limit(app, LimitKind::rows, command->limit_rows);
  add_space_limits(app, command->limits);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
