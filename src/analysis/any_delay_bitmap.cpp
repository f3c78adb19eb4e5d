// Any-delay search of parts of up to 32 gates in bitmaps over all 2^n states, 64 states at a time.
//
// The relation and its moves are those of any_delay_narrow.cpp; a word holds the states that differ in
// the first six gates only, and a gate's function, a move and a set operation cost about the same for the
// whole word as for one state there.
//
// Reached states: a queue of blocks with the lanes that are new in each, so that every state is walked
// from once, most of them in company.
// Lasting cycles: states that no cycle runs through are peeled off, from both ends. Any state of what is
// left belongs to a component: what can be reached from it and can reach it (A. Xie and P. A. Beerel,
// "Implicit enumeration of strongly connected components", ICCAD 1999; from memory). Each is tested and
// taken out, and the peeling goes on. Where that takes too long, as with thousands of small components, no
// answer is given and the caller takes the search that goes state by state.
// Fates (see any_delay_race.h) are walked backwards, one bitmap each, and only where there are several.
//
// Going forward, moves are found at the block that they lead from. Going backward and peeling, single
// firings are looked at from the block in hand, and joint moves, which are few, in rounds over the blocks
// that have any, until nothing changes.
//
// Cost: for each visit of a block, an evaluation of the gates and a few operations a gate and a pair of
// gates in one loop; some 7 bits a state of the 2^n with the queue, and one for each fate. Pages of memory that hold no state
// met are not touched.
#include <algorithm>
#include <cstdlib>
#include <memory>
#include <new>
#include <optional>

#include "analysis/any_delay_race.h"
#include "analysis/any_delay_search.h"
#include "analysis/bitmap_moves.h"
#include "analysis/narrow_network.h"
#include "settle/progress.h"

namespace settle {
namespace {

using Joint = BitmapMoves::Joint;
using ByGate = BitmapNetwork::ByGate;

// One word a block. The memory comes zeroed from the system page by page.
class Bitmap {
 public:
  explicit Bitmap(std::size_t blocks) : words_(static_cast<Lanes*>(std::calloc(blocks, sizeof(Lanes)))) {
    if (!words_) throw std::bad_alloc();
  }
  Lanes& operator[](Block block) { return words_[block]; }
  Lanes operator[](Block block) const { return words_[block]; }
  bool has(std::uint64_t state) const { return ((words_[state >> 6] >> (state & 63u)) & 1u) != 0; }
  void add(std::uint64_t state) { words_[state >> 6] |= Lanes{1} << (state & 63u); }

 private:
  struct Free {
    void operator()(Lanes* p) const { std::free(p); }
  };
  std::unique_ptr<Lanes[], Free> words_;
};

constexpr std::uint64_t kept_bitmaps = 5;

class BitmapSearch {
 public:
  BitmapSearch(const Subnetwork& subnetwork, const AnyDelayLimits& limits)
      : states_(subnetwork),
        network_(subnetwork),
        moves_(subnetwork, network_, limits.stop),
        reached_(network_.blocks()),
        pending_(network_.blocks()),
        left_(network_.blocks()),
        first_(network_.blocks()),
        second_(network_.blocks()),
        stop_(limits.stop),
        most_states_(limits.states),
        budget_(limits.states > ~std::uint64_t{0} / joint_moves_a_state ? ~std::uint64_t{0} : limits.states * joint_moves_a_state) {
    const std::uint64_t used = bytes_of(network_.size());
    fate_room_ = (limits.memory_bytes - used) / (network_.blocks() * sizeof(Lanes));
  }

  static std::uint64_t bytes_of(std::uint32_t gates) {
    const std::uint64_t blocks = std::uint64_t{1} << (gates - BitmapNetwork::lane_gates);
    return blocks * (kept_bitmaps * sizeof(Lanes) + 4 * sizeof(Block));
  }

