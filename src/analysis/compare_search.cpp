// A sequence of input vectors, from power-up with everything unknown, after which an output of A is known
// and that of B is another value, as `run` simulates it with equal delays.
//
// Breadth first over pairs of settled states: any vector first, then changes of one input, then of
// several where the inputs are few. The first difference found is one of the shortest. Then, for
// machines that are deep, a long seeded walk; the sequence to the first difference is cut short by
// leaving out stretches as long as the difference stays. Steps that do not come to rest on either side
// are not taken. Cost: a run of both circuits a step.
#include <algorithm>
#include <bit>
#include <random>
#include <string>
#include <unordered_set>

#include "analysis/compare_steps.h"
#include "settle/kernel.h"

namespace settle {
namespace {

constexpr std::size_t few_inputs = 5;         // up to here all changes of several inputs are tried
constexpr std::size_t most_first_inputs = 8;  // up to here every vector is tried first
constexpr std::uint64_t most_state_bytes = 256u << 20;

class PairRun {
 public:
  PairRun(const Circuit& a, const Circuit& b, const PinMatch& match)
      : a_(a), b_(b), match_(match), kernel_a_(a, {DelayChoice::unit}), kernel_b_(b, {DelayChoice::unit}) {}

  /// Both from power-up through these vectors. False when one of them does not come to rest.
  bool replay(const std::vector<std::vector<Value>>& vectors) {
    kernel_a_.power_up({}, {});
    kernel_b_.power_up({}, {});
    return std::all_of(vectors.begin(), vectors.end(), [this](const auto& v) { return step(v); });
  }

  bool step(const std::vector<Value>& vector) {
    for (NetId i = 0; i < vector.size(); ++i) {
      kernel_a_.set_input(i, vector[i]);
      kernel_b_.set_input(match_.inputs[i], vector[i]);
    }
    return rest(kernel_a_) && rest(kernel_b_);
  }

  /// An output bit of A that is known and differs in B, or no_id.
  std::uint32_t difference() const {
    for (std::uint32_t i = 0; i < match_.outputs.size(); ++i) {
      const Value want = kernel_a_.value(a_.outputs()[i]);
      if (is_known(want) && kernel_b_.value(b_.outputs()[match_.outputs[i]]) != want) return i;
    }
    return no_id;
  }

  std::string state() const {
    std::string key;
    for (GateId g = 0; g < a_.gate_count(); ++g) key += to_char(kernel_a_.value(a_.output_of(g)));
    for (GateId g = 0; g < b_.gate_count(); ++g) key += to_char(kernel_b_.value(b_.output_of(g)));
    return key;
  }

  /// Both settled, with these inputs and these gate values: the state that state() told.
  void restore(const std::vector<Value>& vector, const std::string& state) {
    std::vector<Value> inputs_b(vector.size()), gates_a, gates_b;
    for (std::size_t i = 0; i < vector.size(); ++i) inputs_b[match_.inputs[i]] = vector[i];
    for (std::size_t i = 0; i < state.size(); ++i) (i < a_.gate_count() ? gates_a : gates_b).push_back(*value_from_char(state[i]));
    kernel_a_.power_up(vector, gates_a);
    kernel_b_.power_up(inputs_b, gates_b);
    rest(kernel_a_);
    rest(kernel_b_);
  }

  std::vector<Value> outputs_a() const {
    std::vector<Value> values;
    for (const NetId net : a_.outputs()) values.push_back(kernel_a_.value(net));
    return values;
  }
  std::vector<Value> outputs_b() const {
    std::vector<Value> values;
    for (const auto bit : match_.outputs) values.push_back(kernel_b_.value(b_.outputs()[bit]));
    return values;
  }

 private:
  static bool is_known(Value v) { return v == Value::zero || v == Value::one; }

  static bool rest(Kernel& kernel) {
    // More than most loops that do settle need; a step cut off here is only not taken.
    Time steps = 256 + 2 * Time{kernel.circuit().gate_count()};
    if (kernel.is_waiting()) kernel.run_instant(kernel.now());
    while (const auto next = kernel.next_time()) {
      if (steps-- == 0) return false;
      kernel.run_instant(*next);
    }
    return true;
  }

