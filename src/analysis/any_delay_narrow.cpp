// Any-delay search of parts of up to 64 gates (general multiple-winner relation: Brzozowski and Seger,
// Asynchronous Circuits, 1995), with the moves of joint_moves.h, which give the same reachability.
//
// One walk does it all: Tarjan's components (SIAM J. Computing 1 (2), 1972) while the states are found.
// A state's number is the order in which it was met. A component of several states lasts (is
// non-transient) unless some gate is excited with one constant value in all its states: such a gate
// would fire at last. Fates, the set of ends that a state can still come to, are handed up as
// components are finished. Another walk from the lasting components finds what differs; it stops
// when everything does.
//
// Invariants: states with low == finished belong to finished components and have their fates; the
// others are on open_, in the order of their numbers.
// Cost: a lookup for each excited gate and each joint move of a state; an evaluation of the network for
// each excited gate, to find the joint moves; some 60 bytes a state.
#include <algorithm>
#include <array>
#include <bit>
#include <cstdlib>
#include <memory>
#include <new>

#include "analysis/any_delay_race.h"
#include "analysis/any_delay_search.h"
#include "analysis/joint_moves.h"
#include "analysis/narrow_network.h"

namespace settle {
namespace {

using State = std::uint64_t;
using Id = std::uint32_t;

constexpr std::uint64_t bytes_a_state = 80;

// A state met; its number is its place. One record, so that a lookup costs one line of cache.
struct Node {
  State state = 0;
  Fates fates = 0;
  Id low = 0;  // lowest open number known to be reachable, or finished
};

// Number + 1 of each state in an array over all of them. The memory comes zeroed from the system
// page by page, so a sparse search pays for the pages that it touches.
class ArrayIndex {
 public:
  explicit ArrayIndex(std::uint32_t gates) {
    void* memory = std::calloc(std::size_t{1} << gates, sizeof(Id));
    if (memory == nullptr) throw std::bad_alloc();
    ids_.reset(static_cast<Id*>(memory));
  }
  /// The place of the state's number; 0 there: not met yet. Good until the next call.
  Id& at(State s, const std::vector<Node>&) { return ids_[s]; }

 private:
  struct Free {
    void operator()(Id* p) const { std::free(p); }
  };
  std::unique_ptr<Id[], Free> ids_;
};

// The same as a table with open addressing, at most half full.
class TableIndex {
 public:
  explicit TableIndex(std::uint32_t) : ids_(1024, 0) {}
  Id& at(State s, const std::vector<Node>& nodes) {
    if (nodes.size() * 2 >= ids_.size()) grow(nodes);
    std::size_t i = place(s);
    while (ids_[i] != 0 && nodes[ids_[i] - 1].state != s) i = (i + 1) & (ids_.size() - 1);
    return ids_[i];
  }

