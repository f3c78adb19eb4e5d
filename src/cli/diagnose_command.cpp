// settle diagnose: which single fault explains what a board does?
#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <numeric>
#include <memory>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/bench_record.h"
#include "settle/board.h"
#include "settle/diagnose_report.h"
#include "settle/wired_board.h"
#include "text/visible_text.h"

namespace settle::cli {
namespace {

struct DiagnoseCommand {
  CommonOptions common;
  std::string observed;
  bool ask = false;
  bool no_chips = false;
  std::string family = "HC";
  std::size_t groups = DiagnosisFrame().most_groups;
  std::uint64_t max_faults = FaultLimits().faults;
};

constexpr const char* diagnose_example = R"(
Example: a wire of the board is in the wrong hole; what was seen is in the stimulus.

  settle diagnose examples/lever_board.gates examples/lever_board_seen.stim

Without a stimulus, or with --ask, settle asks: answer 0, 1, x (no clear level), ? (cannot look) or q (enough).

Exit status: 0 a fault explains all (or none is needed); 1 no single fault does; 2 the call or an input file
is wrong; 3 a limit left faults out, or it was stopped.)";

/// Goes through what the stimulus states. `net_of`: net of the model for each net of the stimulus.
void replay(const BenchRecord& record, const std::vector<NetId>& net_of, FaultSession& session) {
  const FaultModel& model = session.model();
  const auto look = [&](const BenchLook& seen) {
    for (std::uint32_t place = 0; place < model.places.size(); ++place) {
      if (model.places[place].net != net_of[seen.net] || model.places[place].is_pin) continue;
      session.observe(place, seen.value, seen.place);
      return;
    }
  };
  for (const BenchLook& seen : record.looks) look(seen);
  for (const BenchStep& step : record.steps) {
    session.apply(step.inputs);
    for (const BenchLook& seen : step.looks) look(seen);
  }
}

constexpr std::uint32_t most_gates_to_wire = 500;

/// The board of a netlist without chips, as `settle wire` builds it; nothing when there is none.
std::optional<WiredBoard> board_to_be(const DiagnoseCommand& command, const Netlist& tree, const Circuit& circuit, const Catalogue& catalogue) {
  if (command.no_chips || circuit.gate_count() > most_gates_to_wire) return std::nullopt;
  WiringOptions options;
  options.family = command.family;
  options.prove = false;
  Diagnostics unused;  // `settle wire` tells them
  const auto wiring = wire_circuit(circuit, wishes_of(tree, circuit, unused), catalogue, options, unused);
  return wiring ? wired_board(circuit, *wiring, catalogue) : std::nullopt;
}

/// The power-up values of the stimulus by gate of the model.
std::vector<Value> power_up_values(const BenchRecord& record, const Circuit& circuit, const Circuit& on_bench, const std::vector<NetId>& net_of) {
  if (record.gates.empty()) return {};
  std::vector<Value> values(on_bench.gate_count(), Value::x);
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const NetId net = net_of[circuit.visible_net(gate)];
    if (net != no_id && on_bench.is_gate_output(net)) values[on_bench.gate_of(net)] = record.gates[gate];
  }
  return values;
}

/// Asks until one group is left, there is nothing to look at, or the answers end.
Outlook ask(FaultSession& session, const Circuit& circuit, Outlook outlook) {
  for (std::size_t number = 1; outlook.next && outlook.groups.size() > 1; ++number) {
    const NextLook& next = *outlook.next;
    print_message(fmt::format("{}. {}: ", number, look_text(next, session, circuit)));
    std::string answer;
    const bool is_given = static_cast<bool>(std::getline(std::cin, answer));
    if (answer.ends_with('\r')) answer.pop_back();
    if (!is_given || answer == "q" || is_set(&stop_flag())) {
      print_message("\n");
      break;
    }
    const bool is_known = answer == "?" || answer == "0" || answer == "1" || answer == "x";
    if (!is_known) {
      print_message("   answer 0, 1, x (no clear level), ? (cannot look) or q (enough)\n");
      --number;
      continue;
    }
    const std::uint32_t place = next.place;
    const auto settings = next.inputs;
    for (const auto& inputs : settings) session.apply(inputs);
    if (answer == "?") session.leave_out(place);
    else session.observe(place, *value_from_char(answer[0]));
    outlook = session.look_ahead();
    print_message(fmt::format("   {} group{} left\n", outlook.groups.size(), outlook.groups.size() == 1 ? "" : "s"));
  }
  return outlook;
}

