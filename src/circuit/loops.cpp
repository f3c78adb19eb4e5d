// Storage loops: strongly connected components of the gate graph.
//
// Tarjan (SIAM J. Comput. 1 (2), 1972) in the one-array form of Pearce (Inf. Process. Lett. 116,
// 2016), with explicit stacks, since a chain of gates may be a million long. An edge runs from a
// gate to every gate that reads its visible net, which covers resolved nets too: each driver of
// such a wire has an edge to each of its readers. To keep a wire with d drivers and r readers at
// d + r instead of d * r edges, a resolved net is a vertex of its own in the search.
//
// Vertices: gates 0 .. G-1, then resolved nets. A component counts as a loop when it holds more
// than one gate, or one gate that reaches itself. Loops are numbered by their smallest gate and
// list their gates in ascending order, so the result depends only on the gate order.
// Then a search backwards from all loop gates marks the gates with a path into a loop.
// Cost: linear in gates and pins; 12 bytes a gate while it runs.
#include <algorithm>

#include "circuit/circuit_builder.h"
#include "text/large_pages.h"

namespace settle {
namespace {

std::vector<std::uint32_t> filled(std::size_t size, std::uint32_t value) {
  std::vector<std::uint32_t> array;
  reserve_large(array, size);
  array.assign(size, value);
  return array;
}

class ComponentSearch {
 public:
  explicit ComponentSearch(const Circuit& circuit)
      : circuit_(circuit), gates_(circuit.gate_count()), index_(filled(gates_ + circuit.resolved_count(), 0)) {}

  /// Component number of every vertex; numbers have gaps and no order.
  std::vector<std::uint32_t> run() {
    const auto vertices = static_cast<std::uint32_t>(index_.size());
    next_component_ = 0xffffffffu;
    for (std::uint32_t vertex = 0; vertex < vertices; ++vertex) {
      if (index_[vertex] == 0) visit(vertex);
    }
    return std::move(index_);
  }

 private:
  struct Frame {
    std::uint32_t vertex;
    std::uint32_t edge;  // next edge to follow
    bool is_root;
  };

  std::span<const GateId> successors(std::uint32_t vertex) const {
    return circuit_.fan_out(circuit_.input_count() + vertex);  // gate outputs, then resolved nets
  }
  std::uint32_t edge_count(std::uint32_t vertex) const {
    if (leads_to_wire(vertex)) return 1;
    return static_cast<std::uint32_t>(successors(vertex).size());
  }
  bool leads_to_wire(std::uint32_t vertex) const {
    return vertex < gates_ && circuit_.shared_wire(vertex) != no_id;
  }
  std::uint32_t successor(std::uint32_t vertex, std::uint32_t edge) const {
    if (leads_to_wire(vertex)) return gates_ + circuit_.shared_wire(vertex) - circuit_.first_resolved();
    return successors(vertex)[edge];
  }

  void open(std::uint32_t vertex) {
    index_[vertex] = ++visited_;
    frames_.push_back({vertex, 0, true});
  }

  // index_ holds 0 (new), the visit number or the lowest one reached (open), or a component
  // number, which is larger than every visit number (closed).
  void visit(std::uint32_t start) {
    open(start);
    while (!frames_.empty()) {
      Frame& frame = frames_.back();
      const auto vertex = frame.vertex;
      if (frame.edge < edge_count(vertex)) {
        const auto next = successor(vertex, frame.edge);
        if (index_[next] == 0) {
          open(next);  // the edge is looked at again on the way back
          continue;
        }
        if (index_[next] < index_[vertex]) {
          index_[vertex] = index_[next];
          frame.is_root = false;
        }
        ++frame.edge;
        continue;
      }
      if (frame.is_root) {
        close(vertex);
      } else {
        members_.push_back(vertex);
      }
      frames_.pop_back();
    }
  }

  void close(std::uint32_t root) {
    --visited_;
    while (!members_.empty() && index_[members_.back()] >= index_[root]) {
      index_[members_.back()] = next_component_;
      members_.pop_back();
      --visited_;
    }
    index_[root] = next_component_--;
  }

  const Circuit& circuit_;
  std::uint32_t gates_;
  std::vector<std::uint32_t> index_;
  std::uint32_t visited_ = 0;
  std::uint32_t next_component_ = 0;
  std::vector<Frame> frames_;
  std::vector<std::uint32_t> members_;
};

bool feeds_itself(const Circuit& circuit, GateId gate) {
  const auto readers = circuit.fan_out(circuit.visible_net(gate));
  return std::binary_search(readers.begin(), readers.end(), gate);
}

void mark_backwards(const Circuit& circuit, const std::vector<GateId>& loop_gates,
                    std::vector<bool>& marked) {
  std::vector<GateId> work = loop_gates;
  for (const GateId gate : work) marked[gate] = true;
  const auto reach = [&](NetId net) {
    if (!circuit.is_gate_output(net) || marked[circuit.gate_of(net)]) return;
    marked[circuit.gate_of(net)] = true;
    work.push_back(circuit.gate_of(net));
  };
  std::vector<bool> wire_done(circuit.resolved_count());
  while (!work.empty()) {
    const GateId gate = work.back();
    work.pop_back();
    for (const NetId net : circuit.fan_in(gate)) {
      if (!circuit.is_resolved(net)) {
        reach(net);
      } else if (!wire_done[net - circuit.first_resolved()]) {
        wire_done[net - circuit.first_resolved()] = true;
        for (const NetId driver : circuit.drivers_of(net)) reach(driver);
      }
    }
  }
}

}  // namespace

Loops find_loops(const Circuit& circuit) {
  Loops loops;
  const auto gates = circuit.gate_count();
  const auto component = ComponentSearch(circuit).run();
  // Component numbers count down from 2^32 - 1, one a vertex at most.
  const auto slot = [&](GateId gate) { return 0xffffffffu - component[gate]; };
  auto size = filled(component.size(), 0);
  for (GateId gate = 0; gate < gates; ++gate) ++size[slot(gate)];

  constexpr std::uint32_t none = no_id;
  auto number = filled(component.size(), none);
  std::uint32_t total = 0;
  for (GateId gate = 0; gate < gates; ++gate) {
    const auto s = slot(gate);
    if (number[s] != none || (size[s] == 1 && !feeds_itself(circuit, gate))) continue;
    number[s] = static_cast<std::uint32_t>(loops.start.size()) - 1;
    total += size[s];
    loops.start.push_back(total);
  }
  if (total == 0) return loops;

  loops.start.shrink_to_fit();
  reserve_large(loops.gates, total);
  loops.gates.resize(total);
  loops.loop_of = filled(gates, none);
  std::vector<std::uint32_t> fill(loops.start.begin(), loops.start.end() - 1);
  for (GateId gate = 0; gate < gates; ++gate) {
    const auto loop = number[slot(gate)];
    loops.loop_of[gate] = loop;
    if (loop != none) loops.gates[fill[loop]++] = gate;
  }
  loops.reaches_loop.assign(gates, false);
  mark_backwards(circuit, loops.gates, loops.reaches_loop);
  return loops;
}

}  // namespace settle
