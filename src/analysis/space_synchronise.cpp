// Synchronising sequence: the shortest sequence of input vectors that brings every stable state, for
// any gate delays, to one and the same stable state, with no step on the way that may hang.
//
// Breadth-first search over sets of stable states, starting from all of them: a vector leads from a
// set to the union of its members' outcomes. All members of a set reached have the same inputs. Sets
// seen before are dropped.
//
// Where there is none, the same search begins with the stable states of each vector, as after power-up with
// these inputs.
//
// Vectors are tried in ascending order. Of several that end a shortest sequence the one is taken that is left
// most safely: that of whose steps the fewest do not settle.
// Worst case exponential (the problem is PSPACE-complete for machines with several outcomes); a bound on
// the work makes the search give up.
#include <algorithm>
#include <string>
#include <unordered_set>

#include "analysis/space_flow.h"

namespace settle {
namespace {

constexpr std::uint64_t most_work = 30'000'000;  // outcomes looked at
constexpr std::uint64_t most_held = 20'000'000;  // members of all sets kept

struct SetNode {
  std::vector<std::uint32_t> members;  // ascending
  std::uint32_t before = no_state;     // node
  VectorIndex vector = 0;              // that led here
  bool has_vector = false;             // not at the start from all states
};

class SequenceSearch {
 public:
  explicit SequenceSearch(StateSpace& space) : space_(space), columns_(space.vectors.size()) {}

  void run() {
    space_.synchronising_sequence.reset();
    space_.power_up_sequence.reset();
    space_.synchronising_known = true;
    if (space_.stable.empty()) return;
    SetNode start;
    for (std::uint32_t s = 0; s < space_.stable.size(); ++s) start.members.push_back(s);
    if (start.members.size() == 1) {
      space_.synchronising_sequence.emplace();
      return;
    }
    nodes_.push_back(std::move(start));
    space_.synchronising_sequence = search();
    if (space_.synchronising_sequence || !space_.synchronising_known) return;
    nodes_.clear();
    seen_.clear();
    for (const VectorIndex vector : space_.vectors) {
      const auto [first, last] = space_.states_with(vector);
      SetNode with{{}, no_state, vector, true};
      for (std::uint32_t s = first; s < last; ++s) with.members.push_back(s);
      if (space_.inputs_decide(vector)) {
        space_.power_up_sequence.emplace(1, vector);
        return;
      }
      if (with.members.size() > 1) nodes_.push_back(std::move(with));
    }
    space_.power_up_sequence = search();
    space_.synchronising_known = true;  // about all states it is
  }

 private:
  // From nodes_ on; nothing: there is none, or (synchronising_known) a limit was met.
  std::optional<std::vector<VectorIndex>> search() {
    std::optional<std::vector<VectorIndex>> best;
    std::uint32_t least = no_state;
    for (std::uint32_t node = 0; node < nodes_.size(); ++node) {
      for (std::size_t c = 0; c < columns_; ++c) {
        if (!lead(node, c)) continue;
        if (work_ > most_work || held_ > most_held) {
          space_.synchronising_known = false;
          return std::nullopt;
        }
        SetNode next{ends_, node, space_.vectors[c], true};
        if (ends_.size() == 1) {
          const std::uint32_t trouble = unsettled_from(ends_.front());
          if (!best || trouble < least) best = vectors_to(next);
          least = std::min(least, trouble);
          continue;
        }
        if (!seen_.insert({reinterpret_cast<const char*>(ends_.data()), ends_.size() * sizeof ends_[0]})
                 .second)
          continue;
        held_ += ends_.size();
        nodes_.push_back(std::move(next));
      }
      if (best) return best;
      nodes_[node].members = {};
      if (work_ > most_work) {
        space_.synchronising_known = false;
        return std::nullopt;
      }
    }
    return std::nullopt;
  }

  // How many steps from the state do not settle.
  std::uint32_t unsettled_from(std::uint32_t state) const {
    const auto first = space_.transitions.begin() + static_cast<std::ptrdiff_t>(std::size_t{state} * (columns_ - 1));
    return static_cast<std::uint32_t>(std::count_if(first, first + static_cast<std::ptrdiff_t>(columns_ - 1),
                                                    [](const Transition& t) { return t.verdict != Verdict::settles; }));
  }

  // Outcomes of all members under the vector of a column, in ends_; false when some step may hang.
  bool lead(std::uint32_t node, std::size_t column) {
    ends_.clear();
    for (const std::uint32_t s : nodes_[node].members) {
      ++work_;
      const VectorIndex inputs = space_.stable[s].inputs;
      if (inputs == space_.vectors[column]) {
        ends_.push_back(s);
        continue;
      }
      // All steps are there, in order: one a column but for the state's own.
      const std::size_t own = static_cast<std::size_t>(
          std::lower_bound(space_.vectors.begin(), space_.vectors.end(), inputs) - space_.vectors.begin());
      const Transition& step =
          space_.transitions[std::size_t{s} * (columns_ - 1) + column - (column > own ? 1 : 0)];
      if (step.may_cycle || step.to.empty()) return false;
      ends_.insert(ends_.end(), step.to.begin(), step.to.end());
      work_ += step.to.size();
    }
    std::sort(ends_.begin(), ends_.end());
    ends_.erase(std::unique(ends_.begin(), ends_.end()), ends_.end());
    return true;
  }

  std::vector<VectorIndex> vectors_to(const SetNode& last) const {
    std::vector<VectorIndex> sequence;
    for (const SetNode* node = &last; node->has_vector; node = &nodes_[node->before]) {
      sequence.push_back(node->vector);
      if (node->before == no_state) break;
    }
    std::reverse(sequence.begin(), sequence.end());
    return sequence;
  }

  StateSpace& space_;
  std::size_t columns_;
  std::vector<SetNode> nodes_;
  std::unordered_set<std::string> seen_;
  std::vector<std::uint32_t> ends_;
  std::uint64_t work_ = 0, held_ = 0;
};

}  // namespace

void find_synchronising_sequence(StateSpace& space) { SequenceSearch(space).run(); }

}  // namespace settle
