#include "bench/netlists.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string_view>

#include "support/random.h"

namespace settle::bench {

namespace {

using testing::Random;

template <class... Arguments>
void put(std::string& text, fmt::format_string<Arguments...> format, Arguments&&... arguments) {
  fmt::format_to(std::back_inserter(text), format, std::forward<Arguments>(arguments)...);
}

void set_bus(InputStep& step, const std::vector<NetId>& bits, Random& random) {
  for (const NetId bit : bits) step.emplace_back(bit, to_value(random.chance(50)));
}

std::vector<InputStep> write_rows(const Circuit& circuit, std::uint64_t seed, std::size_t count) {
  Random random(seed);
  const auto levers = circuit.find_bus("lever"), rows = circuit.find_bus("read");
  InputStep idle;
  for (const NetId row : rows) idle.emplace_back(row, Value::zero);
  std::vector<InputStep> steps{idle};
  while (steps.size() < count) {
    for (const NetId row : rows) {
      InputStep data;
      set_bus(data, levers, random);
      steps.push_back(data);
      steps.push_back({{row, Value::one}});
      steps.push_back({{row, Value::zero}});
      if (steps.size() >= count) break;
    }
  }
  return steps;
}

std::vector<InputStep> multiply(const Circuit& circuit, std::uint64_t seed, std::size_t count) {
  Random random(seed);
  const auto a = circuit.find_bus("a"), b = circuit.find_bus("b");
  std::vector<InputStep> steps;
  while (steps.size() < count) {
    InputStep step;
    set_bus(step, a, random);
    set_bus(step, b, random);
    steps.push_back(step);
  }
  return steps;
}

std::vector<InputStep> shift(const Circuit& circuit, std::uint64_t seed, std::size_t count) {
  Random random(seed);
  const NetId data = *circuit.find_net("d"), clock = *circuit.find_net("c"),
              clear = *circuit.find_net("clear_n");
  std::vector<InputStep> steps{{{data, Value::zero}, {clock, Value::zero}, {clear, Value::zero}},
                               {{clear, Value::one}}};
  while (steps.size() < count) {
    steps.push_back({{data, to_value(random.chance(50))}});
    steps.push_back({{clock, Value::one}});
    steps.push_back({{clock, Value::zero}});
  }
  return steps;
}

}  // namespace

Subject latch_memory(std::uint32_t gates) {
  const auto columns = std::max(4u, static_cast<std::uint32_t>(std::sqrt(gates / 4.0)));
  const auto rows = std::max(1u, (gates - columns) / (4 * columns));
  std::string text;
  put(text, "cell occupancy_memory\n  in lever[{}:0] read[{}:0]\n  out seen[{}:0]\n", columns - 1, rows - 1,
      columns - 1);
  for (std::uint32_t c = 0; c < columns; ++c)
    put(text, "  not invert_{}: lever[{}] -> lever_n_{}\n", c, c, c);
  for (std::uint32_t r = 0; r < rows; ++r) {
    for (std::uint32_t c = 0; c < columns; ++c) {
      // The first row is seen at the pins, so that the circuit has outputs.
      const std::string q = r == 0 ? fmt::format("seen[{}]", c) : fmt::format("seen_{}_{}", r, c);
      put(text, "  and gate_s_{0}_{1}: lever[{1}] read[{0}] -> s_{0}_{1}\n", r, c);
      put(text, "  and gate_r_{0}_{1}: lever_n_{1} read[{0}] -> r_{0}_{1}\n", r, c);
      put(text, "  nor keep_a_{0}_{1}: r_{0}_{1} seen_n_{0}_{1} -> {2}\n", r, c, q);
      put(text, "  nor keep_b_{0}_{1}: s_{0}_{1} {2} -> seen_n_{0}_{1}\n", r, c, q);
    }
  }
  text += "end\n";
  return {"latch memory", std::move(text), write_rows};
}

Subject multiplier(std::uint32_t gates) {
  const auto n = std::max(2u, static_cast<std::uint32_t>(std::lround(std::sqrt(gates / 6.0))));
  std::string text =
      "cell full_adder\n  in a b c\n  out sum carry\n  xor half: a b -> h\n  xor whole: h c -> sum\n"
      "  and both: a b -> g\n  and pass: h c -> p\n  or either: g p -> carry\nend\n";
  put(text, "cell multiplier\n  in a[{0}:0] b[{0}:0]\n  out product[{1}:0]\n", n - 1, 2 * n - 1);
  for (std::uint32_t i = 0; i < n; ++i) {
    for (std::uint32_t j = 0; j < n; ++j)
      put(text, "  and partial_{0}_{1}: a[{1}] b[{0}] -> p_{0}_{1}\n", i, j);
  }
  // Row i adds the partial products of b[i] to the upper bits of the row before; the lowest bit of
  // each row is a bit of the product.
  const auto before = [&](std::uint32_t i, std::uint32_t j) {
    if (j == n) return i == 1 ? std::string("0") : fmt::format("carry_{}_{}", i - 1, n - 1);
    return i == 1 ? fmt::format("p_0_{}", j) : fmt::format("sum_{}_{}", i - 1, j);
  };
  put(text, "  buf lowest: p_0_0 -> product[0]\n");
  for (std::uint32_t i = 1; i < n; ++i) {
    for (std::uint32_t j = 0; j < n; ++j) {
      const std::string carry = j == 0 ? "0" : fmt::format("carry_{}_{}", i, j - 1);
      put(text, "  full_adder add_{0}_{1}: p_{0}_{1} {2} {3} -> sum_{0}_{1} carry_{0}_{1}\n", i, j,
          before(i, j + 1), carry);
    }
    put(text, "  buf low_{0}: sum_{0}_0 -> product[{0}]\n", i);
  }
  for (std::uint32_t j = 1; j < n; ++j)
    put(text, "  buf high_{0}: sum_{1}_{0} -> product[{2}]\n", j, n - 1, n - 1 + j);
  put(text, "  buf highest: carry_{0}_{0} -> product[{1}]\nend\n", n - 1, 2 * n - 1);
  return {"multiplier", std::move(text), multiply};
}

Subject shift_register(std::uint32_t gates) {
  const auto stages = std::max(1u, gates / 8);
  std::string text =
      "cell latch\n  in d c clear_n\n  out q\n  nand gate_s: d c -> s\n  nand gate_r: s c -> r\n"
      "  nand keep_a: s q_n -> q\n  nand keep_b: r q clear_n -> q_n\nend\n"
      "cell stage\n  in d c c_n clear_n\n  out q\n  latch master: d c_n clear_n -> m\n"
      "  latch slave: m c clear_n -> q\nend\n";
  put(text, "cell train_recorder\n  in d c clear_n\n  out q{}\n  not invert: c -> c_n\n", stages);
  for (std::uint32_t i = 1; i <= stages; ++i) {
    put(text, "  stage bit_{0}: {1} c c_n clear_n -> q{0}\n", i, i == 1 ? "d" : fmt::format("q{}", i - 1));
  }
  text += "end\n";
  return {"shift register", std::move(text), shift};
}

Subject shuffled(Subject subject) {
  const std::size_t pins_end = subject.text.find('\n', subject.text.rfind("\n  out ") + 1) + 1;
  const std::size_t body_end = subject.text.rfind("end\n");
  std::vector<std::string_view> lines;
  const std::string_view text = subject.text;
  for (std::size_t at = pins_end; at < body_end;) {
    const std::size_t end = text.find('\n', at) + 1;
    lines.push_back(text.substr(at, end - at));
    at = end;
  }
  Random(1).shuffle(lines);
  std::string result(text.substr(0, pins_end));
  for (const std::string_view line : lines) result += line;
  result += text.substr(body_end);
  subject.name = "shuffled memory";
  subject.text = std::move(result);
  return subject;
}

}  // namespace settle::bench
