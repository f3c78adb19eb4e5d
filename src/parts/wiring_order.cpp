// Pins and wires.
//
// Order of building: power, which is tested before anything else; then what makes the circuit remember, the
// feedback of each loop; then the rest from the inputs to the outputs; constants and pins at rest last, so
// that a forgotten one shows as a list at the end. Along a net each wire starts where the one before ended:
// no pin gets more than two wires. Linear in pins.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "parts/wiring_finish.h"

namespace settle {
namespace {

constexpr std::uint32_t most_loop_steps = 8;  // more loops share one step

class WireOrder {
 public:
  WireOrder(Wiring& wiring, const Circuit& circuit)
      : w_(wiring),
        c_(circuit),
        pins_(pins_by_net(wiring)),
        last_(wiring.nets.size()),
        done_(wiring.nets.size()),
        is_input_(wiring.nets.size(), false) {}

  void run() {
    for (const WireNetId net : w_.inputs) is_input_[net] = true;
    add_power();
    add_feedback();
    add_rest();
    add_inputs();
    add_outputs();
    add_constants();
  }

 private:
  WiringStep& open(std::string title, std::string test = {}) {
    w_.steps.push_back({std::move(title), std::move(test), {}});
    return w_.steps.back();
  }
  void close() {
    if (w_.steps.back().wires.empty()) w_.steps.pop_back();
  }
  void connect(WireNetId net, const WireEnd& to) {
    if (!last_[net]) {
      last_[net] = to;
      return;
    }
    w_.steps.back().wires.push_back({net, *last_[net], to});
    last_[net] = to;
  }

  void add_power() {
    open("Power", "before going on, measure the supply at the pins of each chip");
    for (std::uint32_t chip = 0; chip < w_.chips.size(); ++chip) {
      const Part& part = w_.parts[w_.chips[chip].part];
      w_.steps.back().wires.push_back(
          {supply_net, {WireEnd::Kind::supply_rail, 0, 0}, {WireEnd::Kind::pin, chip, part.supply}});
      w_.steps.back().wires.push_back(
          {ground_net, {WireEnd::Kind::ground_rail, 0, 0}, {WireEnd::Kind::pin, chip, part.ground}});
    }
    close();
  }

  std::uint32_t loop_at(const WireEnd& end) const {
    const PinGate at = gate_at(w_, end.chip, end.number);
    return at.gate == nullptr || at.gate->gate == no_id ? no_id : c_.loop_of(at.gate->gate);
  }

  void add_feedback() {
    std::map<std::uint32_t, std::vector<std::pair<WireNetId, std::vector<std::size_t>>>> by_loop;
    for (WireNetId net = 2; net < w_.nets.size(); ++net) {
      if (pins_[net].drivers.empty()) continue;
      const std::uint32_t loop = loop_at(pins_[net].drivers.front());
      if (loop == no_id) continue;
      std::vector<std::size_t> readers;
      for (std::size_t i = 0; i < pins_[net].readers.size(); ++i) {
        if (loop_at(pins_[net].readers[i]) == loop) readers.push_back(i);
      }
      if (!readers.empty()) by_loop[loop].emplace_back(net, std::move(readers));
    }
    const bool together = by_loop.size() > most_loop_steps;
    if (together) open(fmt::format("Feedback of the {} loops", by_loop.size()));
    for (const auto& [loop, nets] : by_loop) {
      if (!together) open(by_loop.size() == 1 ? "Feedback" : fmt::format("Feedback of loop {}", loop + 1));
      for (const auto& [net, readers] : nets) {
        for (const WireEnd& driver : pins_[net].drivers) connect(net, driver);
        for (const auto i : readers) connect(net, pins_[net].readers[i]);
        done_[net].assign(pins_[net].readers.size(), false);
        for (const auto i : readers) done_[net][i] = true;
      }
      if (!together) close();
    }
    if (together) close();
  }

  void add_net(WireNetId net) {
    for (const WireEnd& driver : pins_[net].drivers) {
      if (done_[net].empty()) connect(net, driver);
    }
    for (std::size_t i = 0; i < pins_[net].readers.size(); ++i) {
      if (done_[net].empty() || !done_[net][i]) connect(net, pins_[net].readers[i]);
    }
  }

  void add_rest() {
    open("Between the gates");
    for (WireNetId net = 2; net < w_.nets.size(); ++net) {
      if (!is_input_[net]) add_net(net);
    }
    close();
  }

