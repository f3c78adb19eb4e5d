// Faults seeded into the examples: compare finds each, and its stimulus shows it in a run.
#include <filesystem>
#include <set>

#include "settle/compare.h"
#include "settle/run.h"
#include "support/format_text.h"
#include "support/random.h"

namespace settle {
namespace {

std::optional<Circuit> circuit_of(const Netlist& netlist) {
  Sources sources;
  Diagnostics diagnostics;
  return elaborate(netlist, {}, sources, diagnostics);
}

/// One gate of another kind, or one input of a gate on another net or constant. Gives what was done.
std::string seed_fault(Netlist& netlist, testing::Random& random) {
  const CellSyntax& cell = netlist.cells.back();
  Statement& s = netlist.statements[cell.first_statement + random.below(cell.statement_count)];
  const std::string name(netlist.symbols->text(s.name));
  if (random.chance(50)) {
    static constexpr GateKind many[] = {GateKind::and_, GateKind::nand, GateKind::or_, GateKind::nor, GateKind::xor_};
    const GateKind kind = s.inputs == 1 ? (s.builtin == static_cast<int>(GateKind::not_) ? GateKind::buf : GateKind::not_)
                                        : many[random.below(5)];
    if (static_cast<int>(kind) == s.builtin || s.inputs == 0) return {};
    s.builtin = static_cast<std::int8_t>(kind);
    s.kind = static_cast<Symbol>(kind);
    return name + " becomes " + std::string(name_of(kind));
  }
  if (s.inputs == 0) return {};
  Connection& c = netlist.connections[s.first + random.below(s.inputs)];
  const Statement& other = netlist.statements[cell.first_statement + random.below(cell.statement_count)];
  const Connection to = netlist.connections[other.first + random.below(other.inputs + other.outputs)];
  if (to.kind == Connection::Kind::open || (to.kind == c.kind && to.net == c.net && to.select == c.select)) return {};
  c = to;
  return name + " reads another net";
}

std::uint64_t failures(const Circuit& c, const std::string& stimulus) {
  testing::MemoryFiles files;
  files.put("t.stim", stimulus);
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus parsed = parse_stimulus("t.stim", files, sources, diagnostics);
  const auto result = run(c, parsed, {}, diagnostics);
  INFO(render(diagnostics, sources));
  REQUIRE(result);
  return result->failed;
}

TEST_CASE("Each of more than 30 faults seeded into the examples is found, and a run confirms it") {
  int found = 0, equal = 0, state_only = 0;
  for (const char* name : {"block_memory", "lever_latch", "gated_block", "first_to_ask", "bell_divider", "single_lever"}) {
    DiskReader files;
    Sources sources;
    Diagnostics diagnostics;
    const auto original = load_any_circuit(std::string(SETTLE_SOURCE_DIR "/examples/") + name + ".gates", files, {}, {}, sources, diagnostics);
    INFO(name << render(diagnostics, sources));
    REQUIRE(original);
    testing::Random random(7);
    std::set<std::string> seen;
    for (int tries = 0, faults = 0; tries < 60 && faults < 9; ++tries) {
      Netlist netlist = flatten(*original);
      const std::string what = seed_fault(netlist, random);
      const std::string text = write_gates(netlist);
      if (what.empty() || !seen.insert(text).second) continue;
      const auto faulty = circuit_of(netlist);
      if (!faulty) continue;
      INFO(what);
      ++faults;
      PinMatch match;
      Diagnostics none;
      REQUIRE(match_pins(*original, *faulty, {}, match, none));
      const Comparison c = compare(*original, *faulty, match, {});
      CHECK(c.answer != Comparison::Answer::undecided);
      if (c.answer == Comparison::Answer::equal) {
        ++equal;  // a redundant change, or one that only shows while things move
        continue;
      }
      if (c.vectors.empty()) {
        ++state_only;
        continue;
      }
      ++found;
      const std::string stimulus = telling_stimulus(c, *original);
      INFO(stimulus);
      CHECK(failures(*original, stimulus) == 0);
      CHECK(failures(*faulty, stimulus) == 1);
    }
  }
  INFO(found << " found, " << equal << " equal, " << state_only << " told apart by a state");
  CHECK(found >= 30);
  CHECK(equal <= 10);
  CHECK(state_only <= 10);
}

TEST_CASE("A conversion is proved equal by its gates") {
  for (const auto& entry : std::filesystem::directory_iterator(SETTLE_SOURCE_DIR "/examples")) {
    if (entry.path().extension() != ".gates") continue;
    DiskReader files;
    Sources sources;
    Diagnostics diagnostics;
    const auto circuit = load_any_circuit(entry.path().string(), files, {}, {}, sources, diagnostics);
    if (!circuit) continue;
    const Netlist flat = flatten(*circuit);
    for (const auto& [name, text] : {std::pair{"t.v", write_ieee1364(flat)}, {"t.json", write_netlist_json(flat)}}) {
      const auto back = testing::read_text(name, text);
      INFO(entry.path().string() << back.messages);
      REQUIRE(back.circuit);
      PinMatch match;
      REQUIRE(match_pins(*circuit, *back.circuit, {}, match, diagnostics));
      const Comparison c = compare(*circuit, *back.circuit, match, {});
      CHECK(c.answer == Comparison::Answer::equal);
    }
  }
}

}  // namespace
}  // namespace settle
