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
#include "cli/set_option.h"
#include "settle/schematic.h"
#include "settle/state_graph.h"
#include "settle/text_reader.h"
#include "settle/timing_diagram.h"

namespace settle::cli {
namespace {

struct DrawCommand {
  CommonOptions common;
  std::string stimulus;
  std::string kind = "schematic";
  std::string set;
  std::string symbols = "shapes";
  std::vector<std::string> open;
  bool flat = false;
  bool net_names = false;
  std::vector<std::string> nets;
  bool causes = false;
  std::vector<std::string> measures;  ///< "FROM:TO"
  std::optional<Time> at;
  std::size_t limit_parts = SchematicOptions().part_limit;
};

constexpr std::size_t most_drawn_states = 40;

constexpr const char* draw_example = R"(
Example: the schematic of the lever latch, its block memory shown from inside:

  settle draw examples/lever_latch.gates --open block_memory -o latch.svg

The same with the values that the stimulus has led to at time 25:

  settle draw examples/lever_latch.gates examples/lever_latch.stim --flat --at 25 -o latch.svg

Its stable states, and what follows from each input change:

  settle draw examples/lever_latch.gates --kind states -o latch.svg

The timing diagram of the stimulus, with arrows from causes to effects:

  settle draw examples/lever_latch.gates examples/lever_latch.stim --kind timing --causes -o latch.svg

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

int write_or_say_why(const DrawCommand& command, const std::string& svg, const std::string& error,
                     const std::string& hint) {
  if (!svg.empty())
    return write_picture(command.common.output, svg, command.common.format) ? exit_good : exit_bad_input;
  print_message(fmt::format("settle: error: {}\n  hint: {}\n", error, hint));
  return exit_incomplete;
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

int draw_schematic_of(const DrawCommand& command, const Circuit& circuit, const Netlist& tree,
                      const Stimulus& stimulus, Sources& sources) {
  if (!cells_exist(command, tree)) return exit_bad_input;
  SchematicOptions options;
  options.flat = command.flat;
  options.open = command.open;
  options.rectangular = command.symbols == "rectangles";
  options.net_names = command.net_names;
  options.part_limit = command.limit_parts;
  if (command.at || !command.stimulus.empty()) {
    int status = exit_bad_input;
    options.moment = find_moment(command, circuit, stimulus, sources, status);
    if (!options.moment) return status;
  }
  const Schematic schematic = [&] {
    const EndsAtOnce guard("while the picture was laid out");
    return draw_schematic(circuit, &tree, options);
  }();
  return write_or_say_why(command, schematic.svg, schematic.error, schematic.hint);
}

int draw_states_of(const DrawCommand& command, const Circuit& circuit) {
  StateSpaceOptions options;
  if (!held_inputs(command.set, circuit, options.held)) return exit_bad_input;
  options.stable_limit = most_drawn_states * 8;
  options.single_changes_only = true;
  options.stop = &stop_flag();
  const StateSpace space = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return explore(circuit, options);
  }();
  const StateGraph graph = draw_state_graph(space, circuit, most_drawn_states);
  const int status = write_or_say_why(command, graph.svg, graph.error, graph.hint);
  return status == exit_good && !space.complete ? exit_incomplete : status;
}

/// "route[7:0]:seen" -> both names; false when there are not two, which is told.
bool measured_pair(const std::string& text, MeasuredPair& pair) {
  int depth = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    depth += text[i] == '[' ? 1 : text[i] == ']' ? -1 : 0;
    if (text[i] != ':' || depth != 0 || i == 0 || i + 1 == text.size()) continue;
    pair = {text.substr(0, i), text.substr(i + 1)};
    return true;
  }
  print_message(
      fmt::format("settle: error: '{}' does not name two signals to measure between\n"
                  "  hint: as in --measure lever:seen\n",
                  text));
  return false;
}

int draw_timing_of(const DrawCommand& command, const Circuit& circuit, const Stimulus& stimulus,
                   Sources& sources) {
  Diagnostics diagnostics(command.common.limit_errors);
  RunOptions options;
  options.record_all = command.causes;
  options.patterns = command.nets;
  options.stop = &stop_flag();
  const auto result = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.progress = line.progress();
    return run(circuit, stimulus, options, diagnostics);
  }();
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (!result) return exit_bad_input;
  TimingDiagramOptions drawn;
  for (const std::string& text : command.measures) {
    if (!measured_pair(text, drawn.measures.emplace_back())) return exit_bad_input;
  }
  drawn.causes = command.causes;
  drawn.view.patterns = command.nets;
  if (command.causes && command.nets.empty()) {
    for (const Port& port : circuit.input_ports()) drawn.view.patterns.push_back(port.name);
    for (const Port& port : circuit.output_ports()) drawn.view.patterns.push_back(port.name);
  }
  const TimingDiagram diagram = draw_timing(*result, circuit, drawn);
  const int drawing = write_or_say_why(command, diagram.svg, diagram.error, diagram.hint);
  const int status = diagram.is_wrong_name ? exit_bad_input : drawing;
  return status == exit_good && !result->complete ? exit_incomplete : status;
}

