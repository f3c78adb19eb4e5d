// settle compare: do two netlists behave the same?
#include <memory>
#include <sstream>

#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "settle/compare_report.h"

namespace settle::cli {
namespace {

struct CompareCommand {
  CommonOptions common;   // of the first netlist, and what both share
  std::string second, second_cell;
  std::string pins;
  std::string stimulus;
  SpaceLimits limits = SpaceLimits::of(StateSpaceOptions());
};

constexpr const char* compare_example = R"(
Example: is the flip-flop still the same after a change, and if not, which inputs show it?

  settle compare examples/bell_divider.gates changed.gates --stimulus difference.stim
  settle run changed.gates difference.stim

Exit status: 0 equal, proved; 1 different; 2 the call or a netlist is wrong; 3 undecided: a limit stopped the proof.)";

/// "a=x,b=y"; false after a message.
bool read_pins(const std::string& text, CompareOptions& options) {
  std::istringstream list(text);
  for (std::string item; std::getline(list, item, ',');) {
    const auto equals = item.find('=');
    if (equals == 0 || equals == std::string::npos || equals + 1 == item.size()) {
      print_message(fmt::format("settle: error: '{}' is no pair of pins\n  hint: --pins NAME_IN_FIRST=NAME_IN_SECOND,...\n", item));
      return false;
    }
    const std::string first = item.substr(0, equals), second = item.substr(equals + 1);
    for (const auto& [before, other] : options.pins) {
      if (before != first && other != second) continue;
      print_message(fmt::format("settle: error: '{}' of the {} netlist is named twice in --pins\n",
                                before == first ? first : second, before == first ? "first" : "second"));
      return false;
    }
    options.pins.emplace_back(first, second);
  }
  return true;
}

CompareOptions compare_options(const CompareCommand& command) {
  CompareOptions options;
  options.space.any_delay = any_delay_limits(command.common);
  command.limits.set(options.space);
  options.space.jobs = threads(command.common);
  options.stop = &stop_flag();
  return options;
}

struct Loaded {
  const Circuit& circuit;
  const Netlist& tree;
};

/// Of the board against the cell, whichever of the two is the board; nothing when none is.
std::optional<BoardDifference> wiring_difference(const CompareCommand& command, const Loaded& a, const Loaded& b, const PinMatch& match,
                                                 Sources& sources) {
  if (a.tree.chips.empty() && b.tree.chips.empty()) return std::nullopt;
  int status = exit_bad_input;
  const auto catalogue = read_catalogue(command.common, sources, status);
  if (!catalogue) return std::nullopt;  // it was read before without an error
  if (!a.tree.chips.empty()) return board_difference(a.circuit, board_of(a.tree, a.circuit, *catalogue), b.circuit, match);
  PinMatch turned;
  for (const auto& [from, to] : {std::pair(&match.inputs, &turned.inputs), std::pair(&match.outputs, &turned.outputs)}) {
    to->resize(from->size());
    for (std::uint32_t i = 0; i < from->size(); ++i) (*to)[(*from)[i]] = i;
  }
  return board_difference(b.circuit, board_of(b.tree, b.circuit, *catalogue), a.circuit, turned);
}

int compare_it(const CompareCommand& command) {
  CompareOptions options = compare_options(command);
  if (!read_pins(command.pins, options)) return exit_bad_input;
  if (command.common.netlist == "-" && command.second == "-") {
    print_message("settle: error: the two netlists cannot both be read from the standard input\n");
    return exit_bad_input;
  }
  Sources sources;
  int status = exit_bad_input;
  Netlist first_tree, second_tree;
  const auto a = load(command.common, sources, status, TimeUnit::none, &first_tree);
  if (!a) return status;
  CommonOptions second = command.common;
  second.netlist = command.second;
  second.cell = command.second_cell;
  const auto b = load(second, sources, status, TimeUnit::none, &second_tree);
  if (!b) return status;
  PinMatch match;
  Diagnostics diagnostics;
  if (!match_pins(*a, *b, options, match, diagnostics)) {
    print_diagnostics(diagnostics, sources, false);
    return exit_bad_input;
  }
  Comparison comparison;
  {
    ProgressLine line(command.common.progress, command.common.quiet);
    options.space.progress = line.progress();
    comparison = compare(*a, *b, match, options);
  }
  ComparedNames names{command.common.netlist, command.second};
  if (names.first == names.second) names = {names.first + " (" + a->cell_name() + ")", names.second + " (" + b->cell_name() + ")"};
  const auto wiring = comparison.proof == Comparison::Proof::gates
                          ? std::nullopt
                          : wiring_difference(command, {*a, first_tree}, {*b, second_tree}, match, sources);
  const std::string text = command.common.format == "json"
                               ? compare_json(comparison, *a, *b, names, wiring ? &*wiring : nullptr)
                               : compare_text(comparison, *a, *b, names, text_style(command.common)) +
                                     (wiring ? board_difference_text(*wiring) : std::string());
  if (!write_output(command.common.output, text)) return exit_bad_input;
  if (!command.stimulus.empty()) {
    const std::string stimulus = telling_stimulus(comparison, *a);
    if (stimulus.empty()) {
      print_message("settle: no stimulus to write: no input vectors tell the two apart\n");
    } else if (!write_output(command.stimulus, stimulus)) {
      return exit_bad_input;
    }
  }
  switch (comparison.answer) {
    case Comparison::Answer::equal: return exit_good;
    case Comparison::Answer::different: return exit_short;
    case Comparison::Answer::undecided: break;
  }
  return exit_incomplete;
}

}  // namespace

void add_compare_command(CLI::App& program, int& status) {
  auto command = std::make_shared<CompareCommand>();
  CLI::App& app = *program.add_subcommand("compare", "Do two netlists behave the same? A proof, or inputs that tell them apart");
  app.footer(compare_example);
  add_input_options(app, command->common, "text|json");
  app.add_option("SECOND", command->second, "The netlist to compare with")->required();
  app.add_option("--second-cell", command->second_cell, "Cell of the second netlist; default as for --cell");
  app.add_option("--pins", command->pins, "Pins that belong together although their names differ: FIRST=SECOND,...");
  app.add_option("--stimulus", command->stimulus, "Write a stimulus here that passes with the first and fails with the second");
  add_jobs_option(app, command->common);
  add_text_options(app, command->common);
  add_space_limits(app, command->limits);
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = compare_it(*command); });
}

}  // namespace settle::cli
