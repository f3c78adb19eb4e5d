// A circuit as text, for tests: one gate a line.
#include <fmt/format.h>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle {
namespace {

std::string triple_text(const DelayTriple& triple) {
  if (triple.min == triple.typ && triple.typ == triple.max) return fmt::format("{}", triple.typ);
  return fmt::format("{}..{}..{}", triple.min, triple.typ, triple.max);
}

}  // namespace

std::string Circuit::dump() const {
  std::string out;
  for (GateId gate = 0; gate < gate_count(); ++gate) {
    out += fmt::format("{} {}", gate_name(gate), name_of(kind(gate)));
    for (const NetId net : fan_in(gate)) out.append(1, ' ').append(net_name(net));
    out.append(" -> ").append(net_name(visible_net(gate)));
    if (has_delays()) {
      const auto& [rise, fall] = delay(gate);
      out += rise == fall ? fmt::format(" {{delay={}}}", triple_text(rise))
                          : fmt::format(" {{rise={} fall={}}}", triple_text(rise), triple_text(fall));
    }
    out += '\n';
  }
  return out;
}

std::size_t Circuit::bytes() const {
  const auto of = [](const auto& array) { return array.capacity() * sizeof(array[0]); };
  return of(kinds_) + of(fan_in_start_) + of(fan_in_) + of(fan_out_start_) + of(fan_out_) +
         of(driver_start_) + of(drivers_) + of(shared_wire_) + of(delay_class_) + of(delays_) + of(part_of_) + of(parts_) +
         of(loop_start_) + of(loop_gates_) + of(loop_of_) + reaches_loop_.capacity() / 8 + of(input_ports_) +
         of(output_ports_) + of(outputs_) + of(gate_places_) + of(names_.instances) + of(names_.gates) +
         of(names_.nets) + of(names_.buses) + (names_.symbols ? names_.symbols->bytes() : 0);
}

}  // namespace settle
