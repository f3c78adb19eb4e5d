// Any-delay search of parts with more than 64 gates.
//
// The relation, the moves and the test for lasting cycles are those of any_delay_narrow.cpp; states
// are rows of words, and each gate has a random word that its flipping adds to the state's hash.
// The moves of a state are put into one list when they are walked. Subsets of a loop with too many
// strongly connected sets are tried one by one, which can run away while the number of states is
// still small: the number of moves has a budget of its own.
#include <algorithm>
#include <bit>
#include <optional>

#include "analysis/any_delay_choices.h"
#include "analysis/any_delay_race.h"
#include "analysis/any_delay_search.h"
#include "analysis/joint_moves.h"

namespace settle {
namespace {

using Word = std::uint64_t;
using Id = std::uint32_t;
constexpr Id no_wide_state = 0xffffffffu;

class WideSearch {
 public:
  WideSearch(const Subnetwork& network, const AnyDelayLimits& limits)
      : network_(network), width_((network.size() + 63) / 64), stop_(limits.stop), scratch_(width_) {
    most_states_ = std::min<std::uint64_t>(limits.states, no_wide_state - 1);
    // Pool, table slots at half load, number, fates, frames.
    most_states_ = std::min<std::uint64_t>(most_states_, limits.memory_bytes / (72 + 8 * width_));
    budget_ =
        most_states_ > ~std::uint64_t{0} / joint_moves_a_state ? ~std::uint64_t{0} : most_states_ * joint_moves_a_state;
    joint_ = find_joint_moves(network);
    in_any_subset_.assign(network.size(), false);
    for (const auto& loop : joint_.any_subset_of) {
      for (const std::uint32_t gate : loop) in_any_subset_[gate] = true;
    }
    std::uint64_t seed = 0x243f6a8885a308d3u;  // any fixed number
    for (std::uint32_t i = 0; i < network.size(); ++i) keys_.push_back(mix(seed += 0x9e3779b97f4a7c15u));
    slots_.assign(64, no_wide_state);
  }

  SearchResult run() {
    for (std::uint32_t i = 0; i < network_.size(); ++i) {
      if (network_.start[i]) flip(i);
    }
    start_ = add();
    if (!reach()) return std::move(result_);
    result_.states = states_;
    budget_ = ~std::uint64_t{0};  // the walks to come make the same moves once more
    find_lasting_cycles();
    if (!result_.complete) return std::move(result_);
    collect_differing();
    if (is_open(fates_[start_])) {
      visited_.assign(states_, false);
      result_.racing = find_race(*this, start_);
    }
    for (const Id s : stable_) {
      std::vector<bool>& values = result_.outcomes.emplace_back(network_.size());
      for (std::uint32_t i = 0; i < network_.size(); ++i) values[i] = bit(state(s), i);
    }
    return std::move(result_);
  }

  // --- for find_race()
  Fates fates(Id s) const { return fates_[s]; }
  bool visit_once(Id s) {
    if (visited_[s]) return false;
    return visited_[s] = true;
  }
  std::vector<std::uint32_t> excited(Id s) {
    load(s);
    find_excited();
    return excited_;
  }
  Id fire(Id s, std::uint32_t gate) {
    load(s);
    flip(gate);
    return *find();
  }

 private:
  struct Frame {
    Id state;
    std::uint32_t low;
    std::size_t move;  // moves looked at
    Fates fates;
  };

  static Word mix(Word z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
  }
  const Word* state(Id s) const { return pool_.data() + std::size_t{s} * width_; }
  static bool bit(const Word* words, std::uint32_t i) { return ((words[i / 64] >> (i % 64)) & 1u) != 0; }

  // --- the state in hand: scratch_ and its hash
  void load(Id s) {
    std::copy_n(state(s), width_, scratch_.begin());
    hash_ = hashes_[s];
  }
  void flip(std::uint32_t gate) {
    scratch_[gate / 64] ^= Word{1} << (gate % 64);
    hash_ ^= keys_[gate];
  }
  std::optional<Id> find() const {
    const std::size_t mask = slots_.size() - 1;
    for (std::size_t at = hash_ & mask;; at = (at + 1) & mask) {
      const Id s = slots_[at];
      if (s == no_wide_state) return std::nullopt;
      if (hashes_[s] == hash_ && std::equal(scratch_.begin(), scratch_.end(), state(s))) return s;
    }
  }
  Id add() {
    if (const auto s = find()) return *s;
    if ((states_ + 1) * 2 > slots_.size()) grow();
    const Id id = states_++;
    pool_.insert(pool_.end(), scratch_.begin(), scratch_.end());
    hashes_.push_back(hash_);
    put(id);
    return id;
  }
  void put(Id id) {
    const std::size_t mask = slots_.size() - 1;
    std::size_t at = hashes_[id] & mask;
    while (slots_[at] != no_wide_state) at = (at + 1) & mask;
    slots_[at] = id;
  }
  void grow() {
    slots_.assign(slots_.size() * 2, no_wide_state);
    for (Id s = 0; s < states_; ++s) put(s);
  }