 private:
  std::size_t place(State s) const {
    return static_cast<std::size_t>((s * 0x9e3779b97f4a7c15u) >> (64 - std::countr_zero(ids_.size())));
  }
  void grow(const std::vector<Node>& nodes) {
    ids_.assign(ids_.size() * 4, 0);
    for (std::size_t k = 0; k < nodes.size(); ++k) {
      std::size_t i = place(nodes[k].state);
      while (ids_[i] != 0) i = (i + 1) & (ids_.size() - 1);
      ids_[i] = static_cast<Id>(k + 1);
    }
  }
  std::vector<Id> ids_;
};

// The joint moves of a state: sets of gates to fire at one instant, besides each excited gate alone.
//
// A set U is needed only when each of its gates, fired first, takes away the excitation of another one
// of U. Else let g be a gate that does not: after g alone the rest of U is still excited, so that g and
// then the rest lead to the same state, and the rest is a smaller set, to which this applies again. With
// the argument of joint_moves.h, which looks at wires only and also makes sets smaller, U must be one of
// its sets as well. So reachability between states stays that of all subsets; and where no excited gate
// disturbs another one, which is so in most states, there are no joint moves at all.
class JointMovesOf {
 public:
  JointMovesOf(const Subnetwork& subnetwork, const NarrowNetwork& network, const std::atomic<bool>* stop)
      : network_(network), stop_(stop) {
    const auto mask = [](const std::vector<std::uint32_t>& gates) {
      State m = 0;
      for (const std::uint32_t gate : gates) m |= State{1} << gate;
      return m;
    };
    const JointMoves joint = find_joint_moves(subnetwork);
    for (const auto& set : joint.sets) sets_.push_back(mask(set));
    for (const auto& loop : joint.any_subset_of) loops_.push_back(mask(loop));
    for (std::uint32_t i = 0; i < subnetwork.size(); ++i) {
      const Subnetwork::Gate& gate = subnetwork.gates[i];
      for (std::uint32_t k = 0; k < gate.count; ++k) {
        const std::uint32_t from = subnetwork.inputs[gate.first + k];
        if (from != i) readers_[from] |= State{1} << i;
      }
    }
    for (const State set : sets_) in_loops_ |= set;
    for (const State loop : loops_) in_loops_ |= loop;
  }

  /// Adds those of a state in which the gates `excited` are so. Each set tried costs one of `budget`;
  /// false: it ran out.
  bool append(State s, State excited, std::vector<State>& moves, std::uint64_t& budget) {
    // Only a gate that reads another one can be disturbed by it: cheap to see, and mostly nothing is left.
    const State looping = core_of(readers_, excited & in_loops_);
    if (looping == 0) return true;
    for (State left = looping; left != 0; left &= left - 1) {
      const State gate = left & (~left + 1);
      disturbed_[index(gate)] = looping & readers_[index(gate)] & ~network_.excited(s ^ gate);
    }
    const State core = core_of(disturbed_, looping);
    if (core == 0) return true;
    for (const State set : sets_) {
      if ((set & ~core) == 0 && is_kept(set)) moves.push_back(set);
    }
    for (const State loop : loops_) {
      const State within = core_of(disturbed_, core & loop);
      // (subset - within) & within is the next larger subset, 0 after the last.
      for (State subset = (0 - within) & within; subset != 0; subset = (subset - within) & within) {
        if (budget-- == 0 || (budget % 65536 == 0 && is_set(stop_))) return false;
        if (is_kept(subset)) moves.push_back(subset);
      }
    }
    return true;
  }

 private:
  static std::size_t index(State gate) { return static_cast<std::size_t>(std::countr_zero(gate)); }
  bool is_kept(State set) const {
    for (State left = set; left != 0; left &= left - 1) {
      if ((disturbed_[index(left)] & set) == 0) return false;
    }
    return true;
  }
  // The largest subset in which each gate leads to another one of it, or nothing.
  static State core_of(const std::array<State, 64>& leads_to, State set) {
    for (State before = 0; before != set;) {
      before = set;
      for (State left = set; left != 0; left &= left - 1) {
        if ((leads_to[index(left)] & set) == 0) set &= ~(left & (~left + 1));
      }
    }
    return set;
  }

  const NarrowNetwork& network_;
  const std::atomic<bool>* stop_;
  State in_loops_ = 0;
  std::vector<State> sets_, loops_;    // of JointMoves
  std::array<State, 64> readers_{};    // by gate, without itself
  std::array<State, 64> disturbed_{};  // by gate: those that it takes the excitation away from
};

template <class Index>
class NarrowSearch {
 public:
  NarrowSearch(const Subnetwork& network, const AnyDelayLimits& limits, std::uint64_t fixed_bytes)
      : network_(network), joint_moves_(network, network_, limits.stop), index_(network.size()), stop_(limits.stop) {
    most_states_ = std::min<std::uint64_t>(limits.states, 0xfffffff0u);
    room_ = limits.memory_bytes > fixed_bytes ? limits.memory_bytes - fixed_bytes : 0;
    most_states_ = std::min(most_states_, room_ / bytes_a_state);
    most_moves_ = most_states_ > ~std::uint64_t{0} / joint_moves_a_state ? ~std::uint64_t{0} : most_states_ * joint_moves_a_state;
  }

