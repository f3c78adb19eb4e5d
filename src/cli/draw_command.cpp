// settle draw: pictures of a circuit.
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/picture_output.h"
#include "cli/progress_line.h"
#include "settle/schematic.h"
#include "settle/text_reader.h"

namespace settle::cli {
namespace {

struct DrawCommand {
  CommonOptions common;
  std::string stimulus;
  std::string kind = "schematic";
  std::string symbols = "shapes";
  std::vector<std::string> open;
  bool flat = false;
  bool net_names = false;
  std::optional<Time> at;
  std::size_t limit_parts = SchematicOptions().part_limit;
};

constexpr const char* draw_example = R"(
Example: the schematic of the lever latch, its block memory shown from inside:

  settle draw examples/lever_latch.gates --open block_memory -o latch.svg

The same with the values that the stimulus has led to at time 25:

  settle draw examples/lever_latch.gates examples/lever_latch.stim --flat --at 25 -o latch.svg

Exit status: 0 the picture is drawn; 2 the call or an input file is wrong; 3 a limit stopped the work.)";

// The run of the stimulus, or of none: power up and settle.
std::optional<Moment> find_moment(const DrawCommand& command, const Circuit& circuit,
                                  const Stimulus& stimulus, Sources& sources, int& status) {
  Diagnostics diagnostics(command.common.limit_errors);
  const auto result = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    RunOptions options = moment_run_options();
    options.stop = &stop_flag();
    options.progress = line.progress();
    return run(circuit, stimulus, options, diagnostics);
  }();
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (!result) return std::nullopt;
  const Time end = result->waveform.end;
  const Time at = command.at.value_or(end);
  if (at <= end) return moment_of(circuit, result->waveform, at);
  const TimeUnit unit = circuit.time_unit();
  print_message(fmt::format("settle: error: the run ends at {}, before the time {} of --at\n",
                            to_text(end, unit), to_text(at, unit)));
  status = result->complete ? exit_bad_input : exit_incomplete;
  return std::nullopt;
}

Stimulus read_stimulus_file(const DrawCommand& command, Sources& sources, Diagnostics& diagnostics) {
  if (command.stimulus.empty()) {
    TextReader text("settle\n");
    return parse_stimulus("settle", text, sources, diagnostics);
  }
  const EndsAtOnce guard("while the stimulus was read");
  DiskReader files(command.common.limit_file << 20);
  return parse_stimulus(command.stimulus, files, sources, diagnostics);
}

// Misspelt names of --open are better told than ignored.
bool cells_exist(const DrawCommand& command, const Netlist& tree) {
  std::vector<std::string_view> names;
  for (const CellSyntax& cell : tree.cells) names.push_back(tree.symbols->text(cell.name));
  for (const std::string& name : command.open) {
    if (std::find(names.begin(), names.end(), name) != names.end()) continue;
    const std::string_view near = nearest_name(name, names);
    print_message(fmt::format("settle: error: no cell is named '{}'\n{}", name,
                              near.empty() ? "" : fmt::format("  hint: did you mean '{}'?\n", near)));
    return false;
  }
  return true;
}

int run_draw(DrawCommand& command) {
  Sources sources;
  Diagnostics diagnostics(command.common.limit_errors);
  const Stimulus stimulus = read_stimulus_file(command, sources, diagnostics);
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (diagnostics.has_errors()) return status_of_errors(diagnostics);
  if (command.common.cell.empty()) command.common.cell = stimulus.cell;
  int status = exit_bad_input;
  Netlist tree;
  const auto circuit = load(command.common, sources, status, stimulus.finest_unit, &tree);
  if (!circuit) return status;
  if (!cells_exist(command, tree)) return exit_bad_input;
  SchematicOptions options;
  options.flat = command.flat;
  options.open = command.open;
  options.rectangular = command.symbols == "rectangles";
  options.net_names = command.net_names;
  options.part_limit = command.limit_parts;
  if (command.at || !command.stimulus.empty()) {
    options.moment = find_moment(command, *circuit, stimulus, sources, status);
    if (!options.moment) return status;
  }
  const Schematic schematic = draw_schematic(*circuit, &tree, options);
  if (schematic.svg.empty()) {
    print_message(fmt::format("settle: error: {}\n  hint: {}\n", schematic.error, schematic.hint));
    return exit_incomplete;
  }
  return write_picture(command.common.output, schematic.svg, command.common.format) ? exit_good
                                                                                    : exit_bad_input;
}

}  // namespace

void add_draw_command(CLI::App& program, int& status) {
  auto command = std::make_shared<DrawCommand>();
  command->common.format = "svg";
  CLI::App& app = *program.add_subcommand("draw", "Draw the schematic of a circuit");
  app.footer(draw_example);
  add_input_options(app, command->common, "svg|png|pdf");
  app.add_option("STIMULUS", command->stimulus, "Stimulus file (.stim): show the values that it leads to");
  app.add_option("--kind", command->kind, "What to draw: schematic")
      ->check(CLI::IsMember({"schematic"}))
      ->capture_default_str();
  app.add_option("--symbols", command->symbols, "Gates as shapes (IEEE Std 91) or rectangles (IEC 60617-12)")
      ->check(CLI::IsMember({"shapes", "rectangles"}))
      ->capture_default_str();
  CLI::Option* flat = app.add_flag("--flat", command->flat, "Draw every gate, cells and buses taken apart");
  app.add_option("--open", command->open,
                 "Draw what is inside of this cell in its place; may be given several times")
      ->type_name("CELL")
      ->excludes(flat)
      ->allow_extra_args(false);
  app.add_flag("--net-names", command->net_names, "Write the name of each net at its driver");
  app.add_option("--at", command->at,
                 "Show the values of this time on the wires; default: the end of the stimulus");
  app.add_option("--limit-parts", command->limit_parts, "Gates and cells that one schematic may have")
      ->check(CLI::Range(std::size_t{1}, std::size_t{20000}))
      ->capture_default_str()
      ->group("Limits");
  app.callback([command, &status] { status = run_draw(*command); });
}

}  // namespace settle::cli
