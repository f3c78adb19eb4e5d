// Two stable states with the same inputs are alike when they show equal outputs and every change of
// one input leads to alike states. The successor of a step is where equal delays lead, or the set of
// all any-delay outcomes where equal delays do not settle; oscillation is the empty set.
//
// Partition refinement (Moore, "Gedanken-Experiments on Sequential Machines", 1956): states start in
// classes by inputs and outputs, and are told apart by the classes of their successors until a round
// splits nothing. A round only ever splits classes, so there are at most as many rounds as states.
// Cost of a round: the steps with one input changed, one hash look-up a state.
//
// An input change from an input vector in which some step was not judged is left out for all states
// of that vector: the classes are then perhaps too coarse, but never tell alike states apart.
#include "analysis/space_classes.h"

#include <algorithm>
#include <bit>
#include <string>

#include "analysis/class_numbers.h"

namespace settle {
namespace {

class ClassFinder {
 public:
  ClassFinder(const Circuit& circuit, StateSpace& space) : circuit_(circuit), space_(space) {}

  void run() {
    collect_steps();
    const auto start = [this](std::uint32_t s, std::string& key) {
      append_number(key, space_.stable[s].inputs);
      for (const NetId net : circuit_.outputs()) key += to_char(space_.value(circuit_, s, net));
    };
    const auto refine = [this](std::uint32_t s, std::string& key) { key_of_steps(s, key); };
    refine_classes(space_.stable.size(), start, refine, class_);
    for (std::uint32_t s = 0; s < space_.stable.size(); ++s) space_.stable[s].alike = class_[s];
  }

 private:
  struct Experiment {  // a step with one input changed, by state and input
    const Transition* step = nullptr;
  };

  void collect_steps() {
    const std::size_t bits = space_.input_bits;
    steps_.assign(space_.stable.size() * bits, {});
    const auto slot = [&](const Transition& t) -> std::size_t {
      const VectorIndex differ = space_.stable[t.from].inputs ^ t.inputs;
      return std::popcount(differ) != 1 ? steps_.size()
                                        : std::size_t{t.from} * bits + static_cast<std::size_t>(std::countr_zero(differ));
    };
    for (const Transition& t : space_.transitions) {
      if (const std::size_t i = slot(t); i < steps_.size()) steps_[i].step = &t;
    }
    for (const Transition& t : space_.transitions) {
      const std::size_t i = slot(t);
      if (t.judged || i == steps_.size()) continue;
      const auto [first, last] = space_.states_with(space_.stable[t.from].inputs);
      for (std::uint32_t s = first; s < last; ++s) steps_[std::size_t{s} * bits + i % bits].step = nullptr;
    }
  }

  void key_of_steps(std::uint32_t s, std::string& key) {
    append_number(key, class_[s]);
    for (std::size_t i = 0; i < space_.input_bits; ++i) {
      const Transition* step = steps_[std::size_t{s} * space_.input_bits + i].step;
      if (step == nullptr) {
        append_number(key, no_state);
        continue;
      }
      ends_.clear();
      if (step->equal_delay != no_state) {
        ends_.push_back(class_[step->equal_delay]);
      } else {
        for (const std::uint32_t to : step->to) ends_.push_back(class_[to]);
      }
      append_classes(key, ends_);
    }
  }

  const Circuit& circuit_;
  StateSpace& space_;
  std::vector<Experiment> steps_;        // [state * input bits + place of the input in the vector]
  std::vector<std::uint32_t> class_;     // by state
  std::vector<std::uint32_t> ends_;      // of a step: classes of its successors
};

}  // namespace

void find_classes(const Circuit& circuit, StateSpace& space) {
  ClassFinder(circuit, space).run();
  space.states_held = 0;
  for (const VectorIndex vector : space.vectors) {
    const auto [first, last] = space.states_with(vector);
    std::vector<std::uint32_t> classes;
    for (std::uint32_t s = first; s < last; ++s) classes.push_back(space.stable[s].alike);
    std::sort(classes.begin(), classes.end());
    const auto distinct = std::unique(classes.begin(), classes.end()) - classes.begin();
    space.states_held = std::max(space.states_held, static_cast<std::uint32_t>(distinct));
  }
  space.bits_stored = space.states_held < 2 ? 0 : static_cast<std::uint32_t>(std::bit_width(space.states_held - 1));
}

}  // namespace settle
