// Any-delay search over a bitmap of all 2^n states (general multiple-winner relation: Brzozowski and
// Seger, Asynchronous Circuits, 1995).
//
// Reachability. From a state any non-empty set of the excited gates may fire, so it and its
// successors fill a subcube: the quiet gates' bits are fixed. The low six gates number the bits of a
// word, the others the words; filling is one "or" a word and yields the states that are new.
//
// Lasting cycles. Tarjan's components of the reachable graph, successors taken from the same
// subcubes a word at a time. A component of several states lasts (is non-transient) unless some gate
// is excited with one constant value in all its states: such a gate would fire at last.
//
// Fates: the set of ends that a state can still come to, handed up as components are finished. A
// state that already has every end known so far need not look at finished successors, which is
// what keeps dense graphs cheap: they are masked out by the word.
//
// Memory: the bitmaps come zeroed from the system page by page, so a sparse search pays for the
// pages it touches; 16 to 24 bytes a state besides.
#include <algorithm>
#include <array>
#include <bit>
#include <cstdlib>
#include <memory>
#include <new>

#include "analysis/any_delay_race.h"
#include "analysis/any_delay_search.h"
#include "analysis/narrow_network.h"

namespace settle {
namespace {

using State = std::uint32_t;
using Word = std::uint64_t;

struct Free {
  void operator()(void* p) const { std::free(p); }
};
template <class T>
using Zeroed = std::unique_ptr<T[], Free>;
template <class T>
Zeroed<T> zeroed(std::size_t count) {
  void* memory = std::calloc(count, sizeof(T));
  if (memory == nullptr) throw std::bad_alloc();
  return Zeroed<T>(static_cast<T*>(memory));
}

// submasks_of_low[e]: bit s is set when s is a submask of e, for the six gates within a word.
constexpr std::array<Word, 64> make_submasks() {
  std::array<Word, 64> table{};
  for (unsigned e = 0; e < 64; ++e) {
    for (unsigned s = 0; s < 64; ++s) {
      if ((s & ~e) == 0) table[e] |= Word{1} << s;
    }
  }
  return table;
}
constexpr std::array<Word, 64> submasks_of_low = make_submasks();

class BitmapSearch {
 public:
  BitmapSearch(const Subnetwork& network, const AnyDelayLimits& limits)
      : network_(network), limits_(limits), words_(network.size() > 6 ? std::size_t{1} << (network.size() - 6) : 1) {
    reached_ = zeroed<Word>(words_);
    mark_ = zeroed<Word>(words_);
    rank_ = zeroed<std::uint32_t>(words_);
  }

  SearchResult run() {
    start_ = static_cast<State>(network_.start());
    if (!reach()) return std::move(result_);
    find_lasting_cycles();
    collect_differing();
    if (is_open(fates_[index_of(start_)])) result_.racing = find_race(*this, start_);
    for (const State s : stable_) {
      std::vector<bool>& values = result_.outcomes.emplace_back(network_.size());
      for (std::uint32_t i = 0; i < network_.size(); ++i) values[i] = ((s >> i) & 1u) != 0;
    }
    return std::move(result_);
  }

  // --- for find_race()
  Fates fates(State s) const { return fates_[index_of(s)]; }
  bool visit_once(State s) {
    const Word bit = Word{1} << (s & 63u);
    if ((mark_[s >> 6] & bit) != 0) return false;
    mark_[s >> 6] |= bit;
    return true;
  }
  std::vector<std::uint32_t> excited(State s) const {
    std::vector<std::uint32_t> gates;
    for (State e = excitation(s); e != 0; e &= e - 1) {
      gates.push_back(static_cast<std::uint32_t>(std::countr_zero(e)));
    }
    return gates;
  }
  State fire(State s, std::uint32_t gate) const { return s ^ (State{1} << gate); }

 private:
  struct Frame {
    State state, excited, sub;  // sub: subset of the excited gates above the sixth, walked downwards
    std::uint32_t low;
    Word pending;               // successors in the present word, not yet looked at
    Fates fates;
  };

