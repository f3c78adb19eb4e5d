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
// Cost: a lookup for each excited gate and each joint move of a state; some 60 bytes a state.
#include <algorithm>
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

// The moves of one state, one after another.
struct MoveSets {
  std::vector<State> sets;           // fire together when all are excited
  std::vector<State> any_subset_of;  // every subset of the excited ones
  State single = 0;                  // gates in none of these loops fire alone
};

struct Cursor {
  State excited = 0;
  State singles = 0;  // still to fire alone
  State subset = 0;   // last subset fired of any_subset_of[loop]
  std::uint32_t set = 0, loop = 0;

  Cursor(const MoveSets& moves, State e) : excited(e), singles(e & moves.single) {}
  /// The gates of the next move; 0 at the end.
  State next(const MoveSets& moves) {
    if (singles != 0) {
      const State gate = singles & (~singles + 1);
      singles ^= gate;
      return gate;
    }
    while (set < moves.sets.size()) {
      const State gates = moves.sets[set++];
      if ((gates & ~excited) == 0) return gates;
    }
    while (loop < moves.any_subset_of.size()) {
      const State within = moves.any_subset_of[loop] & excited;
      subset = (subset - within) & within;  // the next larger subset, 0 after the last
      if (subset != 0) return subset;
      ++loop;
    }
    return 0;
  }
};

template <class Index>
class NarrowSearch {
 public:
  NarrowSearch(const Subnetwork& network, const AnyDelayLimits& limits, std::uint64_t fixed_bytes)
      : network_(network), index_(network.size()) {
    most_states_ = std::min<std::uint64_t>(limits.states, 0xfffffff0u);
    const std::uint64_t room = limits.memory_bytes > fixed_bytes ? limits.memory_bytes - fixed_bytes : 0;
    most_states_ = std::min(most_states_, room / bytes_a_state);
    most_moves_ = most_states_ > ~std::uint64_t{0} / 256 ? ~std::uint64_t{0} : most_states_ * 256;
    const auto mask = [](const std::vector<std::uint32_t>& gates) {
      State m = 0;
      for (const std::uint32_t gate : gates) m |= State{1} << gate;
      return m;
    };
    const JointMoves joint = find_joint_moves(network);
    moves_.single = ~State{0};
    for (const auto& set : joint.sets) moves_.sets.push_back(mask(set));
    for (const auto& loop : joint.any_subset_of) {
      moves_.any_subset_of.push_back(mask(loop));
      moves_.single &= ~mask(loop);
    }
  }

  SearchResult run() {
    walk();
    result_.states = nodes_.size();
    if (!result_.complete || !result_.known) return std::move(result_);
    collect_differing();
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
    Cursor cursor;
  };
  static constexpr Id finished = 0xffffffffu;

  Id id_of(State s) { return index_.at(s, nodes_) - 1; }

  void enter(State s, Id& slot) {
    const auto id = static_cast<Id>(nodes_.size());
    slot = id + 1;
    nodes_.push_back({s, 0, id});
    open_.push_back(id);
    if (network_.meets_unknown(s)) result_.known = false;
    frames_.push_back({id, Cursor(moves_, network_.excited(s))});
  }

  void walk() {
    enter(network_.start(), index_.at(network_.start(), nodes_));
    std::uint64_t moves = 0;
    while (!frames_.empty() && result_.known) {
      Frame& frame = frames_.back();
      const Id id = frame.id;
      const State fired = frame.cursor.next(moves_);
      if (fired == 0) {
        leave();
        continue;
      }
      Id& slot = index_.at(nodes_[id].state ^ fired, nodes_);
      if (slot == 0) {
        if (nodes_.size() >= most_states_) break;
        enter(nodes_[id].state ^ fired, slot);
      } else if (nodes_[slot - 1].low == finished) {
        nodes_[id].fates |= nodes_[slot - 1].fates;
      } else {
        nodes_[id].low = std::min(nodes_[id].low, nodes_[slot - 1].low);
      }
      if (++moves > most_moves_) break;
    }
    result_.complete = frames_.empty() || !result_.known;
  }

  void leave() {
    const Frame frame = frames_.back();
    frames_.pop_back();
    const Id id = frame.id;
    if (frame.cursor.excited == 0) {
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
      for (const Node& node : nodes_) {
        could_one |= node.state;
        could_zero |= ~node.state;
      }
      const State most = could_one & could_zero;
      marks_.assign(nodes_.size(), false);
      std::vector<Id> work = lasting_;
      for (const Id id : work) marks_[id] = true;
      while (!work.empty() && (ever_one & ever_zero) != most) {
        const State s = nodes_[work.back()].state;
        work.pop_back();
        ever_one |= s;
        ever_zero |= ~s;
        Cursor cursor(moves_, network_.excited(s));
        for (State fired = cursor.next(moves_); fired != 0; fired = cursor.next(moves_)) {
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
  MoveSets moves_;
  Index index_;
  std::uint64_t most_states_ = 0, most_moves_ = 0;
  std::vector<Node> nodes_;
  std::vector<Id> open_, lasting_;
  std::vector<State> stable_;
  std::vector<Frame> frames_;
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
