// Ternary analysis of starts that are not at rest; its values on published examples are in tests/published.
#include <string>

#include "settle/step_analysis.h"
#include "support/circuit_text.h"
#include "support/step_cases.h"

namespace settle::testing {
namespace {

std::string gates_after_b(const Circuit& c, const StepCase& s) {
  return gate_text(c, StepAnalyzer(c).ternary_values(s.step(), false));
}

}  // namespace

TEST_CASE("Algorithm B lowers gates that were unknown from the start") {
  // Nothing changes; the gates' inputs say already what they must become.
  const Circuit row = circuit("cell row\n in a\n out p q\n buf g: a -> p\n not h: p -> q\nend\n");
  CHECK(gates_after_b(row, step_case(row, "0", "0", "xx")) == "01");
  CHECK(gates_after_b(row, step_case(row, "x", "x", "xx")) == "xx");
  // A latch that is being set while its state is unknown.
  const Circuit latch = circuit("cell latch\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  CHECK(gates_after_b(latch, step_case(latch, "10", "10", "xx")) == "10");
  CHECK(gates_after_b(latch, step_case(latch, "00", "10", "xx")) == "10");
  CHECK(gates_after_b(latch, step_case(latch, "00", "00", "xx")) == "xx");
}

}  // namespace settle::testing