  SearchResult run() {
    walk();
    result_.states = nodes_.size();
    if (!result_.complete || !result_.known) return std::move(result_);
    collect_differing();
    if (!result_.complete) return std::move(result_);
    if (is_open(nodes_[0].fates)) {
      marks_.assign(nodes_.size(), false);
      result_.racing = find_race(*this, nodes_[0].state);
    }
    for (const State s : stable_) {
      std::vector<bool>& values = result_.outcomes.emplace_back(network_.size());
      for (std::uint32_t i = 0; i < network_.size(); ++i) values[i] = ((s >> i) & 1u) != 0;
    }
    return std::move(result_);
  }

  // --- for find_race()
  Fates fates(State s) { return nodes_[id_of(s)].fates; }
  bool visit_once(State s) {
    const Id id = id_of(s);
    if (marks_[id]) return false;
    return marks_[id] = true;
  }
  std::vector<std::uint32_t> excited(State s) const {
    std::vector<std::uint32_t> gates;
    for (State e = network_.excited(s); e != 0; e &= e - 1) {
      gates.push_back(static_cast<std::uint32_t>(std::countr_zero(e)));
    }
    return gates;
  }
  State fire(State s, std::uint32_t gate) const { return s ^ (State{1} << gate); }

 private:
  struct Frame {
    Id id;
    bool is_stable;
    State singles;            // still to fire alone
    std::size_t first_joint;  // in joint_; what lies above is still to do
  };
  static constexpr Id finished = 0xffffffffu;

  Id id_of(State s) { return index_.at(s, nodes_) - 1; }

  void enter(State s, Id& slot) {
    const auto id = static_cast<Id>(nodes_.size());
    slot = id + 1;
    nodes_.push_back({s, 0, id});
    open_.push_back(id);
    if (network_.meets_unknown(s)) result_.known = false;
    const State excited = network_.excited(s);
    frames_.push_back({id, excited == 0, excited, joint_.size()});
    if (!joint_moves_.append(s, excited, joint_, budget_)) result_.complete = false;
  }

  void walk() {
    budget_ = most_moves_;
    enter(network_.start(), index_.at(network_.start(), nodes_));
    while (!frames_.empty() && result_.known && result_.complete) {
      Frame& frame = frames_.back();
      const Id id = frame.id;
      State fired = 0;
      if (frame.singles != 0) {
        fired = frame.singles & (~frame.singles + 1);
        frame.singles ^= fired;
      } else if (joint_.size() > frame.first_joint) {
        fired = joint_.back();
        joint_.pop_back();
      } else {
        leave();
        continue;
      }
      Id& slot = index_.at(nodes_[id].state ^ fired, nodes_);
      if (slot == 0) {
        if (nodes_.size() >= most_states_ ||
            nodes_.size() * bytes_a_state + joint_.size() * 2 * sizeof(State) > room_) {
          break;
        }
        enter(nodes_[id].state ^ fired, slot);
      } else if (nodes_[slot - 1].low == finished) {
        nodes_[id].fates |= nodes_[slot - 1].fates;
      } else {
        nodes_[id].low = std::min(nodes_[id].low, nodes_[slot - 1].low);
      }
      if (budget_-- == 0 || ((budget_ & 4095u) == 0 && is_set(stop_))) break;
    }
    if (!result_.known) return;
    result_.complete = result_.complete && frames_.empty();
  }

