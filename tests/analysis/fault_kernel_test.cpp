// The many-lane fault kernel against a simulator that does one fault at a time, value by value.
#include <algorithm>
#include <random>
#include <string>

#include "settle/fault.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

/// One fault, scalar values, every gate at every tick.
class NaiveFault {
 public:
  NaiveFault(const FaultNetwork& network, const Fault& fault) : n_(network), fault_(fault) {
    drive_.assign(network.driver_count(), Value::x);
    drive_[FaultNetwork::drive_zero] = Value::zero;
    drive_[FaultNetwork::drive_one] = Value::one;
  }

  void apply(const std::vector<Value>& inputs) {
    for (std::uint32_t i = 0; i < inputs.size(); ++i) drive_[n_.input_driver(i)] = inputs[i];
    for (std::uint64_t tick = 0;; ++tick) {
      std::vector<Value> next(drive_);
      for (std::uint32_t g = 0; g < n_.gate_count(); ++g) {
        GateKind kind = n_.gate(g).kind;
        std::vector<std::uint32_t> nets = n_.gate(g).nets;
        for (const auto& change : fault_.gates) {
          if (change.gate != g) continue;
          kind = change.kind;
          nets = change.nets;
        }
        std::vector<Value> values;
        for (const auto net : nets) {
          const Value value = seen(net);
          values.push_back(value != Value::z ? value : n_.gate(g).floats_high ? Value::one : Value::x);
        }
        Value& out = next[n_.gate_driver(g)];
        const Value now = evaluate(kind, values);
        if (now != out) out = tick > std::uint64_t{n_.gate_count()} + 16 ? Value::x : now;
      }
      if (next == drive_) return;
      drive_ = next;
    }
  }

  Value seen(std::uint32_t net) const {
    std::vector<std::uint32_t> drivers(n_.drivers(net).begin(), n_.drivers(net).end());
    auto clash = Fault::Clash::unknown;
    bool inverts = false;
    for (const auto& change : fault_.nets) {
      if (change.net != net) continue;
      drivers = change.drivers;
      clash = change.clash;
      inverts = change.inverts;
    }
    bool has_zero = false, has_one = false, has_x = false;
    for (const auto driver : drivers) {
      const Value v = drive_[driver];
      has_zero |= v == Value::zero;
      has_one |= v == Value::one;
      has_x |= v == Value::x;
    }
    Value value = Value::x;
    if (!has_zero && !has_one && !has_x) value = Value::z;
    else if (!has_x && has_zero != has_one) value = to_value(has_one);
    else if (clash == Fault::Clash::low_wins && has_zero) value = Value::zero;
    else if (clash == Fault::Clash::high_wins && has_one) value = Value::one;
    return inverts && is_binary(value) ? inverted(value) : value;
  }

 private:
  const FaultNetwork& n_;
  const Fault& fault_;
  std::vector<Value> drive_;
};

Value lane_value(LaneWord word, unsigned lane) {
  const bool one = (word.may_be_one >> lane & 1) != 0, zero = (word.may_be_zero >> lane & 1) != 0;
  return one && zero ? Value::x : one ? Value::one : zero ? Value::zero : Value::z;
}