  const Circuit& a_;
  const Circuit& b_;
  const PinMatch& match_;
  Kernel kernel_a_, kernel_b_;
};

class DifferenceSearch {
 public:
  DifferenceSearch(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options)
      : a_(a), options_(options), run_(a, b, match) {}

  bool search(std::vector<std::vector<Value>>& vectors, bool& is_shortest) {
    is_shortest = true;
    if (breadth_first(vectors)) return true;
    is_shortest = false;
    return walk(vectors);
  }

  void show(const std::vector<std::vector<Value>>& vectors, Comparison& result) {
    run_.replay({});
    for (const auto& vector : vectors) {
      run_.step(vector);
      result.expected.push_back(run_.outputs_a());
      result.found.push_back(run_.outputs_b());
    }
    result.output = run_.difference();
  }

 private:
  struct Node {
    std::uint32_t before;
    std::vector<Value> vector;
    std::string state;
  };

  bool is_stopped() const { return options_.stop != nullptr && options_.stop->load(std::memory_order_relaxed); }

  /// The next vectors to try from one.
  std::vector<std::vector<Value>> followers(const std::vector<Value>& from) const {
    const std::size_t bits = a_.input_count();
    std::vector<std::vector<Value>> result;
    const auto flipped = [&](std::uint32_t mask) {
      std::vector<Value> v = from;
      for (std::size_t i = 0; i < bits; ++i) {
        if ((mask >> i & 1) != 0) v[i] = v[i] == Value::one ? Value::zero : Value::one;
      }
      return v;
    };
    if (bits <= few_inputs) {
      // One input at a time first.
      for (std::size_t i = 0; i < bits; ++i) result.push_back(flipped(1u << i));
      for (std::uint32_t mask = 1; mask < (1u << bits); ++mask) {
        if (std::popcount(mask) > 1) result.push_back(flipped(mask));
      }
    } else {
      for (std::size_t i = 0; i < bits; ++i) {
        result.push_back(from);
        result.back()[i] = from[i] == Value::one ? Value::zero : Value::one;
      }
    }
    return result;
  }

  std::vector<std::vector<Value>> first_vectors() const {
    const std::size_t bits = a_.input_count();
    std::vector<std::vector<Value>> result;
    if (bits > most_first_inputs) {
      result.emplace_back(bits, Value::zero);
      result.emplace_back(bits, Value::one);
      return result;
    }
    for (std::uint32_t v = 0; v < (1u << bits); ++v) {
      std::vector<Value> vector(bits);
      for (std::size_t i = 0; i < bits; ++i) vector[i] = to_value((v >> (bits - 1 - i) & 1) != 0);
      result.push_back(std::move(vector));
    }
    return result;
  }

  std::vector<std::vector<Value>> path_to(std::uint32_t node) const {
    std::vector<std::vector<Value>> path;
    for (; node != no_id; node = nodes_[node].before) path.push_back(nodes_[node].vector);
    std::reverse(path.begin(), path.end());
    return path;
  }

  /// Takes the step if it is new; true when it shows a difference.
  bool visit(std::uint32_t before, std::vector<Value> vector) {
    if (!run_.step(vector)) return false;
    std::string state = run_.state();
    const bool differs = run_.difference() != no_id;
    std::string key = state;
    for (const Value v : vector) key += to_char(v);
    bytes_ += 2 * key.size() + 64;
    if (!differs && !seen_.insert(std::move(key)).second) return false;
    nodes_.push_back({before, std::move(vector), std::move(state)});
    return differs;
  }

  bool breadth_first(std::vector<std::vector<Value>>& vectors) {
    for (auto& first : first_vectors()) {
      run_.replay({});
      if (visit(no_id, std::move(first))) {
        vectors = path_to(static_cast<std::uint32_t>(nodes_.size()) - 1);
        return true;
      }
    }
    for (std::uint32_t at = 0; at < nodes_.size() && nodes_.size() < options_.search_nodes && bytes_ < most_state_bytes && !is_stopped(); ++at) {
      for (auto& next : followers(nodes_[at].vector)) {
        run_.restore(nodes_[at].vector, nodes_[at].state);
        if (!visit(at, std::move(next))) continue;
        vectors = path_to(static_cast<std::uint32_t>(nodes_.size()) - 1);
        // Seen from a restored state: once more from power-up, where it counts.
        if (differs_after(vectors)) return true;
      }
    }
    return false;
  }