  State excitation(State s) const { return static_cast<State>(network_.excited(s)); }
  static Word cube_in_word(State s, State e) { return submasks_of_low[e & 63u] << (s & 63u & ~e); }
  std::uint32_t index_of(State s) const {
    const Word below = reached_[s >> 6] & ((Word{1} << (s & 63u)) - 1);
    return rank_[s >> 6] + static_cast<std::uint32_t>(std::popcount(below));
  }
  void clear_marks() {
    for (const std::uint32_t w : touched_) mark_[w] = 0;
  }

  // All reachable states. mark_: reached and not yet looked at.
  bool reach() {
    std::vector<std::uint32_t> work;
    std::uint64_t most = std::min<std::uint64_t>(limits_.states, 0xfffffff0u);
    const std::uint64_t fixed = bitmap_bytes(network_.size());
    most = std::min(most, limits_.memory_bytes > fixed ? (limits_.memory_bytes - fixed) / 64 : 0);
    const auto add = [&](std::uint32_t w, Word states) {
      const Word fresh = states & ~reached_[w];
      if (fresh == 0) return;
      if (reached_[w] == 0) touched_.push_back(w);
      reached_[w] |= fresh;
      if (mark_[w] == 0) work.push_back(w);
      mark_[w] |= fresh;
      result_.states += static_cast<std::uint64_t>(std::popcount(fresh));
    };
    add(start_ >> 6, Word{1} << (start_ & 63u));
    while (!work.empty()) {
      const std::uint32_t w = work.back();
      work.pop_back();
      Word todo = mark_[w];
      mark_[w] = 0;
      for (; todo != 0; todo &= todo - 1) {
        const State s = (w << 6) | static_cast<State>(std::countr_zero(todo));
        const State e = excitation(s);
        if (network_.meets_unknown(s)) return result_.known = false;
        if (e == 0) {
          stable_.push_back(s);
          continue;
        }
        const Word cube = cube_in_word(s, e);
        const std::uint32_t high = e >> 6;
        for (std::uint32_t sub = high;; sub = (sub - 1) & high) {
          add(w ^ sub, cube);
          if (sub == 0) break;
        }
      }
      if (result_.states > most) return result_.complete = false;
    }
    std::uint32_t rank = 0;
    for (const std::uint32_t w : touched_) {
      rank_[w] = rank;
      rank += static_cast<std::uint32_t>(std::popcount(reached_[w]));
    }
    return true;
  }

  void enter(State s) {
    const State e = excitation(s);
    numbers_[index_of(s)] = ++count_;
    open_.push_back(s);
    Frame frame{s, e, e >> 6, count_, 0, 0};
    frames_.push_back(frame);
    load_word(frames_.back());
  }
  // mark_: states of finished components.
  void load_word(Frame& frame) const {
    const std::uint32_t w = (frame.state >> 6) ^ frame.sub;
    frame.pending = cube_in_word(frame.state, frame.excited);
    if ((frame.fates & known_fates_) == known_fates_) frame.pending &= ~mark_[w];
    if (frame.sub == 0) frame.pending &= ~(Word{1} << (frame.state & 63u));
  }

  void find_lasting_cycles() {
    const auto states = static_cast<std::size_t>(result_.states);
    numbers_.assign(states, 0);
    fates_.assign(states, 0);
    for (std::size_t i = 0; i < stable_.size(); ++i) {
      known_fates_ |= stable_fate(i);
      fates_[index_of(stable_[i])] = stable_fate(i);
    }
    enter(start_);
    while (!frames_.empty()) {
      Frame& frame = frames_.back();
      if (frame.pending == 0) {
        if (frame.sub == 0) {
          leave();
        } else {
          frame.sub = (frame.sub - 1) & (frame.excited >> 6);
          load_word(frame);
        }
        continue;
      }
      const std::uint32_t w = (frame.state >> 6) ^ frame.sub;
      const auto lane = static_cast<State>(std::countr_zero(frame.pending));
      frame.pending &= frame.pending - 1;
      const State to = (w << 6) | lane;
      const std::uint32_t index = index_of(to);
      if (numbers_[index] == 0) {
        enter(to);
      } else if (((mark_[w] >> lane) & 1u) != 0) {
        frame.fates |= fates_[index];
        if ((frame.fates & known_fates_) == known_fates_) frame.pending &= ~mark_[w];
      } else {
        frame.low = std::min(frame.low, numbers_[index]);
      }
    }
    numbers_ = {};
  }

