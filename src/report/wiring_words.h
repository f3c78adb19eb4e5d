// Words that all forms of a wiring share.
#pragma once

#include <string>
#include <vector>

#include "settle/wiring.h"

namespace settle::report {

/// "U1.14", "supply", "ground", "input lever", "output seen".
std::string end_text(const Wiring& wiring, const Circuit& circuit, const WireEnd& end);
/// "supply" and "ground" for those two, else the name.
std::string wire_net_text(const Wiring& wiring, WireNetId net);
/// "keep.hold_a", "part of gate_s", "at rest".
std::string wired_gate_text(const WiredGate& gate, const Circuit& circuit);
/// "2 chips, the fewest with --substitute tied; 3 without replacements".
std::string chip_count_text(const Wiring& wiring);
/// "2 chips, the fewest with --substitute tied; family HC, 5 V."
std::string wiring_summary(const Wiring& wiring);
/// How the board was proved equal to the circuit, or that it was not; empty without replacements.
std::string board_proof_text(const Wiring& wiring);
/// "series 1.5 kohm ..." of LEDs and buttons: how they are connected.
std::vector<std::string> terminal_notes(const Wiring& wiring, const Circuit& circuit, bool ascii);
/// What everybody should know before building.
const std::vector<std::string>& wiring_cautions();

}  // namespace settle::report