  std::optional<SearchResult> run() {
    result_.complete = reach();
    result_.states = count_;
    if (!result_.complete) return std::move(result_);
    budget_ = ~std::uint64_t{0};  // the walk has been through all of this
    list_blocks();
    if (!find_lasting_cycles()) return std::nullopt;
    collect_differing();
    if (!find_racing()) return std::nullopt;
    if (is_set(stop_)) return std::nullopt;  // a walk may have been cut short
    for (const std::uint64_t s : stable_) {
      std::vector<bool>& values = result_.outcomes.emplace_back(network_.size());
      for (std::uint32_t i = 0; i < network_.size(); ++i) values[i] = ((s >> i) & 1u) != 0;
    }
    return std::move(result_);
  }

  // --- for find_race()
  Fates fates(std::uint64_t s) const {
    Fates all = 0;
    for (std::size_t i = 0; i < fates_.size(); ++i) all |= Fates{fates_[i].has(s)} << i;
    return all;
  }
  bool visit_once(std::uint64_t s) {
    if (pending_.has(s)) return false;
    pending_.add(s);
    return true;
  }
  std::vector<std::uint32_t> excited(std::uint64_t s) const {
    std::vector<std::uint32_t> gates;
    for (std::uint64_t e = states_.excited(s); e != 0; e &= e - 1) {
      gates.push_back(static_cast<std::uint32_t>(std::countr_zero(e)));
    }
    return gates;
  }
  std::uint64_t fire(std::uint64_t s, std::uint32_t gate) const { return s ^ (std::uint64_t{1} << gate); }

 private:
  static std::uint64_t bit(std::uint32_t gate) { return std::uint64_t{1} << gate; }

  // --- the queue: blocks whose pending_ is not 0, once each
  void put(Block block, Lanes lanes) {
    if (lanes == 0) return;
    if (pending_[block] == 0) next_.push_back(block);
    pending_[block] |= lanes;
  }
  // visit(block, lanes) for what is put, until nothing is left. False: a limit was met.
  template <class Visit>
  bool drain(const Visit& visit) {
    while (!next_.empty()) {
      work_.swap(next_);
      next_.clear();
      for (const Block block : work_) {
        const Lanes lanes = pending_[block];
        pending_[block] = 0;
        ++visits_;
        network_.excited(block, excited_);
        visit(block, lanes);
        if (is_beyond_limits()) return false;
      }
    }
    return true;
  }

  // Adds to a set, from the states put, all that follows from it without leaving allowed(block).
  // met(block, lanes): what is new. is_full(): nothing allowed is missing. `done`, empty at first: states
  // whose joint moves were made.
  template <class Allowed, class Met, class IsFull>
  bool spread(Bitmap& set, Bitmap& done, const Allowed& allowed, const Met& met, const IsFull& is_full) {
    const auto meet = [&](Block block, Lanes lanes) {
      const Lanes fresh = lanes & ~set[block] & allowed(block);
      if (fresh == 0) return Lanes{0};
      met(block, fresh);
      set[block] |= fresh;
      return fresh;
    };
    do {
      const bool complete = drain([&](Block block, Lanes lanes) {
        for (Lanes fresh = lanes; fresh != 0; lanes |= fresh) {
          Lanes after = 0;
          for (std::uint32_t g = 0; g < BitmapNetwork::lane_gates; ++g) {
            after |= BitmapNetwork::lanes_after(excited_[g] & fresh, bit(g));
          }
          fresh = meet(block, after);
        }
        for (std::uint32_t g = BitmapNetwork::lane_gates; g < network_.size(); ++g) {
          const Lanes fired = excited_[g] & lanes;
          if (fired == 0) continue;
          const Block to = BitmapNetwork::block_after(block, bit(g));
          put(to, meet(to, fired));
        }
      });
      if (!complete) return false;
      if (is_full()) return true;
      for (std::size_t i = 0; i < blocks_.size(); ++i) {  // may grow
        const Block block = blocks_[i];
        const Lanes todo = set[block] & ~done[block];
        if (todo == 0) continue;
        done[block] |= todo;
        network_.excited(block, excited_);
        for (const Joint& joint : moves_.find(block, excited_, todo, budget_)) {
          const Block to = BitmapNetwork::block_after(block, joint.move);
          put(to, meet(to, BitmapNetwork::lanes_after(joint.lanes, joint.move)));
        }
        if (is_beyond_limits()) return false;
      }
    } while (!next_.empty());
    return true;
  }
  void spread_within(Bitmap& set, Bitmap& done, const Bitmap& within) {
    clear(done);
    spread(
        set, done, [&](Block block) { return within[block]; }, [](Block, Lanes) {},
        [&] {
          return std::none_of(blocks_.begin(), blocks_.end(),
                              [&](Block block) { return (within[block] & ~set[block]) != 0; });
        });
  }
  bool is_beyond_limits() const { return count_ > most_states_ || budget_ == 0 || is_set(stop_); }
  void seed(Bitmap& set, std::uint64_t state) {
    set.add(state);
    put(block_of(state), lane_of(state));
  }
  static Block block_of(std::uint64_t state) {
    return static_cast<Block>(state >> BitmapNetwork::lane_gates);
  }
  static Lanes lane_of(std::uint64_t state) { return Lanes{1} << (state & 63u); }