  void leave() {
    const Frame frame = frames_.back();
    frames_.pop_back();
    Fates fates = frame.fates | fates_[index_of(frame.state)];
    if (frame.low == numbers_[index_of(frame.state)]) {
      auto first = open_.size() - 1;
      while (open_[first] != frame.state) --first;
      if (open_.size() - first > 1 && lasts(first)) {
        lasting_.push_back(frame.state);
        known_fates_ |= cycle_fate;
        fates |= cycle_fate;
      }
      for (std::size_t i = first; i < open_.size(); ++i) {
        fates_[index_of(open_[i])] = fates;
        mark_[open_[i] >> 6] |= Word{1} << (open_[i] & 63u);
      }
      open_.resize(first);
    }
    if (frames_.empty()) return;
    frames_.back().low = std::min(frames_.back().low, frame.low);
    frames_.back().fates |= fates;
  }

  bool lasts(std::size_t first) const {
    State to_one = ~State{0}, to_zero = ~State{0};
    for (std::size_t i = first; i < open_.size() && (to_one | to_zero) != 0; ++i) {
      const State e = excitation(open_[i]);
      to_one &= e & ~open_[i];
      to_zero &= e & open_[i];
    }
    return (to_one | to_zero) == 0;
  }

  // What differs among the stable states, the lasting cycles and all that follows from these.
  void collect_differing() {
    State ever_one = 0, ever_zero = 0;
    const auto take = [&](State s) {
      ever_one |= s;
      ever_zero |= ~s;
    };
    for (const State s : stable_) take(s);
    result_.may_cycle = !lasting_.empty();
    clear_marks();
    if (!lasting_.empty()) {
      const State all = static_cast<State>((std::uint64_t{1} << network_.size()) - 1);
      std::vector<std::uint32_t> work;
      const auto add = [&](std::uint32_t w, Word states) {
        if ((states & ~mark_[w]) == 0) return;
        for (Word fresh = states & ~mark_[w]; fresh != 0; fresh &= fresh - 1) {
          const State s = (w << 6) | static_cast<State>(std::countr_zero(fresh));
          take(s);
          work.push_back(s);
        }
        mark_[w] |= states;
      };
      for (const State s : lasting_) add(s >> 6, Word{1} << (s & 63u));
      while (!work.empty() && (ever_one & ever_zero & all) != all) {
        const State s = work.back();
        work.pop_back();
        const State e = excitation(s);
        const Word cube = cube_in_word(s, e);
        const std::uint32_t high = e >> 6;
        for (std::uint32_t sub = high;; sub = (sub - 1) & high) {
          add((s >> 6) ^ sub, cube);
          if (sub == 0) break;
        }
      }
      clear_marks();
    }
    for (std::uint32_t i = 0; i < network_.size(); ++i) {
      if (((ever_one & ever_zero) >> i & 1u) != 0) result_.differing.push_back(i);
    }
  }

  const NarrowNetwork network_;
  const AnyDelayLimits limits_;
  const std::size_t words_;
  State start_ = 0;
  Zeroed<Word> reached_, mark_;
  Zeroed<std::uint32_t> rank_;           // by word: reached states in the words before it
  std::vector<std::uint32_t> touched_;   // words with a reached state
  std::vector<State> stable_, lasting_;  // stable states; one state of each lasting component
  std::vector<std::uint32_t> numbers_;   // by index_of(): Tarjan's numbers from 1
  std::vector<Fates> fates_;
  std::vector<State> open_;
  std::vector<Frame> frames_;
  std::uint32_t count_ = 0;
  Fates known_fates_ = 0;
  SearchResult result_;
};

}  // namespace

std::uint64_t bitmap_bytes(std::uint32_t gates) {
  const std::uint64_t words = gates > 6 ? std::uint64_t{1} << (gates - 6) : 1;
  return words * 20;
}

SearchResult search_with_bitmap(const Subnetwork& network, const AnyDelayLimits& limits) {
  return BitmapSearch(network, limits).run();
}

}  // namespace settle
