// Exhaustive evaluation, 512 input vectors at a time.
//
// Idea: a net has a block of eight words, one bit a vector; the last nine inputs count inside the
// block, the others are the same all through it. Blocks are visited in the order of a Gray code (one
// of the others changes from block to block), so that only the gates behind the input that changed
// are computed anew: a gate that hangs on few inputs costs next to nothing.
// Where x or z can occur, a net has three blocks: may be 0, may be 1, may float; these sets of
// possible values give the tables of IEEE 1364-2005, clauses 4.6 and 7, as in gate_functions.cpp.
// Invariant: before block b every net has its value for block b's inputs.
// Cost: at most 2^n / 512 times the pins, 8 words each; the compiler makes vector instructions of it.
#include <algorithm>
#include <array>
#include <bit>
#include <cassert>

#include "analysis/vector_program.h"
#include "analysis/vector_words.h"
#include "settle/table.h"

// Two versions of the inner loop, chosen when the program starts.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define SETTLE_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define SETTLE_WIDE
#endif

namespace settle {
namespace {

using Word = std::uint64_t;
constexpr unsigned block_bits = 9;
constexpr std::size_t block_words = 8;

struct alignas(64) Block {
  std::array<Word, block_words> words;
};

constexpr Block filled(bool bit) {
  Block block{};
  block.words.fill(bit ? ~Word{0} : 0);
  return block;
}

/// Pattern of the input that counts with weight 2^bit inside a block.
Block counting(unsigned bit) {
  Block block{};
  for (std::size_t i = 0; i < block_words; ++i) {
    block.words[i] = bit < 6 ? vectors_with[bit] : (i >> (bit - 6) & 1) != 0 ? ~Word{0} : 0;
  }
  return block;
}

struct Operation {
  GateKind kind = GateKind::buf;
  bool wire = false;
  std::uint32_t out = 0, first = 0, count = 0;  // pins: slots [first, first + count)
};

// A run of operations on plain blocks.
SETTLE_WIDE void evaluate_binary(const Operation* operation, const Operation* end, const std::uint32_t* pins,
                                 Block* blocks) {
  for (; operation != end; ++operation) {
    const std::uint32_t* pin = pins + operation->first;
    const std::uint32_t* last = pin + operation->count;
    Block value = blocks[*pin++];
    const GateKind kind = operation->kind;
    if (kind == GateKind::and_ || kind == GateKind::nand) {
      for (; pin != last; ++pin) {
        for (std::size_t i = 0; i < block_words; ++i) value.words[i] &= blocks[*pin].words[i];
      }
    } else if (kind == GateKind::or_ || kind == GateKind::nor) {
      for (; pin != last; ++pin) {
        for (std::size_t i = 0; i < block_words; ++i) value.words[i] |= blocks[*pin].words[i];
      }
    } else {
      for (; pin != last; ++pin) {
        for (std::size_t i = 0; i < block_words; ++i) value.words[i] ^= blocks[*pin].words[i];
      }
    }
    // The inverting kinds are the odd ones: not, nand, nor, xnor.
    const Word flip = (static_cast<unsigned>(kind) & 1) != 0 ? ~Word{0} : 0;
    for (std::size_t i = 0; i < block_words; ++i) value.words[i] ^= flip;
    blocks[operation->out] = value;
  }
}
static_assert(static_cast<int>(GateKind::not_) == 1 && static_cast<int>(GateKind::nand) == 3 &&
              static_cast<int>(GateKind::nor) == 5 && static_cast<int>(GateKind::xnor) == 7);

/// Which values a net may have: for each vector a set.
struct Sets {
  Block zero, one, floating;
};

// As read by a gate input: z counts as x.
void read(const Sets& sets, std::size_t i, Word& zero, Word& one) {
  const Word none = ~(sets.zero.words[i] | sets.one.words[i]);
  zero = sets.zero.words[i] | none;
  one = sets.one.words[i] | none;
}

void evaluate_gate(const Operation& operation, const std::uint32_t* pins, Sets* sets) {
  Sets& out = sets[operation.out];
  const GateKind kind = operation.kind;
  for (std::size_t i = 0; i < block_words; ++i) {
    Word zero = 0, one = 0, floating = 0, other_zero = 0, other_one = 0;
    if (operation.count != 0) read(sets[pins[0]], i, zero, one);
    if (is_three_state(kind)) {
      read(sets[pins[1]], i, other_zero, other_one);
      const bool high = kind == GateKind::bufif1 || kind == GateKind::notif1;
      const Word on = high ? other_one : other_zero;
      floating = high ? other_zero : other_one;
      if (kind == GateKind::notif0 || kind == GateKind::notif1) std::swap(zero, one);
      zero &= on;
      one &= on;
    } else if (is_pull(kind)) {
      zero = kind == GateKind::pulldown ? ~Word{0} : 0;
      one = ~zero;
    } else {
      for (std::uint32_t p = 1; p < operation.count; ++p) {
        read(sets[pins[p]], i, other_zero, other_one);
        if (kind == GateKind::and_ || kind == GateKind::nand) {
          zero |= other_zero;
          one &= other_one;
        } else if (kind == GateKind::or_ || kind == GateKind::nor) {
          zero &= other_zero;
          one |= other_one;
        } else {
          const Word different = (zero & other_one) | (one & other_zero);
          zero = (zero & other_zero) | (one & other_one);
          one = different;
        }
      }
      if ((static_cast<unsigned>(kind) & 1) != 0) std::swap(zero, one);
    }
    out.zero.words[i] = zero;
    out.one.words[i] = one;
    out.floating.words[i] = floating;
  }
}

// Strong drivers first; where all of them may float, the pull drivers as well.
void evaluate_wire(const Operation& operation, const std::uint32_t* pins, const std::vector<bool>& pulls,
                   Sets* sets) {
  Sets& out = sets[operation.out];
  for (std::size_t i = 0; i < block_words; ++i) {
    Word zero = 0, one = 0, floating = ~Word{0}, pull_zero = 0, pull_one = 0, unpulled = ~Word{0};
    for (std::uint32_t p = 0; p < operation.count; ++p) {
      const Sets& driver = sets[pins[p]];
      if (pulls[pins[p]]) {
        pull_zero |= driver.zero.words[i];
        pull_one |= driver.one.words[i];
        unpulled = 0;
      } else {
        zero |= driver.zero.words[i];
        one |= driver.one.words[i];
        floating &= driver.floating.words[i];
      }
    }
    zero |= floating & pull_zero;
    one |= floating & pull_one;
    out.zero.words[i] = zero;
    out.one.words[i] = one;
    out.floating.words[i] = floating & unpulled;
  }
}

// What is seen on the net: a value that may also float is x.
void show(Sets& sets) {
  for (std::size_t i = 0; i < block_words; ++i) {
    const Word half_known = sets.floating.words[i] & (sets.zero.words[i] | sets.one.words[i]);
    sets.zero.words[i] |= half_known;
    sets.one.words[i] |= half_known;
  }
}

class Evaluator {
 public:
  Evaluator(const Circuit& circuit, std::span<const Value> held)
      : circuit_(circuit), program_(vector_program(circuit)) {
    for (std::uint32_t i = 0; i < circuit.input_count(); ++i) {
      if (held.empty() || !is_binary(held[i])) table_.free.push_back(i);
    }
    assert(table_.free.size() <= truth_table_inputs);
    bits_ = static_cast<unsigned>(table_.free.size());
    compile();
    start(held);
  }