  bool differs_after(const std::vector<std::vector<Value>>& vectors) { return run_.replay(vectors) && run_.difference() != no_id; }

  /// One input changes at a time mostly, now and then several: a clock line needs many changes of its own.
  bool walk(std::vector<std::vector<Value>>& vectors) {
    const std::size_t bits = a_.input_count();
    if (bits == 0) return false;
    std::mt19937_64 random(1);
    vectors.assign(1, std::vector<Value>(bits, Value::zero));
    run_.replay(vectors);
    for (std::uint64_t step = 0; step < options_.walk_steps && !is_stopped(); ++step) {
      std::vector<Value> next = vectors.back();
      const std::uint64_t r = random();
      const std::size_t changes = r % 4 == 0 ? 1 + (r >> 8) % bits : 1;
      for (std::size_t i = 0; i < changes; ++i) {
        Value& v = next[random() % bits];
        v = v == Value::one ? Value::zero : Value::one;
      }
      const std::string before = run_.state();
      if (!run_.step(next)) {
        // Not a step to take; everything is in motion now, so back to where it was.
        run_.restore(vectors.back(), before);
        continue;
      }
      vectors.push_back(std::move(next));
      if (run_.difference() == no_id) continue;
      if (!differs_after(vectors)) return false;  // seen only from a restored state
      shorten(vectors);
      return true;
    }
    return false;
  }

  void shorten(std::vector<std::vector<Value>>& vectors) {
    std::uint64_t work = 200;
    for (std::size_t stretch = vectors.size() / 2; stretch > 0; stretch /= 2) {
      for (std::size_t at = 0; at + stretch < vectors.size() && work > 0; --work) {
        auto shorter = vectors;
        shorter.erase(shorter.begin() + static_cast<std::ptrdiff_t>(at), shorter.begin() + static_cast<std::ptrdiff_t>(at + stretch));
        if (differs_after(shorter)) vectors = std::move(shorter);
        else at += stretch;
      }
    }
  }

  const Circuit& a_;
  const CompareOptions& options_;
  PairRun run_;
  std::vector<Node> nodes_;
  std::unordered_set<std::string> seen_;
  std::uint64_t bytes_ = 0;
};

}  // namespace

void search_difference(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result) {
  DifferenceSearch search(a, b, match, options);
  std::vector<std::vector<Value>> vectors;
  if (!search.search(vectors, result.is_shortest)) {
    result.is_shortest = false;
    return;
  }
  result.only_in = -1;
  search.show(vectors, result);
  result.vectors = std::move(vectors);
  result.answer = Comparison::Answer::different;
}

std::string telling_stimulus(const Comparison& comparison, const Circuit& a) {
  if (comparison.vectors.empty()) return {};
  std::string text = "# After the last line the first circuit is as expected here, the second is not.\n";
  const auto bits = [&](const std::vector<Port>& ports, const std::vector<Value>& values, bool known_only, std::uint32_t only) {
    std::string line;
    for (const Port& port : ports) {
      for (std::uint32_t b = 0; b < port.width; ++b) {
        const Value v = values[port.first + b];
        if (known_only && v != Value::zero && v != Value::one) continue;
        if (only != no_id && port.first + b != only) continue;
        const std::uint32_t index = port.msb >= port.lsb ? port.msb - b : port.msb + b;
        line += " " + port.name + (port.is_bus ? "[" + std::to_string(index) + "]" : "") + "=" + to_char(v);
      }
    }
    return line;
  };
  for (std::size_t i = 0; i < comparison.vectors.size(); ++i) {
    if (const auto line = bits(a.input_ports(), comparison.vectors[i], false, no_id); !line.empty()) text += "set" + line + "\n";
    text += "settle\n";
    const bool last = i + 1 == comparison.vectors.size();
    const auto line = bits(a.output_ports(), comparison.expected[i], true, last ? comparison.output : no_id);
    if (last && !line.empty()) text += "expect" + line + "\n";
  }
  return text;
}

}  // namespace settle
