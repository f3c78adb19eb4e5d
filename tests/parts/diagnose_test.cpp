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

const char* const examples[] = {"block_memory.gates", "gated_block.gates", "ring.gates", "lever_board.gates"};

TEST_CASE("The questions of a diagnosis lead each fault to its group, and few are asked") {
  for (const char* file : examples) {
    Subject s = example_on_bench(file);
    REQUIRE(s.model.complete);
    testing::thin_out(s.model, s.model.faults.size() / 80 + 1);
    const testing::QuestionTree tree = testing::ask_all(s.model, short_walks());
    CHECK(tree.is_sound);
    INFO(file << ": " << s.model.faults.size() << " faults, " << tree.leaves << " groups, " << tree.questions << " questions on average");
    CHECK(tree.faults == s.model.faults.size());
    CHECK(tree.questions <= std::log2(static_cast<double>(tree.leaves)) + 2);
  }
}

TEST_CASE("From all that a faulty circuit does its fault is in the first group") {
  for (const char* file : examples) {
    const Subject s = example_on_bench(file);
    REQUIRE(s.model.complete);
    const std::size_t step = std::max<std::size_t>(1, s.model.faults.size() / 12);
    for (std::uint32_t fault = 0; fault < s.model.faults.size(); fault += static_cast<std::uint32_t>(step)) {
      INFO(file << ": " << s.model.faults[fault].what << "; " << s.model.faults[fault].assumed);
      FaultSession truth(s.model, short_walks()), session(s.model, short_walks());
      std::uint64_t bits = 0x2545f4914f6cdd1d;
      for (int i = 0; i < 10; ++i) {
        std::vector<Value> inputs;
        for (NetId net = 0; net < s.circuit.input_count(); ++net) inputs.push_back(to_value((bits >> (7 * net + 5 * i) % 61 & 1) != 0));
        truth.apply(inputs);
        session.apply(inputs);
        for (std::uint32_t place = 0; place < s.model.places.size(); ++place) session.observe(place, truth.predicted(fault, place));
      }
      const Outlook outlook = session.look_ahead();
      REQUIRE(!outlook.groups.empty());
      const auto leading = session.leading();
      CHECK(std::find(leading.begin(), leading.end(), fault) != leading.end());
      CHECK(session.misses(fault) == 0);
    }
  }
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

}  // namespace
}  // namespace settle