int diagnose(DiagnoseCommand& command) {
  Sources sources;
  Diagnostics diagnostics(command.common.limit_errors);
  Stimulus stimulus;
  if (!command.observed.empty()) {
    const EndsAtOnce guard("while the stimulus was read");
    DiskReader files(command.common.limit_file << 20);
    stimulus = parse_stimulus(command.observed, files, sources, diagnostics);
    if (diagnostics.has_errors()) {
      print_diagnostics(diagnostics, sources, command.common.quiet);
      return status_of_errors(diagnostics);
    }
    if (command.common.cell.empty()) command.common.cell = stimulus.cell;
  }
  int status = exit_bad_input;
  const auto catalogue = read_catalogue(command.common, sources, status);
  if (!catalogue) return status;
  Netlist tree;
  const auto circuit = load(command.common, sources, status, stimulus.finest_unit, &tree);
  if (!circuit) return status;
  std::optional<BenchRecord> record;
  if (!command.observed.empty()) {
    record = bench_record(stimulus, *circuit, diagnostics);
    print_diagnostics(diagnostics, sources, command.common.quiet);
    if (!record) return status_of_errors(diagnostics);
    const auto sees = [](const BenchStep& step) { return !step.looks.empty(); };
    if (!command.ask && record->looks.empty() && std::none_of(record->steps.begin(), record->steps.end(), sees)) {
      print_message(fmt::format("settle: warning: '{}' observes nothing\n  hint: 'observe NET=VALUE' states what was seen on the board\n",
                                visible_text(command.observed)));
    }
  }
  Board board = board_of(tree, *circuit, *catalogue);
  std::optional<WiredBoard> wired;
  if (board.chips.empty() && (wired = board_to_be(command, tree, *circuit, *catalogue))) board = wired->board;
  const Circuit& on_bench = wired ? wired->circuit : *circuit;
  std::vector<NetId> net_of(circuit->net_count());
  std::iota(net_of.begin(), net_of.end(), NetId{0});
  if (wired) net_of = wired->net_of;
  FaultLimits limits;
  limits.faults = command.max_faults;
  const FaultModel model = board.chips.empty() ? gate_faults(on_bench, limits) : board_faults(on_bench, board, *catalogue, limits);
  DiagnosisFrame frame;
  frame.name = command.common.netlist;
  frame.has_chips = !board.chips.empty();
  frame.wired_here = wired.has_value();
  frame.most_groups = command.groups;
  DiagnoseOptions options;
  options.stop = &stop_flag();
  const std::vector<Value> start = record ? power_up_values(*record, *circuit, on_bench, net_of) : std::vector<Value>();
  FaultSession session(model, options, start);
  Outlook outlook;
  {
    ProgressLine line(command.common.progress, command.common.quiet);
    if (record) replay(*record, net_of, session);
    outlook = session.look_ahead(line.progress());
  }
  if (!record || command.ask) outlook = ask(session, on_bench, std::move(outlook));
  const std::string text = command.common.format == "json"
                               ? diagnose_json(session, outlook, on_bench, sources, frame)
                               : diagnose_text(session, outlook, on_bench, sources, frame, text_style(command.common));
  if (!write_output(command.common.output, text)) return exit_bad_input;
  if (is_set(options.stop)) return exit_incomplete;
  if (outlook.groups.empty()) return model.complete ? exit_short : exit_incomplete;
  return model.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_diagnose_command(CLI::App& program, int& status) {
  auto command = std::make_shared<DiagnoseCommand>();
  CLI::App& app = *program.add_subcommand("diagnose", "Which single fault explains what a board does, and what to look at next");
  app.footer(diagnose_example);
  add_input_options(app, command->common, "text|json");
  app.add_option("OBSERVED", command->observed, "Stimulus with 'observe' statements: what was done and seen; default: questions");
  app.add_flag("--ask", command->ask, "Ask on after the stimulus; answers come from the standard input");
  app.add_flag("--no-chips", command->no_chips, "For a netlist without chips: faults of gates and nets only, none of pins");
  app.add_option("--family", command->family, "For a netlist without chips: family of the chips that 'settle wire' would take")
      ->capture_default_str();
  app.add_option("--groups", command->groups, "Groups of faults to show in text; 0: all")->capture_default_str();
  app.add_option("--max-faults", command->max_faults, "Single faults to try at most")
      ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{100'000'000}))
      ->capture_default_str();
  app.callback([command, &status] { status = diagnose(*command); });
}

}  // namespace settle::cli
