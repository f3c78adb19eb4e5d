// Schematics: the gates of a circuit, or the parts of its cell, laid out and wired as a picture (SVG).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/netlist.h"
#include "settle/run.h"
#include "settle/waveform.h"

namespace settle {

/// The values of all nets at one moment of a run.
struct Moment {
  Time time = 0;
  TimeUnit unit = TimeUnit::none;
  std::vector<Value> values;  ///< by NetId; x for a net that was not recorded
};

/// Options of a run that records what moment_of() needs.
RunOptions moment_run_options();
/// The values at a time, or at the end when the run ended before it.
Moment moment_of(const Circuit& circuit, const Waveform& waveform, Time time);

struct SchematicOptions {
  bool flat = false;              ///< every gate by itself, cells and buses taken apart
  std::vector<std::string> open;  ///< cells to be shown from inside, by name
  bool rectangular = false;       ///< symbols as in IEC 60617-12, else the shapes of IEEE Std 91
  bool net_names = false;         ///< write the name of each net at its driver
  std::optional<Moment> moment;   ///< show the values of this moment on the wires
  std::size_t part_limit = 2000;  ///< gates and cells to draw
};

/// The picture, or why there is none.
struct Schematic {
  std::string svg;
  std::string error, hint;  ///< a sentence as in messages; empty when there is a picture
  std::size_t parts = 0;    ///< that were, or would have been, drawn
};

/// Draws the circuit. `tree` is what it was made from; without it all gates are drawn one by one. The same
/// circuit and options always give the same bytes.
Schematic draw_schematic(const Circuit& circuit, const Netlist* tree, const SchematicOptions& options);

}  // namespace settle