  void leave() {
    const Frame frame = frames_.back();
    frames_.pop_back();
    const Id id = frame.id;
    if (frame.is_stable) {
      nodes_[id].fates = stable_fate(stable_.size());
      stable_.push_back(nodes_[id].state);
    }
    const Id low = nodes_[id].low;
    if (low == id) {
      // open_ is in the order of the numbers.
      const auto first = std::lower_bound(open_.begin(), open_.end(), id);
      if (open_.end() - first > 1 && lasts(first)) {
        lasting_.push_back(id);
        nodes_[id].fates |= cycle_fate;
      }
      for (auto it = first; it != open_.end(); ++it) {
        nodes_[*it].fates = nodes_[id].fates;
        nodes_[*it].low = finished;
      }
      open_.erase(first, open_.end());
    }
    if (frames_.empty()) return;
    const Id parent = frames_.back().id;
    nodes_[parent].fates |= nodes_[id].fates;
    if (low != id) nodes_[parent].low = std::min(nodes_[parent].low, low);
  }

  bool lasts(std::vector<Id>::const_iterator first) const {
    State to_one = ~State{0}, to_zero = ~State{0};
    for (auto it = first; it != open_.end() && (to_one | to_zero) != 0; ++it) {
      const State s = nodes_[*it].state;
      const State e = network_.excited(s);
      to_one &= e & ~s;
      to_zero &= e & s;
    }
    return (to_one | to_zero) == 0;
  }

  // What differs among the stable states, the lasting cycles and all that follows from these.
  void collect_differing() {
    result_.may_cycle = !lasting_.empty();
    State ever_one = 0, ever_zero = 0, could_one = 0, could_zero = 0;
    for (const State s : stable_) {
      ever_one |= s;
      ever_zero |= ~s;
    }
    if (!lasting_.empty()) {
      budget_ = ~std::uint64_t{0};  // the walk has been through all of this
      for (const Node& node : nodes_) {
        could_one |= node.state;
        could_zero |= ~node.state;
      }
      const State most = could_one & could_zero;
      marks_.assign(nodes_.size(), false);
      std::vector<Id> work = lasting_;
      for (const Id id : work) marks_[id] = true;
      while (!work.empty() && (ever_one & ever_zero) != most) {
        if ((work.size() & 1023u) == 0 && is_set(stop_)) {
          result_.complete = false;
          return;
        }
        const State s = nodes_[work.back()].state;
        work.pop_back();
        ever_one |= s;
        ever_zero |= ~s;
        const State excited = network_.excited(s);
        joint_.clear();
        joint_moves_.append(s, excited, joint_, budget_);
        for (State left = excited; left != 0; left &= left - 1) joint_.push_back(left & (~left + 1));
        for (const State fired : joint_) {
          const Id to = id_of(s ^ fired);
          if (marks_[to]) continue;
          marks_[to] = true;
          work.push_back(to);
        }
      }
    }
    for (std::uint32_t i = 0; i < network_.size(); ++i) {
      if (((ever_one & ever_zero) >> i & 1u) != 0) result_.differing.push_back(i);
    }
  }

  const NarrowNetwork network_;
  JointMovesOf joint_moves_;
  Index index_;
  const std::atomic<bool>* stop_;
  std::uint64_t room_ = 0, most_states_ = 0, most_moves_ = 0, budget_ = 0;
  std::vector<Node> nodes_;
  std::vector<Id> open_, lasting_;
  std::vector<State> stable_;
  std::vector<Frame> frames_;
  std::vector<State> joint_;  // joint moves still to do, of the states on the way
  std::vector<bool> marks_;
  SearchResult result_;
};

}  // namespace

SearchResult search_narrow(const Subnetwork& network, const AnyDelayLimits& limits,
                           std::uint32_t most_array_gates) {
  const std::uint32_t gates = network.size();
  const std::uint64_t array_bytes = std::uint64_t{4} << std::min(gates, 30u);
  if (gates <= std::min(most_array_gates, 24u) && array_bytes <= limits.memory_bytes / 2) {
    return NarrowSearch<ArrayIndex>(network, limits, array_bytes).run();
  }
  return NarrowSearch<TableIndex>(network, limits, 0).run();
}

}  // namespace settle