  bool reach() {
    reached_.add(network_.start());
    put(block_of(network_.start()), lane_of(network_.start()));
    blocks_.push_back(block_of(network_.start()));
    count_ = 1;
    return spread(
        reached_, left_, [](Block) { return ~Lanes{0}; },
        [this](Block block, Lanes fresh) {
          if (reached_[block] == 0) blocks_.push_back(block);
          count_ += static_cast<std::uint64_t>(std::popcount(fresh));
        },
        [this] { return count_ == std::uint64_t{1} << network_.size(); });
  }

  void list_blocks() {
    std::sort(blocks_.begin(), blocks_.end());
    for (const Block block : blocks_) {
      network_.excited(block, excited_);
      Lanes rests = left_[block] = reached_[block];
      for (std::uint32_t g = 0; g < network_.size(); ++g) rests &= ~excited_[g];
      for (; rests != 0; rests &= rests - 1) {
        stable_.push_back(std::uint64_t{block} << 6 | static_cast<std::uint64_t>(std::countr_zero(rests)));
      }
    }
  }

  // Those with joint moves; not asked for, and not found, where single firings lead everywhere.
  const std::vector<Block>& joint_blocks() {
    if (!has_joint_blocks_) {
      for (const Block block : blocks_) {
        network_.excited(block, excited_);
        if (!moves_.find(block, excited_, reached_[block], budget_).empty()) joint_blocks_.push_back(block);
      }
      has_joint_blocks_ = true;
    }
    return joint_blocks_;
  }

  void clear(Bitmap& set) {
    for (const Block block : blocks_) set[block] = 0;
  }

  // Adds to a set, from the states put, all of `within` that leads to it without leaving `within`.
  void spread_back(Bitmap& set, const Bitmap& within) {
    do {
      drain([&](Block block, Lanes lanes) {
        for (Lanes fresh = lanes; fresh != 0; lanes |= fresh) {
          Lanes before = 0;
          for (std::uint32_t g = 0; g < BitmapNetwork::lane_gates; ++g) {
            before |= BitmapNetwork::lanes_after(fresh, bit(g)) & excited_[g];
          }
          fresh = before & within[block] & ~set[block];
          set[block] |= fresh;
        }
        for (std::uint32_t g = BitmapNetwork::lane_gates; g < network_.size(); ++g) {
          const Block from = BitmapNetwork::block_after(block, bit(g));
          Lanes fresh = lanes & within[from] & ~set[from];
          if (fresh == 0) continue;
          fresh &= network_.function(g, from) ^ BitmapNetwork::value(g, from);
          set[from] |= fresh;
          put(from, fresh);
        }
      });
      const bool is_full = std::none_of(blocks_.begin(), blocks_.end(),
                                        [&](Block block) { return (within[block] & ~set[block]) != 0; });
      if (is_full) return;
      visits_ += 4 * blocks_.size();
      for (const Block block : joint_blocks()) {
        const Lanes others = within[block] & ~set[block];
        if (others == 0) continue;
        network_.excited(block, excited_);
        for (const Joint& joint : moves_.find(block, excited_, others, budget_)) {
          const Lanes to = set[BitmapNetwork::block_after(block, joint.move)];
          const Lanes fresh = joint.lanes & BitmapNetwork::lanes_after(to, joint.move) & ~set[block];
          set[block] |= fresh;
          put(block, fresh);
        }
      }
    } while (!next_.empty());
  }