  void add_inputs() {
    open("Inputs");
    for (std::uint32_t i = 0; i < w_.inputs.size(); ++i) {
      connect(w_.inputs[i], {WireEnd::Kind::input, 0, i});
      add_net(w_.inputs[i]);
    }
    close();
  }

  void add_outputs() {
    open("Outputs");
    for (std::uint32_t i = 0; i < w_.outputs.size(); ++i) {
      const WireNetId net = w_.outputs[i];
      const WireEnd end{WireEnd::Kind::output, 0, i};
      if (net == ground_net || net == supply_net) {
        w_.steps.back().wires.push_back(
            {net, {net == ground_net ? WireEnd::Kind::ground_rail : WireEnd::Kind::supply_rail, 0, 0}, end});
      } else {
        connect(net, end);
      }
    }
    close();
  }

  void add_constants() {
    open("Constants and inputs at rest");
    for (const WireNetId net : {ground_net, supply_net}) {
      for (const WireEnd& end : pins_[net].readers) {
        const Part& part = w_.parts[w_.chips[end.chip].part];
        if (end.number == part.supply || end.number == part.ground) continue;
        w_.steps.back().wires.push_back(
            {net, {net == ground_net ? WireEnd::Kind::ground_rail : WireEnd::Kind::supply_rail, 0, 0}, end});
      }
    }
    close();
  }

  Wiring& w_;
  const Circuit& c_;
  std::vector<NetPins> pins_;
  std::vector<std::optional<WireEnd>> last_;  // by net: where its wires end so far
  std::vector<std::vector<bool>> done_;       // by net and reader: wired with the feedback
  std::vector<bool> is_input_;                // by net
};

}  // namespace

PinGate gate_at(const Wiring& wiring, std::uint32_t chip, std::uint32_t pin) {
  const WiredChip& at = wiring.chips[chip];
  const Part& part = wiring.parts[at.part];
  for (std::size_t g = 0; g < part.gates.size(); ++g) {
    const auto& inputs = part.gates[g].inputs;
    const bool is_output = part.gates[g].output == pin;
    if (is_output || std::find(inputs.begin(), inputs.end(), pin) != inputs.end())
      return {&at.gates[g], is_output};
  }
  return {};
}

std::vector<NetPins> pins_by_net(const Wiring& wiring) {
  std::vector<NetPins> result(wiring.nets.size());
  for (std::uint32_t chip = 0; chip < wiring.chips.size(); ++chip) {
    const auto& pins = wiring.chips[chip].pins;
    for (std::uint32_t pin = 1; pin <= pins.size(); ++pin) {
      const WireNetId net = pins[pin - 1];
      if (net == no_id) continue;
      NetPins& at = result[net];
      (gate_at(wiring, chip, pin).is_output ? at.drivers : at.readers)
          .push_back({WireEnd::Kind::pin, chip, pin});
    }
  }
  return result;
}

void connect_pins(Wiring& wiring) {
  std::vector<unsigned> uses(wiring.nets.size(), 0);
  for (const WireNetId net : wiring.inputs) uses[net]++;
  for (const WireNetId net : wiring.outputs) uses[net]++;
  for (const PullResistor& pull : wiring.pulls) uses[pull.net]++;
  for (const WiredChip& chip : wiring.chips) {
    for (const WiredGate& gate : chip.gates) {
      for (const WireNetId net : gate.inputs) uses[net]++;
      if (gate.output != no_id) uses[gate.output]++;
    }
  }
  for (WiredChip& chip : wiring.chips) {
    const Part& part = wiring.parts[chip.part];
    chip.pins.assign(part.pin_count, no_id);
    chip.pins[part.supply - 1u] = supply_net;
    chip.pins[part.ground - 1u] = ground_net;
    for (std::size_t g = 0; g < part.gates.size(); ++g) {
      WiredGate& gate = chip.gates[g];
      const PartGate& pins = part.gates[g];
      for (std::size_t i = 0; i < pins.inputs.size(); ++i) {
        chip.pins[pins.inputs[i] - 1u] = gate.gate == no_id ? ground_net : gate.inputs[i];
      }
      // An output that nothing reads stays open.
      if (gate.output != no_id && uses[gate.output] > 1) chip.pins[pins.output - 1u] = gate.output;
    }
  }
}

void order_wires(Wiring& wiring, const Circuit& circuit) { WireOrder(wiring, circuit).run(); }

}  // namespace settle
