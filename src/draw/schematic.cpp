#include "settle/schematic.h"

#include <algorithm>

#include <fmt/format.h>

#include "draw/layout.h"
#include "draw/schematic_svg.h"

namespace settle {
namespace {

std::size_t part_count(const draw::Sheet& sheet) {
  return static_cast<std::size_t>(
      std::count_if(sheet.parts.begin(), sheet.parts.end(), [](const draw::SheetPart& part) {
        return part.form == draw::SheetPart::Form::gate || part.form == draw::SheetPart::Form::cell;
      }));
}

// Values as texts: a bit as it is, a bus as in stimuli.
void add_values(draw::Sheet& sheet, const Moment& moment) {
  for (draw::SheetNet& net : sheet.nets) {
    if (net.bits.empty()) continue;
    net.value = net.bits.size() > 1 ? "0b" : "";
    for (const NetId bit : net.bits) net.value += to_char(moment.values[bit]);
  }
}

}  // namespace

RunOptions moment_run_options() {
  RunOptions options;
  options.record_all = true;
  return options;
}

Moment moment_of(const Circuit& circuit, const Waveform& waveform, Time time) {
  Moment moment;
  moment.time = std::min(time, waveform.end);
  moment.unit = waveform.time_unit;
  moment.values.assign(circuit.net_count(), Value::x);
  moment.values[circuit.const_zero()] = Value::zero;
  moment.values[circuit.const_one()] = Value::one;
  for (const Signal& signal : waveform.signals) {
    if (signal.net != no_id) moment.values[signal.net] = signal.at(moment.time);
  }
  return moment;
}

Schematic draw_schematic(const Circuit& circuit, const Netlist* tree, const SchematicOptions& options) {
  Schematic result;
  const bool flat = options.flat || tree == nullptr;
  // Before a large circuit is taken apart.
  result.parts = circuit.gate_count();
  if (!flat || result.parts <= options.part_limit) {
    draw::Sheet sheet = flat ? draw::flat_sheet(circuit) : draw::cell_sheet(circuit, *tree, options.open);
    result.parts = part_count(sheet);
    if (result.parts <= options.part_limit) {
      if (options.moment) add_values(sheet, *options.moment);
      draw::BlockOptions block_options;
      block_options.symbols =
          options.rectangular ? draw::SymbolStyle::rectangular : draw::SymbolStyle::distinctive;
      block_options.net_names = options.net_names;
      result.svg = draw::schematic_svg(sheet, draw::lay_out(sheet, block_options), options);
      return result;
    }
  }
  result.error = fmt::format("{} parts are too many for one schematic, up to {} are drawn", result.parts,
                             options.part_limit);
  result.hint = flat && tree != nullptr
                    ? "without --flat cells are drawn as blocks; --cell draws one cell by itself"
                    : "--cell draws one cell by itself; --limit-parts allows more";
  return result;
}

}  // namespace settle