  // What is left of a block when states that have no successor or no predecessor in left_ by single
  // firings are taken out, but for those known to have one.
  Lanes stays_of(Block block, Lanes leading, Lanes following) {
    const Lanes old = left_[block];
    if (old == 0) return 0;
    network_.excited(block, excited_);
    for (std::uint32_t g = BitmapNetwork::lane_gates; g < network_.size(); ++g) {
      const Block other = BitmapNetwork::block_after(block, bit(g));
      const Lanes there = left_[other] & old;
      if (there == 0) continue;
      leading |= there & excited_[g];
      following |= there & (network_.function(g, other) ^ BitmapNetwork::value(g, other));
    }
    Lanes now = old;
    for (Lanes before = 0; now != before;) {
      before = now;
      Lanes lead = leading, follow = following;
      for (std::uint32_t g = 0; g < BitmapNetwork::lane_gates; ++g) {
        lead |= excited_[g] & BitmapNetwork::lanes_after(now, bit(g));
        follow |= BitmapNetwork::lanes_after(excited_[g] & now, bit(g));
      }
      now &= lead & follow;
    }
    return now;
  }

  // Takes states out of left_ that have no successor or no predecessor there, again and again.
  bool peel() {
    Bitmap &leads = first_, &follows = second_;  // by a joint move, within left_
    while (std::any_of(blocks_.begin(), blocks_.end(),
                       [this](Block b) { return stays_of(b, 0, 0) != left_[b]; })) {
      bool changed = false;
      visits_ += 4 * blocks_.size();
      clear(leads);
      clear(follows);
      for (const Block block : joint_blocks()) {
        if (left_[block] == 0) continue;
        network_.excited(block, excited_);
        for (const Joint& joint : moves_.find(block, excited_, left_[block], budget_)) {
          const Block to = BitmapNetwork::block_after(block, joint.move);
          const Lanes stays = joint.lanes & BitmapNetwork::lanes_after(left_[to], joint.move);
          leads[block] |= stays;
          follows[to] |= BitmapNetwork::lanes_after(stays, joint.move);
        }
      }
      for (const Block block : blocks_) put(block, left_[block]);
      drain([&](Block block, Lanes) {
        const Lanes old = left_[block], now = stays_of(block, leads[block], follows[block]);
        if (now == old) return;
        changed = true;
        left_[block] = now;
        for (std::uint32_t g = BitmapNetwork::lane_gates; g < network_.size(); ++g) {
          const Block other = BitmapNetwork::block_after(block, bit(g));
          put(other, left_[other] & (old ^ now));
        }
      });
      if (visits_ > most_visits_ || is_set(stop_)) return false;
      if (!changed) break;
    }
    return true;
  }

