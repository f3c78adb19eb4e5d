// The invariants of a Circuit, each checked from scratch. Cost: linear, but for the loops, which
// are checked by their definition on the gates that take part only.
#include <fmt/format.h>

#include <algorithm>

#include "settle/circuit.h"

namespace settle {
namespace {

class Verifier {
 public:
  explicit Verifier(const Circuit& circuit) : circuit_(circuit) {}

  std::string run() {
    check_pins();
    check_fan_out();
    check_wires();
    check_ports();
    check_delays();
    check_loops();
    check_names();
    return std::move(broken_);
  }

 private:
  void fail(const std::string& text) {
    if (++count_ <= 20) broken_ += text + "\n";
  }

  void check_pins() {
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      const auto pins = circuit_.fan_in(gate);
      const auto range = fan_in_of(circuit_.kind(gate));
      if (pins.size() < range.least || pins.size() > range.most) {
        fail(fmt::format("gate {} has {} inputs", gate, pins.size()));
      }
      for (const NetId net : pins) {
        if (net >= circuit_.net_count()) {
          fail(fmt::format("gate {} reads net {} of {}", gate, net, circuit_.net_count()));
        } else if (circuit_.is_gate_output(net) && circuit_.shared_wire(circuit_.gate_of(net)) != no_id) {
          fail(fmt::format("gate {} reads the private net {}", gate, net));
        }
      }
    }
  }

