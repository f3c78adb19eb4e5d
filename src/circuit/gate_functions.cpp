// What gates compute and what wires make of several drivers.
//
// An n-input gate needs three facts about its inputs: is one of them 0, is one of them 1, is one
// unknown; and the parity of the ones. That extends the two-input tables of IEEE 1364-2005,
// clause 7.2, to any number of inputs without regard to their order.
//
// A wire is resolved by sets: each driver may put 0, 1 or nothing (z) on it. The wire can be 0 if
// any driver can, 1 likewise, and floats only if all drivers can float. This gives Table 4-2 for
// the four plain values and the right thing for the half-known drives L and H of clause 7.4.
// Cost: linear in the number of inputs or drivers.
#include "settle/gate_kind.h"

namespace settle {
namespace {

constexpr Drive to_drive(Value value) { return static_cast<Drive>(value); }

Drive three_state(bool active_high, bool inverts, Value data, Value control) {
  control = as_input(control);
  data = inverts ? inverted(data) : as_input(data);
  if (control == Value::x) {
    if (data == Value::x) return Drive::x;
    return data == Value::zero ? Drive::zero_or_z : Drive::one_or_z;
  }
  return (control == Value::one) == active_high ? to_drive(data) : Drive::z;
}

/// The set of values that a wire can have.
struct Possible {
  bool zero = false, one = false, floating = true;
  void add(Drive drive) {
    zero |= drive == Drive::zero || drive == Drive::x || drive == Drive::zero_or_z;
    one |= drive == Drive::one || drive == Drive::x || drive == Drive::one_or_z;
    floating &= drive == Drive::z || drive == Drive::zero_or_z || drive == Drive::one_or_z;
  }
};

}  // namespace

Drive drive_of(GateKind kind, std::span<const Value> inputs) {
  switch (kind) {
    case GateKind::bufif0: return three_state(false, false, inputs[0], inputs[1]);
    case GateKind::bufif1: return three_state(true, false, inputs[0], inputs[1]);
    case GateKind::notif0: return three_state(false, true, inputs[0], inputs[1]);
    case GateKind::notif1: return three_state(true, true, inputs[0], inputs[1]);
    case GateKind::pullup: return Drive::one;
    case GateKind::pulldown: return Drive::zero;
    default: break;
  }
  bool any_zero = false, any_one = false, any_unknown = false, odd = false;
  for (const Value input : inputs) {
    any_zero |= input == Value::zero;
    any_one |= input == Value::one;
    any_unknown |= !is_binary(input);
    odd ^= input == Value::one;
  }
  const auto all_ones = any_zero ? Value::zero : any_unknown ? Value::x : Value::one;
  const auto some_one = any_one ? Value::one : any_unknown ? Value::x : Value::zero;
  const auto parity = any_unknown ? Value::x : to_value(odd);
  switch (kind) {
    case GateKind::and_: return to_drive(all_ones);
    case GateKind::nand: return to_drive(inverted(all_ones));
    case GateKind::or_: return to_drive(some_one);
    case GateKind::nor: return to_drive(inverted(some_one));
    case GateKind::buf:
    case GateKind::xor_: return to_drive(parity);
    case GateKind::not_:
    case GateKind::xnor: return to_drive(inverted(parity));
    default: return Drive::x;
  }
}

Value resolve(std::span<const Drive> strong, std::span<const Drive> pull) {
  Possible wire;
  for (const Drive drive : strong) wire.add(drive);
  if (wire.floating) {  // only then do the pull drivers show
    Possible pulled;
    for (const Drive drive : pull) pulled.add(drive);
    wire.zero |= pulled.zero;
    wire.one |= pulled.one;
    wire.floating = pulled.floating;
  }
  if (wire.floating) return wire.zero || wire.one ? Value::x : Value::z;
  if (wire.zero && wire.one) return Value::x;
  return to_value(wire.one);
}

}  // namespace settle