  // About what going state by state costs.
  void allow_more_visits() { most_visits_ = visits_ + 2 * count_ + 50'000; }

  bool find_lasting_cycles() {
    allow_more_visits();
    std::size_t at = 0;
    if (!peel()) return false;
    for (;;) {
      while (at < blocks_.size() && left_[blocks_[at]] == 0) ++at;
      if (at == blocks_.size()) return true;
      visits_ += 4 * blocks_.size();
      if (visits_ > most_visits_ || is_set(stop_)) return false;
      const std::uint64_t pivot =
          std::uint64_t{blocks_[at]} << 6 | static_cast<std::uint64_t>(std::countr_zero(left_[blocks_[at]]));
      clear(first_);
      seed(first_, pivot);
      spread_within(first_, second_, left_);
      clear(second_);
      seed(second_, pivot);
      spread_back(second_, first_);
      if (lasts(second_)) {
        if (lasting_.empty()) first_lasting_ = differing_in(second_, {});
        lasting_.push_back(pivot);
      }
      for (const Block block : blocks_) left_[block] &= ~second_[block];
      if (!peel()) return false;
    }
  }

  // More than one state, and no gate excited with one value in all of them.
  bool lasts(const Bitmap& component) {
    std::uint64_t to_one = bit(network_.size()) - 1, to_zero = to_one, states = 0;
    for (const Block block : blocks_) {
      const Lanes here = component[block];
      if (here == 0) continue;
      states += static_cast<std::uint64_t>(std::popcount(here));
      if ((to_one | to_zero) == 0) continue;
      network_.excited(block, excited_);
      for (std::uint32_t g = 0; g < network_.size(); ++g) {
        const Lanes value = BitmapNetwork::value(g, block);
        if ((here & ~(excited_[g] & ~value)) != 0) to_one &= ~bit(g);
        if ((here & ~(excited_[g] & value)) != 0) to_zero &= ~bit(g);
      }
    }
    return states > 1 && (to_one | to_zero) == 0;
  }

  // Gates that are not the same in all states of a set and these.
  std::uint64_t differing_in(const Bitmap& set, const std::vector<std::uint64_t>& states) const {
    std::uint64_t ever_one = 0, ever_zero = 0;
    for (const std::uint64_t s : states) {
      ever_one |= s;
      ever_zero |= ~s;
    }
    for (const Block block : blocks_) {
      const Lanes here = set[block];
      if (here == 0) continue;
      for (std::uint32_t g = 0; g < network_.size(); ++g) {
        const Lanes value = BitmapNetwork::value(g, block);
        if ((here & value) != 0) ever_one |= bit(g);
        if ((here & ~value) != 0) ever_zero |= bit(g);
      }
    }
    return ever_one & ever_zero & (bit(network_.size()) - 1);
  }

  // What differs among the stable states, the lasting cycles and all that follows from these.
  void collect_differing() {
    result_.may_cycle = !lasting_.empty();
    clear(first_);
    std::uint64_t differing = first_lasting_;
    if (lasting_.empty() || differing != differing_in(reached_, {})) {
      for (const std::uint64_t s : lasting_) seed(first_, s);
      if (!lasting_.empty()) spread_within(first_, second_, reached_);
      differing = differing_in(first_, stable_);
    }
    for (std::uint32_t g = 0; g < network_.size(); ++g) {
      if ((differing & bit(g)) != 0) result_.differing.push_back(g);
    }
  }

  bool find_racing() {
    if (stable_.empty() || stable_.size() + lasting_.size() < 2) return true;
    allow_more_visits();
    const std::size_t shared = std::min({std::uint64_t{63}, fate_room_ - 1, std::uint64_t{stable_.size()}});
    for (std::size_t i = 0; i < shared + (lasting_.empty() ? 0 : 1); ++i) {
      Bitmap& fate = fates_.emplace_back(network_.blocks());
      if (i == shared) {
        for (const std::uint64_t s : lasting_) seed(fate, s);
      } else {
        for (std::size_t k = i; k < stable_.size(); k += shared) seed(fate, stable_[k]);
      }
      spread_back(fate, reached_);
      if (visits_ > most_visits_ || is_set(stop_)) return false;
    }
    result_.racing = find_race(*this, network_.start());
    return true;
  }

  const NarrowNetwork states_;
  const BitmapNetwork network_;
  BitmapMoves moves_;
  Bitmap reached_, pending_, left_, first_, second_;
  const std::atomic<bool>* stop_;
  std::uint64_t most_states_, budget_, fate_room_ = 0, count_ = 0, visits_ = 0, most_visits_ = 0;
  ByGate excited_{};                // of the block in hand
  std::vector<Block> work_, next_;  // the queue: this round and the one after
  std::vector<Block> blocks_;       // with states reached
  std::vector<Block> joint_blocks_;
  bool has_joint_blocks_ = false;
  std::vector<std::uint64_t> stable_;
  std::vector<std::uint64_t> lasting_;  // one state of each lasting component
  std::uint64_t first_lasting_ = 0;     // what differs in the first of them
  std::vector<Bitmap> fates_;
  SearchResult result_;
};

}  // namespace

std::optional<SearchResult> search_bitmap(const Subnetwork& network, const AnyDelayLimits& limits) {
  if (!BitmapNetwork::suits(network)) return std::nullopt;
  // Room for two fates at least.
  const std::uint64_t fates = std::uint64_t{2} << (network.size() - 3);
  if (BitmapSearch::bytes_of(network.size()) + fates > limits.memory_bytes) return std::nullopt;
  return BitmapSearch(network, limits).run();
}

}  // namespace settle
