#include "analysis/static_hazards.h"

#include <string>
#include <vector>

#include "support/catch.h"
#include "support/circuit_text.h"

namespace settle::testing {
namespace {

const std::string two_ways = " not i: s -> sn\n and g1: a s -> p\n and g2: b sn -> q\n";

std::vector<std::string> messages(const std::string& text) {
  std::vector<std::string> result;
  for (const ExplainFinding& finding : static_hazards(circuit(text), {})) {
    CHECK(finding.kind == ExplainFinding::Kind::short_pulse);
    CHECK_FALSE(finding.is_warning);
    result.push_back(finding.message);
  }
  return result;
}

const std::string ends =
    ". As a clock, set or reset such a pulse (a static hazard) counts, as a level that is read later it does "
    "not.";

}  // namespace

TEST_CASE("A multiplexer can show a short pulse, with the consensus term it cannot") {
  CHECK(messages("cell t\n in a b s\n out y\n" + two_ways + " or g3: p q -> y\nend\n") ==
        std::vector<std::string>{"When s changes with a at 1 and b at 1, y is 1 before and after, but can go "
                                 "to 0 for a moment, as the "
                                 "change arrives on paths of different delay" +
                                 ends});
  CHECK(messages("cell t\n in a b s\n out y\n" + two_ways + " and g4: a b -> r\n or g3: p q r -> y\nend\n")
            .empty());
  CHECK(messages("cell t\n in a b s\n out y\n not i: s -> sn\n or g1: a s -> p\n or g2: b sn -> q\n and g3: "
                 "p q -> y\nend\n") ==
        std::vector<std::string>{"When s changes with a at 0 and b at 0, y is 0 before and after, but can go "
                                 "to 1 for a moment, as the "
                                 "change arrives on paths of different delay" +
                                 ends});
}

TEST_CASE("Outputs that change, or never do, and circuits with a loop have no such finding") {
  CHECK(messages("cell t\n in a b\n out y\n xor g: a b -> y\nend\n").empty());
  CHECK(messages("cell t\n in a\n out y\n not n: a -> an\n and g: a an -> y\nend\n").empty());
  CHECK(messages("cell t\n in s r\n out q\n nor a: r qn -> q\n nor b: s q -> qn\nend\n").empty());
}

}  // namespace settle::testing
