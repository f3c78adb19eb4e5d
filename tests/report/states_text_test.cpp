// `settle states` in text, JSON and DOT: whole outputs, as a reader sees them.
#include <string>

#include "settle/states_report.h"
#include "support/circuit_text.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

std::string text_of(const std::string& cell, unsigned width = 80, StatesOptions options = {}, bool all = false) {
  const Circuit c = circuit(cell);
  TextStyle style;
  style.ascii = true;
  style.width = width;
  return "\n" + states_text(study_states(c, options), c, style, all);
}

}  // namespace

TEST_CASE("States of the NOR latch in text") {
  CHECK(text_of(cells::nor_latch) == R"(
nor_latch: 2 gates, 1 loop, 2 inputs
  Stores 1 bit: with the same inputs it can hold 2 states that its outputs tell
  apart.

Stable states: 5 for 4 input vectors
    s r | q qn
  A 0 0 | 0 1
  B     | 1 0
  A 0 1 | 0 1
  B 1 0 | 1 0
  C 1 1 | 0 0

Flow table: 3 rows; ( ) stable, / either, ~ may never rest
  s r   00    01   10   11
    A   (A)   (A)   B    C
    B   (B)    A   (B)   C
    C  A/B/~   A    B   (C)

Power-up
  with s=0 r=0: q=0 qn=1 or q=1 qn=0
  with the 3 other input vectors: the inputs decide

Synchronising sequence
  s=0 r=1: known from whatever it held, whatever the gate delays

Steps: 15 from a stable state to other inputs
  14 settle, whatever the gate delays. 1 indeterminate: left undecided with
  equal delays, may hang. None of these when one input changes at a time.
  s=0 r=0 at once, from q=0 qn=0: indeterminate; q_gate and qn_gate race
    1  ends in q=0 qn=1 if q_gate takes 2, the other gate 1:
         qn=1 at 1
    2  ends in q=1 qn=0 if qn_gate takes 2, the other gate 1:
         q=1 at 1
    3  never rests with equal delays:
         q=1 qn=1 at 1, q=0 qn=0 at 2; repeats every 2
)");
}

TEST_CASE("States of circuits that store nothing in text") {
  CHECK(text_of("cell ring\n out a\n not g: a -> a\nend\n") == R"(
ring: 1 gate, 1 loop, 0 inputs
  Stores nothing: it has no stable state at all and never comes to rest.

Stable states: 0
  a
  no stable state

Power-up
  no stable state, it goes on for ever
)");
  CHECK(text_of("cell both\n in a b\n out y\n and g: a b -> y\nend\n") == R"(
both: 1 gate, no loop, 2 inputs
  Stores nothing: without a loop the inputs alone decide every net.

Stable states: 4 for 4 input vectors
    a b | y
  A 0 0 | 0
  A 0 1 | 0
  A 1 0 | 0
  A 1 1 | 1

Flow table: 1 row; ( ) stable
  a b  00   01   10   11
    A  (A)  (A)  (A)  (A)

Steps: 12 from a stable state to other inputs
  All settle, whatever the gate delays.
)");
  CHECK(text_of(cells::gated_ring) == R"(
gated_ring: 3 gates, 1 loop, 1 input
  Stores nothing, in spite of the loop: for no inputs is there more than one
  stable state.

Stable states: 1 for 2 input vectors
    go | a b c
  A 0  | 1 0 1
    1  | no stable state

Flow table: 1 row; ( ) stable, ~ may never rest
  go   0   1
   A  (A)  ~

Power-up
  with go=1: no stable state, it goes on for ever
  with the one other input vector: the inputs decide

Synchronising sequence
  not needed: it has one stable state, with go=0

Steps: 1 from a stable state to other inputs
  0 settle, whatever the gate delays. 1 oscillation: no stable state can follow.
  go=1, from a=1 b=0 c=1: oscillation
    1  never rests with equal delays:
         a=0 at 1, b=1 at 2, c=0 at 3, a=1 at 4, b=0 at 5, c=1 at 6; repeats
         every 6
)");
}

