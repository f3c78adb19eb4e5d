// settle wire: from the circuit to chips and wires.
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/wiring_report.h"

namespace settle::cli {
namespace {

struct WireCommand {
  CommonOptions common;
  WiringOptions wiring;
  std::string substitute = "tied";
  bool no_led = false, no_compare = false;
  std::uint64_t limit_stable = 100'000;
  std::uint64_t limit_steps = 1'000'000;
  std::uint32_t limit_inputs = StateSpaceOptions().input_limit;
};

constexpr const char* wire_example = R"(
Example: the lever latch on two chips, as a list to tick off, as a picture, and as a netlist of the board

  settle wire examples/lever_latch.gates
  settle wire examples/lever_latch.gates --format svg -o board.svg
  settle wire examples/lever_latch.gates --format gates -o board.gates

Exit status: 0 nothing wrong; 1 an output has to drive too much; 2 the call or the netlist is wrong, or a gate
has no chip; 3 the fewest chips or the proof of the replacements were not found within the limits.)";

Substitute level_of(const std::string& name) {
  return name == "none" ? Substitute::none : name == "full" ? Substitute::full : Substitute::tied;
}

std::string text_of(const Wiring& wiring, const Circuit& circuit, const CommonOptions& options) {
  if (options.format == "markdown") return wiring_markdown(wiring, circuit);
  if (options.format == "csv") return wiring_csv(wiring, circuit);
  if (options.format == "json") return wiring_json(wiring, circuit);
  if (options.format == "svg") return wiring_svg(wiring, circuit);
  if (options.format == "gates") return as_built_text(wiring, circuit);
  return wiring_text(wiring, circuit, text_style(options));
}

WiringOptions wiring_options(const WireCommand& command) {
  WiringOptions options = command.wiring;
  options.substitute = level_of(command.substitute);
  options.led.wanted = !command.no_led;
  options.prove = !command.no_compare;
  options.compare.space.any_delay = any_delay_limits(command.common);
  options.compare.space.stable_limit = command.limit_stable;
  options.compare.space.transition_limit = command.limit_steps;
  options.compare.space.input_limit = command.limit_inputs;
  options.compare.space.jobs = threads(command.common);
  options.compare.stop = &stop_flag();
  return options;
}

int wire_it(const WireCommand& command) {
  Sources sources;
  int status = exit_bad_input;
  Netlist tree;
  const auto circuit = load(command.common, sources, status, TimeUnit::none, &tree);
  if (!circuit) return status;
  const auto catalogue = read_catalogue(command.common, sources, status);
  if (!catalogue) return status;
  Diagnostics diagnostics(command.common.limit_errors);
  const auto wishes = wishes_of(tree, *circuit, diagnostics);
  WiringOptions options = wiring_options(command);
  std::optional<Wiring> wiring;
  {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.compare.space.progress = line.progress();
    wiring = wire_circuit(*circuit, wishes, *catalogue, options, diagnostics);
  }
  print_diagnostics(diagnostics, sources, command.common.quiet);
  if (!wiring) return status_of_errors(diagnostics);
  if (!write_output(command.common.output, text_of(*wiring, *circuit, command.common))) return exit_bad_input;
  for (const LoadCheck& load : wiring->loads) {
    if (!load.is_good) return exit_short;
  }
  const bool is_undecided = wiring->proof && wiring->proof->answer == Comparison::Answer::undecided;
  return wiring->is_fewest && !is_undecided ? exit_good : exit_incomplete;
}

}  // namespace

void add_wire_command(CLI::App& program, int& status) {
  auto command = std::make_shared<WireCommand>();
  CLI::App& app =
      *program.add_subcommand("wire", "Place the gates in chips and list the wires, parts and currents");
  app.footer(wire_example);
  add_input_options(app, command->common, "text|markdown|csv|json|svg|gates");
  add_text_options(app, command->common);
  app.add_option("--family", command->wiring.family,
                 "Family of the chips for gates without a part: HC, HCT, LS, AC, 4000B")
      ->capture_default_str();
  app.add_option("--substitute", command->substitute,
                 "none|tied|full: replace gates where that saves a chip: not at all, by one gate with inputs "
                 "joined or at rest, by several gates")
      ->check(CLI::IsMember({"none", "tied", "full"}))
      ->capture_default_str();
  app.add_option("--supply", command->wiring.supply, "Supply in volts")
      ->check(CLI::Range(1.0, 24.0))
      ->capture_default_str();
  app.add_option("--led", command->wiring.led.colour,
                 "Colour of the indicator LED at each output, for the bill of materials")
      ->capture_default_str();
  app.add_option("--led-volts", command->wiring.led.volts, "Its voltage, as its data sheet says")
      ->check(CLI::Range(0.5, 10.0))
      ->capture_default_str();
  app.add_option("--led-current", command->wiring.led.milliamps, "Its wanted current in mA")
      ->check(CLI::Range(0.1, 30.0))
      ->capture_default_str();
  app.add_flag("--no-led", command->no_led, "Plan no LEDs");
  app.add_option("--button-current", command->wiring.button_ma,
                 "Current of a pressed button in mA, for its resistor")
      ->check(CLI::Range(0.01, 20.0))
      ->capture_default_str();
  app.add_flag("--no-compare", command->no_compare,
               "Do not compare the whole board with the circuit after replacements");
  add_jobs_option(app, command->common);
  add_limit(app, LimitKind::stable, command->limit_stable);
  add_limit(app, LimitKind::steps, command->limit_steps);
  add_limit(app, LimitKind::inputs, command->limit_inputs);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = wire_it(*command); });
}

}  // namespace settle::cli
