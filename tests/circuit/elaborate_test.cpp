// Syntax tree -> flat circuit, checked as dump strings.
#include "settle/elaborate.h"

#include "support/circuit_text.h"

namespace settle {
namespace {

using testing::circuit;

const std::string latches =
    "cell block_memory\n"
    "  in  enter leave\n"
    "  out occupied clear\n"
    "  nor hold_a: leave clear    -> occupied\n"
    "  nor hold_b: enter occupied -> clear\n"
    "end\n"
    "cell lever_latch\n"
    "  in  lever read\n"
    "  out seen seen_n\n"
    "  nor  invert: lever lever -> lever_n\n"
    "  and  gate_s: lever   read -> s\n"
    "  and  gate_r: lever_n read -> r\n"
    "  block_memory keep: s r -> seen seen_n\n"
    "end\n";

TEST_CASE("one cell of gates") {
  const auto c = circuit(latches, {.cell = "block_memory"});
  CHECK(c.dump() ==
        "hold_a nor leave clear -> occupied\n"
        "hold_b nor enter occupied -> clear\n");
  CHECK(c.cell_name() == "block_memory");
  CHECK(c.input_count() == 2);
  CHECK(c.net_name(0) == "enter");
  CHECK(c.outputs() == std::vector<NetId>{2, 3});
  CHECK_FALSE(c.has_delays());
}

TEST_CASE("a net has the name of the outermost cell that sees it") {
  const auto c = circuit(latches);
  CHECK(c.dump() ==
        "invert nor lever lever -> lever_n\n"
        "gate_s and lever read -> s\n"
        "gate_r and lever_n read -> r\n"
        "keep.hold_a nor r seen_n -> seen\n"
        "keep.hold_b nor s seen -> seen_n\n");
}

}  // namespace
}  // namespace settle