void compare_all(const Circuit& circuit, std::uint64_t seed, int steps) {
  FaultLimits limits;
  const FaultModel model = gate_faults(circuit, limits);
  REQUIRE(model.complete);
  std::mt19937_64 random(seed);
  std::vector<std::vector<Value>> inputs;
  for (int i = 0; i < steps; ++i) {
    inputs.emplace_back();
    for (NetId net = 0; net < circuit.input_count(); ++net) inputs.back().push_back(random() % 8 == 0 ? Value::x : to_value(random() % 2 != 0));
  }
  for (std::size_t first = 0; first < model.faults.size(); first += 64) {
    std::vector<const Fault*> lanes;
    for (std::size_t i = first; i < std::min(first + 64, model.faults.size()); ++i) lanes.push_back(&model.faults[i]);
    FaultKernel kernel(model.network, lanes);
    std::vector<NaiveFault> twins;
    for (const Fault* fault : lanes) twins.emplace_back(model.network, *fault);
    for (const auto& vector : inputs) {
      kernel.apply(vector);
      for (std::size_t lane = 0; lane < lanes.size(); ++lane) {
        twins[lane].apply(vector);
        for (std::uint32_t net = 0; net < model.network.net_count(); ++net) {
          if (lane_value(kernel.word({net, false}), static_cast<unsigned>(lane)) == twins[lane].seen(net)) continue;
          INFO(circuit.dump() << lanes[lane]->what << "; " << lanes[lane]->assumed << ", net " << net);
          FAIL("the kernel and its twin disagree");
        }
      }
    }
  }
  CHECK(model.faults.size() > 1);
}

TEST_CASE("Every single fault of small cells agrees with its twin") {
  compare_all(testing::circuit("cell m\n in e l\n out q c\n nor a: l c -> q\n nor b: e q -> c\nend\n"), 1, 12);
  compare_all(testing::circuit("cell r\n out a b c\n not g: c -> a\n not h: a -> b\n not i: b -> c\nend\n"), 2, 3);
  compare_all(testing::circuit("cell d\n in d g\n out q n\n nand a: d g -> s\n nand b: s g -> r\n nand c: s n -> q\n nand e: r q -> n\nend\n"), 3, 12);
}

TEST_CASE("Every single fault of random circuits agrees with its twin") {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    CAPTURE(seed);
    testing::RandomCircuitOptions options;
    options.most_gates = 12;
    compare_all(testing::circuit(testing::random_circuit(seed, options)), seed, 5);
  }
}

TEST_CASE("Lanes that change places go on as they would have, and what moves is told") {
  const Circuit circuit = testing::circuit("cell d\n in d g\n out q n\n nand a: d g -> s\n nand b: s g -> r\n nand c: s n -> q\n nand e: r q -> n\nend\n");
  const FaultModel model = gate_faults(circuit, {});
  REQUIRE(model.faults.size() > 70);
  std::vector<const Fault*> here, there, mixed;
  for (std::size_t i = 0; i < 64; ++i) {
    here.push_back(&model.faults[i]);
    there.push_back(&model.faults[model.faults.size() - 1 - i]);
  }
  FaultKernel first(model.network, here), second(model.network, there);
  const auto step = [](unsigned i) { return std::vector<Value>{to_value(i % 3 == 1), to_value(i % 2 == 0)}; };
  for (unsigned i = 0; i < 5; ++i) {
    first.apply(step(i));
    second.apply(step(i));
  }
  std::vector<FaultKernel::LaneOf> from;  // by turns, backwards
  for (unsigned lane = 0; lane < 64; ++lane) {
    from.push_back({lane % 2 == 0 ? &first : &second, 63 - lane});
    mixed.push_back((lane % 2 == 0 ? here : there)[63 - lane]);
  }
  FaultKernel third(model.network, mixed);
  third.take_over(from);
  for (unsigned i = 5; i < 12; ++i) {
    std::vector<LaneWord> before;
    for (std::uint32_t net = 0; net < model.network.net_count(); ++net) before.push_back(third.word({net, false}));
    first.apply(step(i));
    second.apply(step(i));
    third.apply(step(i));
    for (std::uint32_t net = 0; net < model.network.net_count(); ++net) {
      CAPTURE(i, net);
      bool same = true;
      for (unsigned lane = 0; lane < 64; ++lane)
        same = same && lane_value(third.word({net, false}), lane) == lane_value(from[lane].kernel->word({net, false}), from[lane].lane);
      CHECK(same);
      const auto moved = third.moved();
      if (before[net] != third.word({net, false})) CHECK(std::count(moved.begin(), moved.end(), SignalRef{net, false}) == 1);
    }
  }
}

}  // namespace
}  // namespace settle
