// What follows once each gate has its place.
#pragma once

#include "settle/wiring.h"

namespace settle {

/// Pins from gates: fills WiredChip::pins.
void connect_pins(Wiring& wiring);
/// Fills steps: wires in the order of building.
void order_wires(Wiring& wiring, const Circuit& circuit);
/// Fills loads, resistors, bill and notes about them.
void check_loads(Wiring& wiring);

/// Pins on a net, by chip and pin; the gate's output first where one drives it.
struct NetPins {
  std::vector<WireEnd> drivers, readers;
};
/// By net; pins at ground and supply are readers.
std::vector<NetPins> pins_by_net(const Wiring& wiring);

/// The gate of the package and the circuit's gate behind a pin, supply pins excepted.
struct PinGate {
  const WiredGate* gate = nullptr;
  bool is_output = false;
};
PinGate gate_at(const Wiring& wiring, std::uint32_t chip, std::uint32_t pin);

}  // namespace settle