TEST_CASE("States of a register: names as buses, long lists cut, counts as a product") {
  const std::string text =
      "cell bit\n in d r\n out q\n not i: d -> dn\n and s: d r -> a\n and t: dn r -> b\n"
      " nor x: b n -> q\n nor y: a q -> n\nend\n"
      "cell wide\n in d[4:0] r\n out q[4:0]\n bit bits[4:0]: d[4:0] r -> q[4:0]\nend\n";
  StatesOptions options;
  options.space.held.assign(6, Value::zero);
  const std::string page = text_of(text, 60, options);
  CHECK(page.find("Stores 5 bits: with the same inputs it can hold 32 states") != std::string::npos);
  CHECK(page.find("32 stable states = 5 independent loops of 2 each.") != std::string::npos);
  CHECK(page.find("  inputs: d[4:0] r\n  outputs: q[4:0]\n") != std::string::npos);
  INFO(page);
  CHECK(page.find("  inputs | outputs |      inner nets\n  000000 |  00000  | 10011001100110011001\n         |  00001  | 1") != std::string::npos);
  CHECK(page.find("... and 8 more states; --all shows them") != std::string::npos);
  CHECK(page.find("with these inputs: any of 32 stable states") != std::string::npos);
  const std::string whole = text_of(text, 60, options, true);
  CHECK(whole.find("more") == std::string::npos);
  // No line is wider than asked for.
  for (const std::string& out : {page, text_of(cells::jk_master_slave, 60), text_of(cells::six_nand, 50)}) {
    std::size_t start = 0;
    for (std::size_t end; (end = out.find('\n', start)) != std::string::npos; start = end + 1) {
      INFO(out.substr(start, end - start));
      CHECK(end - start <= 60);
    }
  }
}

TEST_CASE("States that no output tells apart are marked") {
  const std::string page =
      text_of("cell c\n in a\n out y\n not x: q -> qn\n not z: qn -> q\n and g: a a -> y\nend\n");
  CHECK(page.find("Stores nothing that shows: its outputs never tell one stable state from\n") != std::string::npos);
  CHECK(page.find("  = A above\n") != std::string::npos);
}

TEST_CASE("An incomplete state space says so") {
  StatesOptions options;
  options.space.stable_limit = 3;
  const std::string page = text_of(cells::nor_latch, 80, options);
  CHECK(page.find("What it stores is not known: the work was not finished.") != std::string::npos);
  CHECK(page.find("5 pairs of inputs and stable state.") != std::string::npos);
  CHECK(page.find("Proved: some inputs have two stable states or more.") != std::string::npos);
  CHECK(page.find("Incomplete\n  there are more than 3 stable states: --limit-stable allows more") != std::string::npos);
  CHECK(page.find("Flow table") == std::string::npos);
}

TEST_CASE("States of the NOR latch as a document") {
  const Circuit c = circuit(cells::nor_latch);
  const std::string json = states_json(study_states(c, {}), c);
  const std::string head = "{\n  \"schema\": \"states/1\",\n  \"settle\": \"" + std::string(version()) +
                           "\",\n  \"circuit\": \"nor_latch\",\n  \"complete\": true,\n";
  CHECK(json.substr(0, head.size()) == head);
  for (const char* part : {
           "\n  \"inputs\": [\"s\",\"r\"],\n  \"nodes\": [\"q\",\"qn\"],\n  \"outputs\": [\"q\",\"qn\"],\n",
           "\n    {\"inputs\": \"00\", \"nodes\": \"10\", \"class\": 1},\n",
           "\n    {\"inputs\": \"11\", \"nodes\": \"00\", \"class\": 4}\n  ],\n",
           "{\"from\":4,\"inputs\":\"00\",\"to\":[0,1],\"may_cycle\":true,\"equal_delay\":null,\"period\":2,"
           "\"verdict\":\"indeterminate\",\"racing\":[\"q_gate\",\"qn_gate\"]}",
           "{\"from\":0,\"inputs\":\"01\",\"to\":[2],\"may_cycle\":false,\"equal_delay\":2,\"period\":null,"
           "\"verdict\":\"settles\",\"racing\":[]}",
           "\n  \"states_held\": 2,\n  \"bits_stored\": 1,\n  \"power_up\": [0,1,2,3,4],\n"
           "  \"synchronising_sequence\": [\"01\"],\n",
       }) {
    INFO(json);
    CHECK(json.find(part) != std::string::npos);
  }
}

TEST_CASE("State graph of a latch that is only reset") {
  const Circuit c = circuit(cells::nor_latch);
  StatesOptions options;
  options.space.held = {Value::zero, Value::x};
  CHECK("\n" + states_dot(study_states(c, options), c) == R"(
digraph "nor_latch" {
  node [shape=box, style=rounded, fontname="sans-serif"];
  edge [fontname="sans-serif", fontsize=10];
  subgraph "cluster_00" {
    label="s=0 r=0"; color="#AAAAAA"; fontname="sans-serif";
    s0 [label="q=0 qn=1", tooltip="q=0 qn=1"];
    s1 [label="q=1 qn=0", tooltip="q=1 qn=0"];
  }
  subgraph "cluster_01" {
    label="s=0 r=1"; color="#AAAAAA"; fontname="sans-serif";
    s2 [label="q=0 qn=1", tooltip="q=0 qn=1"];
  }
  s0 -> s2 [label="r=1", color="#555555", style=solid];
  s1 -> s2 [label="r=1", color="#555555", style=solid];
  s2 -> s0 [label="r=0", color="#555555", style=solid];
}
)");
}

}  // namespace settle::testing