  std::optional<TruthTable> run(const std::atomic<bool>* stop, Progress* progress) {
    const std::size_t words = function_words(bits_);
    table_.ones.assign(circuit_.outputs().size(), FunctionBits(words));
    table_.other.resize(circuit_.outputs().size());
    evaluate(all_);
    store(0);
    const std::uint32_t blocks = bits_ > block_bits ? 1u << (bits_ - block_bits) : 1u;
    std::uint32_t gray = 0;
    start_progress(progress, "trying all inputs", "blocks of 512 input vectors", blocks);
    for (std::uint32_t b = 1; b < blocks; ++b) {
      if ((b & 63) == 0) {
        advance_progress(progress, 64);
        if (is_set(stop)) return std::nullopt;
      }
      const auto changed = static_cast<unsigned>(std::countr_zero(b));
      gray ^= 1u << changed;
      put_input(table_.free[bits_ - 1 - block_bits - changed], filled((gray >> changed & 1) != 0));
      evaluate(behind_[changed]);
      store(gray);
    }
    for (auto& other : table_.other) {
      if (std::all_of(other.begin(), other.end(), [](Word w) { return w == 0; })) other.clear();
    }
    return std::move(table_);
  }

 private:
  // Slots are numbered densely: those nets only that the outputs need.
  std::uint32_t slot(NetId net) {
    if (slots_[net] == no_id) {
      slots_[net] = slot_count_++;
      pulls_.push_back(circuit_.is_gate_output(net) && is_pull(circuit_.kind(circuit_.gate_of(net))));
    }
    return slots_[net];
  }