/// Options of another kind of picture would do nothing. False after a message.
bool options_fit(const DrawCommand& command) {
  const std::string_view kind = command.kind;
  const auto fits = [&](bool is_given, std::string_view what, std::string_view its_kind) {
    if (!is_given || kind == its_kind) return true;
    print_message(fmt::format("settle: error: {} for --kind {}, and here {} is drawn\n", what, its_kind,
                              kind == "schematic" ? "the schematic" : kind == "states" ? "the state graph" : "a timing diagram"));
    return false;
  };
  if (kind == "states" && !command.stimulus.empty()) {
    print_message("settle: error: --kind states takes no stimulus\n  hint: --set holds inputs\n");
    return false;
  }
  return fits(command.flat, "--flat is", "schematic") && fits(!command.open.empty(), "--open is", "schematic") &&
         fits(command.net_names, "--net-names is", "schematic") && fits(command.at.has_value(), "--at is", "schematic") &&
         fits(!command.nets.empty(), "--nets is", "timing") && fits(command.causes, "--causes is", "timing") &&
         fits(!command.measures.empty(), "--measure is", "timing") && fits(!command.set.empty(), "--set is", "states");
}

int run_draw(DrawCommand& command) {
  if (!options_fit(command)) return exit_bad_input;
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
  if (command.kind == "states") return draw_states_of(command, *circuit);
  if (command.kind == "timing") return draw_timing_of(command, *circuit, stimulus, sources);
  return draw_schematic_of(command, *circuit, tree, stimulus, sources);
}

}  // namespace

void add_draw_command(CLI::App& program, int& status) {
  auto command = std::make_shared<DrawCommand>();
  command->common.format = "svg";
  CLI::App& app = *program.add_subcommand(
      "draw", "Draw the schematic, the timing diagram or the state graph of a circuit");
  app.footer(draw_example);
  add_input_options(app, command->common, "svg|png|pdf");
  app.add_option("STIMULUS", command->stimulus, "Stimulus file (.stim): show the values that it leads to");
  app.add_option("--kind", command->kind, "What to draw: schematic|timing|states")
      ->check(CLI::IsMember({"schematic", "timing", "states"}))
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
  app.add_option("--nets", command->nets,
                 "Timing: show only nets whose flat name matches; * and ? stand for others")
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_flag("--causes", command->causes, "Timing: arrows from each change to those that it brings");
  app.add_option(
         "--measure", command->measures,
         "Timing: show how long it takes from changes of one signal to those of another; may be given "
         "several times")
      ->type_name("FROM:TO")
      ->allow_extra_args(false);
  app.add_option("--set", command->set,
                 "States: inputs to hold, as in a=1,b=0; the others are tried in all ways");
  app.add_option("--limit-parts", command->limit_parts, "Gates and cells that one schematic may have")
      ->check(CLI::Range(std::size_t{1}, std::size_t{20000}))
      ->capture_default_str()
      ->group("Limits");
  const CLI::Option* format = app.get_option("--format");
  app.callback([command, format, &status] {
    if (format->empty()) command->common.format = picture_format_of_path(command->common.output);
    status = run_draw(*command);
  });
}

}  // namespace settle::cli
