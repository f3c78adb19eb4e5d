// bench_truth_table: how fast is the table of all input vectors?
//
// Side by side, in one run: (1) a loop that evaluates one vector after the other, gates in level
// order, values in an array of bytes; (2) the same with 64 vectors in a word; (3) truth_table().
// The results are compared bit by bit. Figures are processor time on one core; (1) is measured on a
// part of the vectors when there are many.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <ctime>

#include "analysis/vector_program.h"
#include "settle/elaborate.h"
#include "settle/table.h"
#include "support/memory_files.h"

namespace {

using namespace settle;

class Clock {
 public:
  double seconds() const { return static_cast<double>(std::clock() - start_) / CLOCKS_PER_SEC; }

 private:
  std::clock_t start_ = std::clock();
};

// Gates in level order, each with its kind, its pins and its net.
struct Plan {
  struct Gate {
    GateKind kind;
    std::uint32_t net, first, last;
  };
  std::vector<Gate> gates;
  std::vector<NetId> pins;
};

Plan plan_of(const Circuit& circuit) {
  Plan plan;
  for (const auto& operation : vector_program(circuit).operations) {
    const auto pins = circuit.fan_in(operation.gate);
    const auto first = static_cast<std::uint32_t>(plan.pins.size());
    plan.pins.insert(plan.pins.end(), pins.begin(), pins.end());
    plan.gates.push_back(
        {circuit.kind(operation.gate), operation.net, first, static_cast<std::uint32_t>(plan.pins.size())});
  }
  return plan;
}

// Words of type T: one vector in the lowest bit, or 64.
template <class T>
void evaluate(const Plan& plan, std::vector<T>& nets, T all) {
  for (const Plan::Gate& gate : plan.gates) {
    const NetId* pin = plan.pins.data() + gate.first;
    const NetId* last = plan.pins.data() + gate.last;
    T value = nets[*pin++];
    switch (gate.kind) {
      case GateKind::and_:
      case GateKind::nand:
        for (; pin != last; ++pin) value = static_cast<T>(value & nets[*pin]);
        break;
      case GateKind::or_:
      case GateKind::nor:
        for (; pin != last; ++pin) value = static_cast<T>(value | nets[*pin]);
        break;
      default:
        for (; pin != last; ++pin) value = static_cast<T>(value ^ nets[*pin]);
        break;
    }
    const bool inverts = gate.kind == GateKind::not_ || gate.kind == GateKind::nand ||
                         gate.kind == GateKind::nor || gate.kind == GateKind::xnor;
    nets[gate.net] = inverts ? static_cast<T>(value ^ all) : value;
  }
}

// n x n array multiplier: the low product bits depend on few inputs, the high ones on all.
std::string multiplier(unsigned n) {
  std::string text = fmt::format(
      "cell adder\n in a b c\n out s k\n xor x1: a b -> t\n xor x2: t c -> s\n and a1: a b -> u\n and a2: t "
      "c -> v\n"
      " or o1: u v -> k\nend\ncell bench\n in a[{0}:0] b[{0}:0]\n out p[{1}:0]\n",
      n - 1, 2 * n - 1);
  for (unsigned i = 0; i < n; ++i) {
    for (unsigned j = 0; j < n; ++j) text += fmt::format(" and m{0}_{1}: a[{0}] b[{1}] -> m{0}_{1}\n", i, j);
  }
  // Row j adds m_j to the sum of the rows before, shifted.
  std::vector<std::string> sum;
  for (unsigned i = 0; i < n; ++i) sum.push_back(fmt::format("m{}_0", i));
  sum.push_back("0");
  for (unsigned j = 1; j < n; ++j) {
    text += fmt::format(" buf w{}: {} -> p[{}]\n", j - 1, sum[0], j - 1);
    std::string carry = "0";
    std::vector<std::string> next;
    for (unsigned i = 0; i < n; ++i) {
      text +=
          fmt::format(" adder f{0}_{1}: {2} m{0}_{1} {3} -> s{0}_{1} k{0}_{1}\n", i, j, sum[i + 1], carry);
      next.push_back(fmt::format("s{}_{}", i, j));
      carry = fmt::format("k{}_{}", i, j);
    }
    next.push_back(carry);
    sum = std::move(next);
  }
  for (unsigned i = 0; i <= n; ++i) text += fmt::format(" buf v{}: {} -> p[{}]\n", i, sum[i], n - 1 + i);
  return text + "end\n";
}

bool measure(unsigned n) {
  testing::MemoryFiles files{{"bench.gates", multiplier(n)}};
  Sources sources;
  Diagnostics diagnostics;
  ElaborateOptions options;
  options.cell = "bench";
  const auto circuit = load_circuit("bench.gates", files, options, sources, diagnostics);
  if (!circuit) {
    std::fputs(render(diagnostics, sources).c_str(), stderr);
    return false;
  }
  const Plan plan = plan_of(*circuit);
  const unsigned bits = circuit->input_count();
  const std::uint32_t vectors = 1u << bits;

  const Clock table_clock;
  const auto truth = truth_table(*circuit);
  const double table_seconds = table_clock.seconds();
  bool equal = truth.has_value();

  const std::uint32_t part = std::min(vectors, 1u << 18);
  std::vector<std::uint8_t> bytes(circuit->net_count(), 0);
  bytes[circuit->const_one()] = 1;
  const Clock single_clock;
  std::vector<std::uint8_t> results(std::size_t{part} * circuit->outputs().size());
  const std::uint32_t stride = vectors / part;
  for (std::uint32_t i = 0; i < part; ++i) {
    const std::uint32_t v = i * stride;
    for (unsigned k = 0; k < bits; ++k) bytes[k] = static_cast<std::uint8_t>(v >> (bits - 1 - k) & 1);
    evaluate<std::uint8_t>(plan, bytes, 1);
    for (std::size_t k = 0; k < circuit->outputs().size(); ++k) {
      results[i * circuit->outputs().size() + k] = bytes[circuit->outputs()[k]];
    }
  }
  const double single_seconds = single_clock.seconds() * stride;
  for (std::uint32_t i = 0; i < part && equal; ++i) {
    for (std::uint32_t k = 0; k < circuit->outputs().size(); ++k) {
      equal &= truth->at(k, i * stride) == to_value(results[i * circuit->outputs().size() + k] != 0);
    }
  }

  constexpr std::uint64_t ones[6] = {0xaaaaaaaaaaaaaaaa, 0xcccccccccccccccc, 0xf0f0f0f0f0f0f0f0,
                                     0xff00ff00ff00ff00, 0xffff0000ffff0000, 0xffffffff00000000};
  std::vector<std::uint64_t> nets(circuit->net_count(), 0);
  nets[circuit->const_one()] = ~std::uint64_t{0};
  const Clock word_clock;
  std::vector<FunctionBits> words(circuit->outputs().size(), FunctionBits(function_words(bits)));
  for (std::uint32_t block = 0; block < function_words(bits); ++block) {
    for (unsigned k = 0; k < bits; ++k) {
      const unsigned weight = bits - 1 - k;
      nets[k] = weight < 6 ? ones[weight] : (block >> (weight - 6) & 1) != 0 ? ~std::uint64_t{0} : 0;
    }
    evaluate<std::uint64_t>(plan, nets, ~std::uint64_t{0});
    for (std::size_t k = 0; k < words.size(); ++k) words[k][block] = nets[circuit->outputs()[k]];
  }
  const double word_seconds = word_clock.seconds();
  equal = equal && words == truth->ones;

  fmt::print(
      "{:>2} inputs {:>4} gates {:>9} vectors  one at a time {:8.3f} s  64 in a word {:7.3f} s ({:5.1f}x)  "
      "truth_table {:7.4f} s ({:6.1f}x)  {}\n",
      bits, plan.gates.size(), vectors, single_seconds, word_seconds, single_seconds / word_seconds,
      table_seconds, single_seconds / table_seconds, equal ? "equal" : "DIFFERENT");
  return equal;
}

}  // namespace

int main(int argc, char** argv) {
  const bool quick = argc > 1 && std::strcmp(argv[1], "--quick") == 0;
  bool good = true;
  for (const unsigned n : quick ? std::vector<unsigned>{4, 6} : std::vector<unsigned>{8, 10, 12})
    good &= measure(n);
  return good ? 0 : 1;
}
