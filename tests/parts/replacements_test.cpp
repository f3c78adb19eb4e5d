#include "parts/replacements.h"

#include "support/catch.h"

namespace settle {
namespace {

std::vector<GateNeed> all_packages() {
  std::vector<GateNeed> gates;
  const Catalogue catalogue = built_in_catalogue();
  for (const Part& part : catalogue.parts()) {
    gates.push_back({part.kind, static_cast<std::uint32_t>(part.fan_in())});
  }
  return gates;
}

TEST_CASE("Each way to build a gate has the gate's truth table") {
  const auto packages = all_packages();
  std::size_t count = 0;
  for (int k = 0; k < gate_kind_count; ++k) {
    const auto kind = static_cast<GateKind>(k);
    if (is_pull(kind)) continue;
    const FanInRange range = fan_in_of(kind);
    for (std::uint32_t inputs = std::max(range.least, 1u); inputs <= std::min(range.most, 7u); ++inputs) {
      if (inputs == 1 && kind != GateKind::buf && kind != GateKind::not_) continue;
      const GateNeed need{kind, inputs};
      for (const Way& way : ways_of(need, packages, Substitute::full)) {
        CAPTURE(text_of(need), way.text);
        CHECK(has_function(way, need));
        ++count;
      }
    }
  }
  CHECK(count > 150);
}

TEST_CASE("A wrong way is noticed") {
  const GateNeed need{GateKind::and_, 2};
  CHECK(!has_function({Substitute::full, {{{GateKind::nand, 2}, {0, 1}}}, "", false}, need));
  CHECK(!has_function({Substitute::full,
                       {{{GateKind::not_, 1}, {0}}, {{GateKind::nor, 2}, {WayGate::first_step, 1}}},
                       "",
                       false},
                      need));
}

TEST_CASE("Levels of replacement") {
  const std::vector<GateNeed> nands{{GateKind::nand, 2}, {GateKind::nand, 3}};
  CHECK(ways_of({GateKind::nand, 2}, nands, Substitute::none).size() == 1);
  CHECK(ways_of({GateKind::nand, 2}, nands, Substitute::tied).size() == 2);
  CHECK(ways_of({GateKind::not_, 1}, nands, Substitute::none).empty());
  CHECK(ways_of({GateKind::not_, 1}, nands, Substitute::tied).size() == 2);
  CHECK(ways_of({GateKind::and_, 2}, nands, Substitute::tied).empty());
  CHECK(!ways_of({GateKind::and_, 2}, nands, Substitute::full).empty());
  CHECK(ways_of({GateKind::nand, 4}, nands, Substitute::tied).empty());
}

TEST_CASE("Joined and constant inputs make a gate smaller") {
  const auto reduced = [](GateKind kind, std::vector<WireNetId> nets) {
    const GateNeed need = without_repeats({kind, static_cast<std::uint32_t>(nets.size())}, nets);
    std::string text = text_of(need);
    for (const WireNetId net : nets) text += " " + std::to_string(net);
    return text;
  };
  CHECK(reduced(GateKind::nor, {5, 5}) == "not 5");
  CHECK(reduced(GateKind::nor, {5, ground_net}) == "not 5");
  CHECK(reduced(GateKind::nor, {5, supply_net}) == "2-input nor 5 1");
  CHECK(reduced(GateKind::and_, {5, supply_net, 6}) == "2-input and 5 6");
  CHECK(reduced(GateKind::or_, {5, 5}) == "buf 5");
  CHECK(reduced(GateKind::nand, {5, 6, 5}) == "2-input nand 5 6");
  CHECK(reduced(GateKind::xor_, {5, 5}) == "2-input xor 5 5");
  CHECK(reduced(GateKind::nor, {ground_net, ground_net}) == "2-input nor 0 0");
}

}  // namespace
}  // namespace settle
