// Two storage circuits, by partition refinement over the stable states of both (Moore, "Gedanken-
// Experiments on Sequential Machines", 1956; see space_classes.cpp for what makes states alike). Equal
// when for every input vector the classes of one side are those of the other.
//
// The search for a sequence of vectors has gone first, so a difference found here is one of states that
// no sequence from an unknown start can be sure to reach: it is told as such a state.
#include <algorithm>
#include <bit>
#include <string>

#include <fmt/format.h>

#include "analysis/class_numbers.h"
#include "analysis/compare_steps.h"

namespace settle {
namespace {

class JointClasses {
 public:
  JointClasses(const Circuit& a, const Circuit& b, const PinMatch& match, const StateSpace& in_a, const StateSpace& in_b)
      : circuits_{&a, &b}, match_(match), spaces_{&in_a, &in_b}, bits_(in_a.input_bits), first_b_(static_cast<std::uint32_t>(in_a.stable.size())) {
    collect(0);
    collect(1);
  }

  void refine() {
    const auto start = [this](std::uint32_t s, std::string& key) {
      append_number(key, inputs_[s]);
      key += outputs_[s];
    };
    const auto refine = [this](std::uint32_t s, std::string& key) { key_of_steps(s, key); };
    refine_classes(inputs_.size(), start, refine, class_);
  }

  /// A state whose class the other side does not have, or no_state.
  std::uint32_t lonely_state() const {
    std::vector<std::uint8_t> sides(class_.size(), 0);
    for (std::uint32_t s = 0; s < class_.size(); ++s) sides[class_[s]] |= s < first_b_ ? 1 : 2;
    for (std::uint32_t s = 0; s < class_.size(); ++s) {
      if (sides[class_[s]] != 3) return s;
    }
    return no_state;
  }

 private:
  VectorIndex inputs_in_a(int side, VectorIndex inputs) const {
    if (side == 0) return inputs;
    VectorIndex result = 0;
    for (std::uint32_t i = 0; i < bits_; ++i) {
      if ((inputs >> (bits_ - 1 - match_.inputs[i]) & 1) != 0) result |= VectorIndex{1} << (bits_ - 1 - i);
    }
    return result;
  }

  void collect(int side) {
    const StateSpace& space = *spaces_[side];
    const Circuit& circuit = *circuits_[side];
    const std::uint32_t first = side == 0 ? 0 : first_b_;
    for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
      inputs_.push_back(inputs_in_a(side, space.stable[s].inputs));
      std::string text;
      for (std::uint32_t i = 0; i < match_.outputs.size(); ++i) {
        text += to_char(space.value(circuit, s, circuit.outputs()[side == 0 ? i : match_.outputs[i]]));
      }
      outputs_.push_back(std::move(text));
    }
    steps_.resize(inputs_.size() * bits_);
    for (const Transition& t : space.transitions) {
      const VectorIndex differ = inputs_in_a(side, space.stable[t.from].inputs) ^ inputs_in_a(side, t.inputs);
      if (std::popcount(differ) != 1) continue;
      auto& ends = steps_[std::size_t{first + t.from} * bits_ + static_cast<std::size_t>(std::countr_zero(differ))];
      if (t.equal_delay != no_state) {
        ends.push_back(first + t.equal_delay);
      } else {
        for (const auto to : t.to) ends.push_back(first + to);
      }
    }
  }

  void key_of_steps(std::uint32_t s, std::string& key) const {
    append_number(key, class_[s]);
    std::vector<std::uint32_t> ends;
    for (std::size_t i = 0; i < bits_; ++i) {
      ends.clear();
      for (const auto to : steps_[std::size_t{s} * bits_ + i]) ends.push_back(class_[to]);
      append_classes(key, ends);
    }
  }

  const Circuit* circuits_[2];
  const PinMatch& match_;
  const StateSpace* spaces_[2];
  const std::size_t bits_;
  const std::uint32_t first_b_;                       // states of A come first
  std::vector<VectorIndex> inputs_;                   // by state, in the order of A
  std::vector<std::string> outputs_;
  std::vector<std::vector<std::uint32_t>> steps_;     // [state * bits + place of the input changed]
  std::vector<std::uint32_t> class_;
};

}  // namespace

void compare_by_states(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result) {
  StateSpaceOptions space = options.space;
  space.single_changes_only = true;
  space.stop = options.stop;
  const StateSpace in_a = explore(a, space);
  const auto judged = [](const StateSpace& s) {
    return s.complete && s.all_listed && std::all_of(s.transitions.begin(), s.transitions.end(), [](const Transition& t) { return t.judged; });
  };
  if (!judged(in_a)) {
    result.undecided_reason = "first circuit: " + in_a.incomplete_reason;
    return;
  }
  const StateSpace in_b = explore(b, space);
  if (!judged(in_b)) {
    result.undecided_reason = "second circuit: " + in_b.incomplete_reason;
    return;
  }
  JointClasses classes(a, b, match, in_a, in_b);
  classes.refine();
  const std::uint32_t lonely = classes.lonely_state();
  if (lonely == no_state) {
    // What never rests has no state to be compared.
    if (!in_a.never_stable.empty() || !in_b.never_stable.empty()) {
      result.undecided_reason = fmt::format("the {} circuit never comes to rest with some inputs", in_a.never_stable.empty() ? "second" : "first");
      return;
    }
    result.answer = Comparison::Answer::equal;
    result.proof = Comparison::Proof::states;
    return;
  }
  result.answer = Comparison::Answer::different;
  result.only_in = lonely < in_a.stable.size() ? 0 : 1;
  const StateSpace& of = result.only_in == 0 ? in_a : in_b;
  const Circuit& circuit = result.only_in == 0 ? a : b;
  const std::uint32_t state = result.only_in == 0 ? lonely : lonely - static_cast<std::uint32_t>(in_a.stable.size());
  for (NetId i = 0; i < circuit.input_count(); ++i) result.state_inputs.push_back(of.value(circuit, state, i));
  for (const NetId net : circuit.outputs()) result.state_outputs.push_back(of.value(circuit, state, net));
}

}  // namespace settle