  void check_fan_out() {
    std::size_t entries = 0, pins = 0;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) pins += circuit_.fan_in(gate).size();
    std::vector<std::uint32_t> left(circuit_.gate_count());
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      left[gate] = static_cast<std::uint32_t>(circuit_.fan_in(gate).size());
    }
    for (NetId net = 0; net < circuit_.net_count(); ++net) {
      const auto readers = circuit_.fan_out(net);
      entries += readers.size();
      if (!std::is_sorted(readers.begin(), readers.end()))
        fail(fmt::format("fan-out of net {} is not sorted", net));
      for (const GateId gate : readers) {
        if (gate >= circuit_.gate_count() || left[gate]-- == 0) {
          fail(fmt::format("fan-out of net {} lists gate {} too often", net, gate));
          return;
        }
        const auto read = circuit_.fan_in(gate);
        if (std::find(read.begin(), read.end(), net) == read.end()) {
          fail(fmt::format("fan-out of net {} lists gate {}, which does not read it", net, gate));
        }
      }
    }
    if (entries != pins) fail(fmt::format("{} fan-out entries for {} input pins", entries, pins));
  }

  void check_wires() {
    std::vector<NetId> wire_of(circuit_.gate_count(), no_id);
    for (NetId net = circuit_.first_resolved(); net < circuit_.first_undriven(); ++net) {
      const auto drivers = circuit_.drivers_of(net);
      if (drivers.size() < 2) fail(fmt::format("resolved net {} has {} drivers", net, drivers.size()));
      if (!std::is_sorted(drivers.begin(), drivers.end()))
        fail(fmt::format("drivers of net {} are not sorted", net));
      int strong = 0;
      for (const NetId driver : drivers) {
        if (!circuit_.is_gate_output(driver)) {
          fail(fmt::format("net {} drives net {} but is no gate output", driver, net));
          continue;
        }
        wire_of[circuit_.gate_of(driver)] = net;
        strong += is_push_pull(circuit_.kind(circuit_.gate_of(driver))) ? 1 : 0;
      }
      if (strong > 1) fail(fmt::format("net {} has {} push-pull drivers", net, strong));
    }
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (circuit_.shared_wire(gate) != wire_of[gate])
        fail(fmt::format("gate {} has the wrong shared wire", gate));
    }
  }

  void check_ports() {
    const auto check = [&](const std::vector<Port>& ports, std::size_t bits, const char* kind) {
      std::uint32_t next = 0;
      for (const auto& port : ports) {
        const auto span = (port.msb > port.lsb ? port.msb - port.lsb : port.lsb - port.msb) + 1;
        if (port.first != next || port.width != (port.is_bus ? span : 1)) {
          fail(fmt::format("{} pin '{}' has the wrong bits", kind, port.name));
        }
        next += port.width;
      }
      if (next != bits) fail(fmt::format("{} pins have {} bits, not {}", kind, next, bits));
    };
    check(circuit_.input_ports(), circuit_.input_count(), "input");
    check(circuit_.output_ports(), circuit_.outputs().size(), "output");
    for (const NetId net : circuit_.outputs()) {
      if (net >= circuit_.net_count()) fail(fmt::format("output net {} does not exist", net));
    }
  }

  void check_delays() {
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      const auto& delay = circuit_.delay(gate);
      for (const auto& triple : {delay.rise, delay.fall}) {
        if (triple.min < 1 || triple.min > triple.typ || triple.typ > triple.max) {
          fail(fmt::format("gate {} has a delay out of order", gate));
        }
      }
    }
  }

  template <typename Visit>
  void each_successor(GateId gate, Visit visit) const {
    for (const GateId reader : circuit_.fan_out(circuit_.visible_net(gate))) visit(reader);
  }

  /// Every gate of the loop can be reached from its first gate, and back.
  bool is_strongly_connected(std::uint32_t loop, bool forwards, std::vector<std::uint32_t>& seen,
                             std::uint32_t mark) const {
    const auto gates = circuit_.loop(loop);
    std::vector<GateId> work{gates[0]};
    seen[gates[0]] = mark;
    std::size_t reached = 0;
    const auto reach = [&](GateId gate) {
      if (circuit_.loop_of(gate) != loop || seen[gate] == mark) return;
      seen[gate] = mark;
      work.push_back(gate);
    };
    while (!work.empty()) {
      const GateId gate = work.back();
      work.pop_back();
      ++reached;
      if (forwards) {
        each_successor(gate, reach);
        continue;
      }
      for (const NetId net : circuit_.fan_in(gate)) {
        if (circuit_.is_gate_output(net)) reach(circuit_.gate_of(net));
        if (!circuit_.is_resolved(net)) continue;
        for (const NetId driver : circuit_.drivers_of(net)) reach(circuit_.gate_of(driver));
      }
    }
    return reached == gates.size();
  }

  void check_loops() {
    std::vector<std::uint32_t> seen(circuit_.gate_count(), 0);
    std::size_t in_loops = 0;
    for (std::uint32_t loop = 0; loop < circuit_.loop_count(); ++loop) {
      const auto gates = circuit_.loop(loop);
      in_loops += gates.size();
      if (gates.empty() || !std::is_sorted(gates.begin(), gates.end())) {
        fail(fmt::format("loop {} is empty or not sorted", loop));
        continue;
      }
      if (loop > 0 && circuit_.loop(loop - 1)[0] >= gates[0])
        fail(fmt::format("loop {} is out of order", loop));
      for (const GateId gate : gates) {
        if (circuit_.loop_of(gate) != loop)
          fail(fmt::format("gate {} is not marked as in loop {}", gate, loop));
      }
      if (!is_strongly_connected(loop, true, seen, 2 * loop + 1) ||
          !is_strongly_connected(loop, false, seen, 2 * loop + 2)) {
        fail(fmt::format("loop {} is not strongly connected", loop));
      }
      bool has_edge = false;
      each_successor(gates[0], [&](GateId reader) { has_edge |= circuit_.loop_of(reader) == loop; });
      if (!has_edge) fail(fmt::format("loop {} does not feed itself", loop));
    }
    check_order_between_loops(in_loops);
  }

  /// With each loop as one vertex, the gates must have an order: else a loop was missed.
  void check_order_between_loops(std::size_t in_loops) {
    const auto gates = circuit_.gate_count();
    const auto vertices = circuit_.loop_count() + gates;
    const auto vertex = [&](GateId gate) {
      const auto loop = circuit_.loop_of(gate);
      return loop == no_id ? circuit_.loop_count() + gate : loop;
    };
    // Shared wires would cost drivers times readers; each is a vertex as well.
    const auto wires = vertices;
    std::vector<std::uint32_t> waiting(vertices + circuit_.resolved_count(), 0);
    std::vector<std::uint32_t> wire_loop(circuit_.resolved_count(), no_id);
    for (NetId net = circuit_.first_resolved(); net < circuit_.first_undriven(); ++net) {
      for (const GateId reader : circuit_.fan_out(net)) {
        const auto loop = circuit_.loop_of(reader);
        if (loop == no_id) continue;
        for (const NetId driver : circuit_.drivers_of(net)) {
          if (circuit_.loop_of(circuit_.gate_of(driver)) == loop)
            wire_loop[net - circuit_.first_resolved()] = loop;
        }
      }
    }
    const auto wire_vertex = [&](NetId net) {
      const auto i = net - circuit_.first_resolved();
      return wire_loop[i] == no_id ? wires + i : wire_loop[i];
    };
    const auto each_edge = [&](GateId gate, auto visit) {
      if (circuit_.shared_wire(gate) == no_id) {
        each_successor(gate, [&](GateId reader) { visit(vertex(gate), vertex(reader)); });
      } else {
        visit(vertex(gate), wire_vertex(circuit_.shared_wire(gate)));
      }
    };
    std::vector<std::vector<std::uint32_t>> members(circuit_.loop_count());
    for (std::uint32_t i = 0; i < circuit_.resolved_count(); ++i) {
      if (wire_loop[i] != no_id) members[wire_loop[i]].push_back(circuit_.first_resolved() + i);
    }
    const auto each_wire_edge = [&](NetId net, auto visit) {
      for (const GateId reader : circuit_.fan_out(net)) visit(wire_vertex(net), vertex(reader));
    };
    const auto count_edge = [&](std::uint32_t from, std::uint32_t to) { waiting[to] += from != to ? 1 : 0; };
    for (GateId gate = 0; gate < gates; ++gate) each_edge(gate, count_edge);
    for (NetId net = circuit_.first_resolved(); net < circuit_.first_undriven(); ++net)
      each_wire_edge(net, count_edge);
    std::vector<std::uint32_t> ready;
    std::size_t done = 0, expected = 0;
    const auto exists = [&](std::uint32_t v) {
      if (v < circuit_.loop_count()) return true;
      if (v < wires) return circuit_.loop_of(v - circuit_.loop_count()) == no_id;
      return wire_loop[v - wires] == no_id;
    };
    for (std::uint32_t v = 0; v < waiting.size(); ++v) {
      if (!exists(v)) continue;
      ++expected;
      if (waiting[v] == 0) ready.push_back(v);
    }
    const auto release = [&](std::uint32_t from, std::uint32_t to) {
      if (from != to && --waiting[to] == 0) ready.push_back(to);
    };
    while (!ready.empty()) {
      const auto v = ready.back();
      ready.pop_back();
      ++done;
      if (v < circuit_.loop_count()) {
        for (const GateId gate : circuit_.loop(v)) each_edge(gate, release);
        for (const NetId net : members[v]) each_wire_edge(net, release);
      } else if (v < wires) {
        each_edge(v - circuit_.loop_count(), release);
      } else {
        each_wire_edge(circuit_.first_resolved() + (v - wires), release);
      }
    }
    if (done != expected) fail("some loop is not listed");
    std::size_t marked = 0;
    for (GateId gate = 0; gate < gates; ++gate) {
      marked += circuit_.loop_of(gate) != no_id ? 1 : 0;
      bool reaches = circuit_.loop_of(gate) != no_id;
      each_successor(gate, [&](GateId reader) { reaches |= circuit_.reaches_loop(reader); });
      if (reaches != circuit_.reaches_loop(gate)) fail(fmt::format("gate {}: wrong path into a loop", gate));
    }
    if (marked != in_loops) fail(fmt::format("{} gates marked as in loops, {} listed", marked, in_loops));
  }

  void check_names() {
    const auto& names = circuit_.names();
    if (!names.symbols || names.instances.empty()) return fail("no names");
    if (names.gates.size() != circuit_.gate_count()) fail("not every gate has a name");
    if (names.nets.size() != circuit_.net_count()) fail("not every net has a name");
    for (std::uint32_t i = 1; i < names.instances.size(); ++i) {
      if (names.instances[i].parent >= i) fail(fmt::format("instance {} stands before its parent", i));
    }
    const auto check = [&](const NameRef& ref) {
      return ref.instance < names.instances.size() &&
             (ref.name == no_symbol || ref.name < names.symbols->size());
    };
    if (!std::all_of(names.gates.begin(), names.gates.end(), check)) fail("a gate name points nowhere");
    if (!std::all_of(names.nets.begin(), names.nets.end(), check)) fail("a net name points nowhere");
  }

  const Circuit& circuit_;
  std::string broken_;
  int count_ = 0;
};

}  // namespace

std::string verify(const Circuit& circuit) { return Verifier(circuit).run(); }

}  // namespace settle
