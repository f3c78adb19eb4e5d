// Gate-level flip-flops that stand for those of other texts.
#pragma once

#include "settle/diagnostic.h"
#include "settle/formats.h"

namespace settle {

/// A tree with one cell `flip_flop`, pins d clock clear_n -> q: loads d at the rising edge of clock,
/// and is 0 while clear_n is 0. Its text becomes one of the sources, so that messages can show it.
/// Empty, reserved words apart, for FlipFlopForm::pins.
Netlist flip_flop_cell(FlipFlopForm form, Sources& sources, Diagnostics& diagnostics);

}  // namespace settle