  // Value of a gate's function in the scratch state: 0, 1 or 2 = unknown.
  int function(std::uint32_t i) const {
    return evaluate(network_, i, [this](std::uint32_t k) { return bit(scratch_.data(), k); });
  }
  // False: some function is unknown.
  bool find_excited() {
    excited_.clear();
    for (std::uint32_t i = 0; i < network_.size(); ++i) {
      const int f = function(i);
      if (f == 2) return false;
      if ((f == 1) != bit(scratch_.data(), i)) excited_.push_back(i);
    }
    return true;
  }

  void flip_all(const std::vector<std::uint32_t>& gates) {
    for (const std::uint32_t gate : gates) flip(gate);
  }
  // The moves of the state in hand, from its excited gates. False: more than the budget allows.
  bool find_moves() {
    moves_.clear();
    const auto is_excited = [this](std::uint32_t gate) {
      return std::binary_search(excited_.begin(), excited_.end(), gate);
    };
    for (const std::uint32_t gate : excited_) {
      if (!in_any_subset_[gate]) moves_.push_back({gate});
    }
    for (const auto& set : joint_.sets) {
      if (std::all_of(set.begin(), set.end(), is_excited)) moves_.push_back(set);
    }
    for (const auto& loop : joint_.any_subset_of) {
      std::vector<std::uint32_t> within;
      std::copy_if(loop.begin(), loop.end(), std::back_inserter(within), is_excited);
      if (within.size() > 24 || (std::uint64_t{1} << within.size()) > budget_) return false;
      for (std::uint32_t subset = 1; subset < (1u << within.size()); ++subset) {
        std::vector<std::uint32_t>& move = moves_.emplace_back();
        for (std::uint32_t left = subset; left != 0; left &= left - 1) {
          move.push_back(within[static_cast<std::size_t>(std::countr_zero(left))]);
        }
      }
    }
    return moves_.size() <= budget_;
  }

  bool reach() {
    for (Id s = 0; s < states_; ++s) {
      if (is_set(stop_)) return result_.complete = false;
      load(s);
      if (!find_excited()) return result_.known = false;
      if (excited_.empty()) stable_.push_back(s);
      result_.states = states_;
      if (!find_moves()) return result_.complete = false;
      budget_ -= moves_.size();
      for (const std::vector<std::uint32_t>& move : moves_) {
        flip_all(move);
        add();
        flip_all(move);
      }
      if (states_ > most_states_) return result_.complete = false;
    }
    return true;
  }

