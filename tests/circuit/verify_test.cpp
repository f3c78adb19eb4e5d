// verify() must see what is wrong with a circuit that was put together badly.
#include "circuit/circuit_builder.h"
#include "support/catch.h"

namespace settle {
namespace {

/// A sound latch, or one of its parts spoiled.
struct Latch {
  GateKind kind = GateKind::nor;
  bool second_on_first_wire = false;
  std::uint32_t width = 1;
  bool is_bus = false;
  std::uint64_t typical = 2;
  std::uint32_t parent = 0;
  Symbol gate_symbol = 0;

  std::string check() const {
    CircuitBuilder builder({2, 4, 2});
    auto symbols = std::make_shared<SymbolTable>();
    const auto name = symbols->intern("hold");
    builder.names().symbols = symbols;
    builder.names().instances.push_back({});
    builder.names().instances.push_back({parent, name, no_id, name});
    builder.set_delays({GateDelay{}, GateDelay{{1, typical, 3}, {1, 2, 3}}}, TimeUnit::none);
    const auto set = builder.add_input({0, name, 0}), reset = builder.add_input({0, name, 1});
    builder.add_input_port({"in", 0, 1, true, 0, 2});
    const auto q = builder.add_wire({0, name, 2}), p = builder.add_wire({0, name, 3});
    builder.add_output_port({"q", 0, 0, is_bus, 0, width});
    builder.add_output(q);
    builder.add_pin(reset);
    builder.add_pin(p);
    builder.finish_gate(kind, q, {0, gate_symbol, no_id}, {}, 1);
    builder.add_pin(set);
    builder.add_pin(q);
    builder.finish_gate(GateKind::nor, second_on_first_wire ? q : p, {0, name, 1}, {}, 0);
    return verify(builder.finish());
  }
};

TEST_CASE("a sound circuit has nothing broken") {
  CHECK(Latch{}.check() == "");
  Latch wired;
  wired.kind = GateKind::bufif1;
  wired.second_on_first_wire = true;
  CHECK(wired.check() == "");
}

TEST_CASE("each spoiled part is named") {
  Latch latch;
  SECTION("a gate with an impossible fan-in") {
    latch.kind = GateKind::not_;
    CHECK(latch.check() == "gate 0 has 2 inputs\n");
  }
  SECTION("contention") {
    latch.second_on_first_wire = true;
    CHECK(latch.check() == "net 4 has 2 push-pull drivers\n");
  }
  SECTION("a pin with the wrong width") {
    latch.width = 2;
    CHECK(latch.check() == "output pin 'q' has the wrong bits\noutput pins have 2 bits, not 1\n");
  }
  SECTION("a delay whose typical value is larger than its largest") {
    latch.typical = 4;
    CHECK(latch.check() == "gate 0 has a delay out of order\n");
  }
  SECTION("a delay of nothing") {
    latch.typical = 0;
    CHECK(latch.check() == "gate 0 has a delay out of order\n");
  }
  SECTION("an instance before its parent") {
    latch.parent = 1;
    CHECK(latch.check() == "instance 1 stands before its parent\n");
  }
  SECTION("a name that does not exist") {
    latch.gate_symbol = 7;
    CHECK(latch.check() == "a gate name points nowhere\n");
  }
}

}  // namespace
}  // namespace settle
