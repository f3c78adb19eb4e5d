// Each single fault of the examples is found from what it does, and soon.
#include <cmath>
#include <algorithm>

#include "settle/diagnose.h"
#include "support/board_text.h"
#include "support/catch.h"
#include "support/question_tree.h"

namespace settle {
namespace {

using testing::example_on_bench;
using testing::Subject;

DiagnoseOptions short_walks() {
  DiagnoseOptions options;
  options.walks = 6;
  options.walk_steps = 10;
  return options;
}

// All that can be built, with about so many faults of each; bench_diagnose takes all faults.
constexpr std::size_t faults_of_each = 70;
const char* const examples[] = {"bell_divider.gates", "block_memory.gates", "button_memory.gates", "first_to_ask.gates", "gated_block.gates",
                                "lever_board.gates",  "lever_latch.gates",  "ring.gates",          "single_lever.gates", "route_register.gates"};

TEST_CASE("The questions of a diagnosis lead faults of each example to their groups, and few are asked") {
  for (const char* file : examples) {
    Subject s = example_on_bench(file);
    REQUIRE(s.has_chips);
    REQUIRE(s.model.complete);
    testing::thin_out(s.model, s.model.faults.size() / faults_of_each + 1);
    const testing::QuestionTree tree = testing::ask_all(s.model, short_walks());
    INFO(file << ": " << s.model.faults.size() << " faults, " << tree.leaves << " groups, " << tree.questions << " questions on average");
    CHECK(tree.is_sound);
    CHECK(tree.faults == s.model.faults.size());
    CHECK(tree.questions <= std::log2(static_cast<double>(tree.leaves)) + 2);
  }
}

TEST_CASE("From all that a faulty circuit does its fault is in the first group") {
  for (const char* file : examples) {
    INFO(file);
    Subject s = example_on_bench(file);
    testing::thin_out(s.model, s.model.faults.size() / faults_of_each + 1);
    CHECK(testing::faults_not_found(s.model, short_walks()).empty());
  }
}

// Two gates with open collectors and one pull-up: alike where either pulls.
TEST_CASE("Boards with open-collector outputs have the faults of their pins") {
  auto board = testing::load_board(
      "cell c\n  in a b d\n  out alike\n"
      "  chip U1 74LS266: 1=a 2=b 3=alike 5=b 6=d 4=alike 8=0 9=0 12=0 13=0 7=0 14=1\n  pullup r: -> alike\nend\n");
  REQUIRE(board.circuit);
  const Catalogue catalogue = built_in_catalogue();
  const Board chips = board_of(board.tree, *board.circuit, catalogue);
  REQUIRE(chips.chips.size() == 1);
  CHECK(board.circuit->net_name(chips.chips[0].pins[2].net) == "alike");
  CHECK(board.circuit->net_name(chips.chips[0].pins[3].net) == "alike");
  const FaultModel model = board_faults(*board.circuit, chips, catalogue, {});
  for (const FaultPlace& place : model.places) {
    INFO(place.name);
    CHECK((place.is_pin || place.name == "alike" || place.name.size() == 1));  // nothing inside a chip
  }
  const auto fault_named = [&](const std::string& what) {
    const auto at = std::find_if(model.faults.begin(), model.faults.end(), [&](const Fault& f) { return f.what == what; });
    REQUIRE(at != model.faults.end());
    return static_cast<std::uint32_t>(at - model.faults.begin());
  };
  FaultSession session(model, {});
  const auto alike = [&](std::uint32_t fault) { return session.predicted(fault, 0); };
  REQUIRE(model.places[0].name == "alike");
  const std::uint32_t open_output = fault_named("no wire at pin 3 of U1 (net 'alike')");
  const std::uint32_t dead = fault_named("U1 (74LS266) has no power");
  const std::uint32_t stuck = fault_named("the output at pin 4 of U1 (net 'alike') stays at 1");
  const std::uint32_t push_pull = fault_named("U1 is a 747266 instead of a 74LS266");
  const std::uint32_t no_resistor = fault_named("no resistor from net 'alike' to the supply (gate r)");
  session.apply(std::vector<Value>{Value::one, Value::one, Value::one});
  CHECK(alike(0) == Value::one);  // none pulls
  CHECK(alike(dead) == Value::x);
  CHECK(alike(no_resistor) == Value::x);
  session.apply(std::vector<Value>{Value::zero, Value::one, Value::one});
  CHECK(alike(0) == Value::zero);            // gate 1 pulls
  CHECK(alike(open_output) == Value::one);   // and is not connected here
  CHECK(alike(stuck) == Value::one);
  CHECK(alike(push_pull) == Value::x);       // gate 2 of such a chip drives against it
  session.apply(std::vector<Value>{Value::one, Value::one, Value::zero});
  CHECK(alike(0) == Value::zero);  // gate 2 pulls
  CHECK(alike(open_output) == Value::zero);
  const testing::QuestionTree tree = testing::ask_all(model, short_walks());
  CHECK(tree.is_sound);
  CHECK(tree.questions <= std::log2(static_cast<double>(tree.leaves)) + 2);
}

TEST_CASE("What was seen counts as it is meant to") {
  const auto board = testing::load_board("cell m\n in e l\n out q c\n nor a: l c -> q\n nor b: e q -> c\nend\n");
  const FaultModel model = gate_faults(*board.circuit, {});
  FaultSession session(model, {});
  const auto place = [&](const std::string& name) {
    const auto at = std::find_if(model.places.begin(), model.places.end(), [&](const FaultPlace& p) { return p.name == name; });
    REQUIRE(at != model.places.end());
    return static_cast<std::uint32_t>(at - model.places.begin());
  };
  CHECK(session.possible() == model.faults.size());
  session.apply(std::vector<Value>{Value::one, Value::zero});
  session.observe(place("q"), Value::x);
  CHECK(session.possible() == model.faults.size());  // no clear level contradicts nothing
  session.observe(place("q"), Value::one);
  CHECK(session.is_possible(0));
  session.apply(std::vector<Value>{Value::zero, Value::one});
  session.observe(place("q"), Value::one);  // meant to be cleared
  CHECK(!session.is_possible(0));
  CHECK(session.observations()[2].intended == Value::zero);
  const auto leading = session.leading();
  const auto stuck = std::find_if(leading.begin(), leading.end(), [&](auto f) { return model.faults[f].what == "output of a stays at 1 (net 'q')"; });
  CHECK(stuck != leading.end());
  session.observe(place("q"), Value::zero);  // both cannot be: only an unknown level explains that
  for (const auto fault : session.leading()) CHECK(session.predicted(fault, place("q")) == Value::x);
}

TEST_CASE("When no fault is left, it is still said what was meant") {
  const auto board = testing::load_board("cell m\n in e l\n out q c\n nor a: l c -> q\n nor b: e q -> c\nend\n");
  FaultModel model = gate_faults(*board.circuit, {});
  testing::thin_out(model, model.faults.size());
  REQUIRE(model.faults.size() == 1);
  REQUIRE(model.places[0].name == "q");
  FaultSession session(model, {});
  session.apply(std::vector<Value>{Value::one, Value::zero});
  session.observe(0, Value::zero);  // meant to be set
  CHECK(session.possible() == 0);
  session.apply(std::vector<Value>{Value::zero, Value::one});
  session.observe(0, Value::one);
  CHECK(session.leading().empty());
  CHECK(session.look_ahead().groups.empty());
  CHECK(session.observations()[0].intended == Value::one);
  CHECK(session.observations()[1].intended == Value::zero);
}

}  // namespace
}  // namespace settle