  void compile() {
    slots_.assign(circuit_.net_count(), no_id);
    for (NetId net = 0; net < circuit_.input_count(); ++net) slot(net);
    for (const VectorProgram::Operation& op : program_.operations) {
      const bool wire = op.gate == no_id;
      const auto from = wire ? circuit_.drivers_of(op.net) : circuit_.fan_in(op.gate);
      Operation operation{wire ? GateKind::buf : circuit_.kind(op.gate), wire, slot(op.net),
                          static_cast<std::uint32_t>(pins_.size()), static_cast<std::uint32_t>(from.size())};
      for (const NetId pin : from) pins_.push_back(slot(pin));
      all_.push_back(operation);
    }
    for (const NetId output : circuit_.outputs()) slot(output);
    // Gates behind each of the inputs that are the same all through a block.
    std::vector<bool> behind;
    for (unsigned k = 0; block_bits + k < bits_; ++k) {
      auto& list = behind_.emplace_back();
      behind.assign(slot_count_, false);
      behind[slots_[table_.free[bits_ - 1 - block_bits - k]]] = true;
      for (const Operation& operation : all_) {
        for (std::uint32_t p = 0; p < operation.count; ++p) {
          if (behind[pins_[operation.first + p]]) behind[operation.out] = true;
        }
        if (behind[operation.out]) list.push_back(operation);
      }
    }
  }

  void start(std::span<const Value> held) {
    if (program_.binary) {
      blocks_.assign(slot_count_, filled(false));
    } else {
      sets_.assign(slot_count_, Sets{filled(false), filled(false), filled(true)});
    }
    for (std::uint32_t i = 0; i < circuit_.input_count(); ++i) {
      if (!held.empty() && is_binary(held[i])) put_input(i, filled(held[i] == Value::one));
    }
    for (unsigned i = 0; i < bits_; ++i) {
      const unsigned weight = bits_ - 1 - i;
      put_input(table_.free[i], weight < block_bits ? counting(weight) : filled(false));
    }
    for (const NetId net : {circuit_.const_zero(), circuit_.const_one()}) {
      if (slots_[net] != no_id) put_slot(slots_[net], filled(net == circuit_.const_one()));
    }
  }

  void put_input(std::uint32_t input, const Block& value) { put_slot(slots_[input], value); }
  void put_slot(std::uint32_t slot, const Block& value) {
    if (program_.binary) {
      blocks_[slot] = value;
      return;
    }
    Sets& sets = sets_[slot];
    sets.one = value;
    sets.floating = filled(false);
    for (std::size_t i = 0; i < block_words; ++i) sets.zero.words[i] = ~value.words[i];
  }

  void evaluate(const std::vector<Operation>& operations) {
    if (program_.binary) {
      evaluate_binary(operations.data(), operations.data() + operations.size(), pins_.data(), blocks_.data());
      return;
    }
    for (const Operation& operation : operations) {
      const std::uint32_t* pins = pins_.data() + operation.first;
      if (operation.wire) {
        evaluate_wire(operation, pins, pulls_, sets_.data());
        show(sets_[operation.out]);
      } else {
        // A driver of a shared wire keeps its set; only the wire is seen.
        evaluate_gate(operation, pins, sets_.data());
        if (!drives_wire(operation.out)) show(sets_[operation.out]);
      }
    }
  }

  bool drives_wire(std::uint32_t slot) {
    if (drives_wire_.empty()) {
      drives_wire_.assign(slot_count_, false);
      for (const Operation& operation : all_) {
        for (std::uint32_t p = 0; operation.wire && p < operation.count; ++p) {
          drives_wire_[pins_[operation.first + p]] = true;
        }
      }
    }
    return drives_wire_[slot];
  }

  // Copies the outputs of a block to where they belong.
  void store(std::uint32_t block) {
    const std::size_t words = std::min(block_words, function_words(bits_));
    const std::size_t first = std::size_t{block} * block_words;
    for (std::size_t k = 0; k < circuit_.outputs().size(); ++k) {
      const std::uint32_t from = slots_[circuit_.outputs()[k]];
      Word* to = table_.ones[k].data() + first;
      if (program_.binary) {
        std::copy_n(blocks_[from].words.begin(), words, to);
        continue;
      }
      const Sets& sets = sets_[from];
      if (table_.other[k].empty()) table_.other[k].assign(function_words(bits_), 0);
      for (std::size_t i = 0; i < words; ++i) {
        const Word unknown = sets.zero.words[i] & sets.one.words[i];
        const Word none = ~(sets.zero.words[i] | sets.one.words[i]);
        to[i] = (sets.one.words[i] & ~unknown) | none;
        table_.other[k][first + i] = unknown | none;
      }
    }
  }

  const Circuit& circuit_;
  VectorProgram program_;
  TruthTable table_;
  unsigned bits_ = 0;
  std::uint32_t slot_count_ = 0;
  std::vector<std::uint32_t> slots_;  // by net
  std::vector<bool> pulls_, drives_wire_;
  std::vector<std::uint32_t> pins_;
  std::vector<Operation> all_;
  std::vector<std::vector<Operation>> behind_;
  std::vector<Block> blocks_;
  std::vector<Sets> sets_;
};

}  // namespace

std::optional<TruthTable> truth_table(const Circuit& circuit, std::span<const Value> held,
                                      const std::atomic<bool>* stop, Progress* progress) {
  assert(circuit.loop_count() == 0);
  return Evaluator(circuit, held).run(stop, progress);
}

}  // namespace settle