  void find_lasting_cycles() {
    numbers_.assign(states_, 0);
    fates_.assign(states_, 0);
    for (std::size_t i = 0; i < stable_.size(); ++i) fates_[stable_[i]] = stable_fate(i);
    enter(start_);
    for (std::uint32_t round = 1; !frames_.empty(); ++round) {
      if (is_set(stop_)) {
        result_.complete = false;
        return;
      }
      // Goes on where the frame stood.
      Frame& frame = frames_.back();
      load(frame.state);
      find_excited();
      find_moves();
      std::optional<Id> next;
      while (!next && frame.move < moves_.size()) {
        const std::vector<std::uint32_t>& move = moves_[frame.move++];
        flip_all(move);
        const Id to = *find();
        flip_all(move);
        if (numbers_[to] == 0) {
          next = to;
        } else if (numbers_[to] == finished) {
          frame.fates |= fates_[to];
        } else {
          frame.low = std::min(frame.low, numbers_[to]);
        }
      }
      if (next) {
        enter(*next);
      } else {
        leave();
      }
    }
  }
  void enter(Id s) {
    numbers_[s] = ++count_;
    open_.push_back(s);
    frames_.push_back({s, count_, 0, fates_[s]});
  }
  void leave() {
    const Frame frame = frames_.back();
    frames_.pop_back();
    Fates fates = frame.fates;
    if (frame.low == numbers_[frame.state]) {
      auto first = open_.size() - 1;
      while (open_[first] != frame.state) --first;
      if (open_.size() - first > 1 && lasts(first)) {
        lasting_.push_back(frame.state);
        fates |= cycle_fate;
      }
      for (std::size_t i = first; i < open_.size(); ++i) {
        fates_[open_[i]] = fates;
        numbers_[open_[i]] = finished;
      }
      open_.resize(first);
    }
    if (frames_.empty()) return;
    frames_.back().low = std::min(frames_.back().low, frame.low);
    frames_.back().fates |= fates;
  }
  bool lasts(std::size_t first) {
    std::vector<Word> to_one(width_, ~Word{0}), to_zero(width_, ~Word{0}), e(width_);
    for (std::size_t i = first; i < open_.size(); ++i) {
      load(open_[i]);
      find_excited();
      std::fill(e.begin(), e.end(), Word{0});
      for (const std::uint32_t gate : excited_) e[gate / 64] |= Word{1} << (gate % 64);
      Word left = 0;
      for (std::size_t w = 0; w < width_; ++w) {
        to_one[w] &= e[w] & ~scratch_[w];
        to_zero[w] &= e[w] & scratch_[w];
        left |= to_one[w] | to_zero[w];
      }
      if (left == 0) return true;
    }
    return false;
  }

  void collect_differing() {
    result_.may_cycle = !lasting_.empty();
    std::vector<Word> ever_one(width_, 0), ever_zero(width_, 0);
    const auto take = [&](Id s) {
      for (std::size_t w = 0; w < width_; ++w) {
        ever_one[w] |= state(s)[w];
        ever_zero[w] |= ~state(s)[w];
      }
    };
    for (const Id s : stable_) take(s);
    std::vector<bool> follows(states_, false);
    std::vector<Id> work = lasting_;
    for (const Id s : work) follows[s] = true;
    while (!work.empty()) {
      const Id from = work.back();
      work.pop_back();
      take(from);
      load(from);
      find_excited();
      find_moves();
      for (const std::vector<std::uint32_t>& move : moves_) {
        flip_all(move);
        const Id to = *find();
        flip_all(move);
        if (!follows[to]) {
          follows[to] = true;
          work.push_back(to);
        }
      }
    }
    for (std::uint32_t i = 0; i < network_.size(); ++i) {
      if (bit(ever_one.data(), i) && bit(ever_zero.data(), i)) result_.differing.push_back(i);
    }
  }

  static constexpr std::uint32_t finished = 0xffffffffu;
  const Subnetwork& network_;
  const std::size_t width_;  // words a state
  const std::atomic<bool>* stop_;
  std::uint64_t most_states_ = 0, budget_ = 0;
  std::vector<Word> keys_;  // by gate: what it adds to the hash
  std::vector<Word> scratch_;
  Word hash_ = 0;
  JointMoves joint_;
  std::vector<bool> in_any_subset_;  // by gate
  std::vector<std::uint32_t> excited_;
  std::vector<std::vector<std::uint32_t>> moves_;
  std::vector<Word> pool_, hashes_;
  std::vector<Id> slots_;
  Id states_ = 0, start_ = 0;
  std::vector<Id> stable_, lasting_, open_;
  std::vector<std::uint32_t> numbers_;
  std::uint32_t count_ = 0;
  std::vector<Fates> fates_;
  std::vector<Frame> frames_;
  std::vector<bool> visited_;
  SearchResult result_;
};

}  // namespace

SearchResult search_wide(const Subnetwork& network, const AnyDelayLimits& limits) {
  return WideSearch(network, limits).run();
}

SearchResult search_any_delay(const Subnetwork& network, const AnyDelayLimits& limits) {
  if (!network.known) {
    SearchResult result;
    result.known = false;
    return result;
  }
  if (has_too_many_choices(network, limits)) {
    SearchResult result;
    result.complete = false;
    return result;
  }
  if (network.size() > 64) return search_wide(network, limits);
  // Most searches are small, and then states one by one are faster.
  constexpr std::uint64_t few_states = 4096;
  if (limits.states > few_states) {
    SearchResult result = search_narrow(network, {few_states, limits.memory_bytes});
    if (result.complete || !result.known) return result;
    if (std::optional<SearchResult> found = search_bitmap(network, limits)) return std::move(*found);
  }
  return search_narrow(network, limits);
}

}  // namespace settle
