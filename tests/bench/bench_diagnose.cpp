// bench_diagnose: how many questions lead to a fault, and how long does it take?
//
// For each example: single faults on the chips that `settle wire` takes (or the board's own), groups that
// questions tell apart, questions on average over all faults and at most, log2 of the groups, processor time of
// one look ahead at all faults, of all questions to all faults, and of finding each fault: from its own behaviour
// at some settings it must be in the first group. Then a register of a hundred gates: all faults
// through a stimulus. It fails when a fault is not led to its group, or an average is above log2 + 2.
// `--quick`: the small examples only; `--only NAME.gates`: that one; `--every N`: each N-th fault.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>

#ifndef SETTLE_SOURCE_DIR
#define SETTLE_SOURCE_DIR "."
#endif
#include "settle/text_reader.h"
#include "support/question_tree.h"

namespace {

using namespace settle;

double now() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

bool example(const char* file, std::size_t every = 1) {
  testing::Subject s = testing::example_on_bench(file);
  testing::thin_out(s.model, every);
  const DiagnoseOptions options;
  const double start = now();
  const Outlook outlook = FaultSession(s.model, options).look_ahead();
  const double look = now() - start;
  const double asking = now();
  const testing::QuestionTree tree = testing::ask_all(s.model, options);
  const double finding = now();
  const bool all_found = testing::faults_not_found(s.model, options).empty();
  const double most = std::log2(static_cast<double>(tree.leaves)) + 2;
  const bool is_good = all_found && tree.is_sound && tree.faults == s.model.faults.size() && tree.questions <= most;
  fmt::print("{:<24} {:>5} {:>7} {:>7} {:>10.2f} {:>8.2f} {:>8} {:>9.3f} s {:>8.2f} s {:>8.2f} s{}\n", file, s.circuit.gate_count(), s.model.faults.size(),
             tree.leaves, tree.questions, most, tree.longest, look, finding - asking, now() - finding, is_good ? "" : "  WRONG");
  return is_good;
}

void hundred_gates() {
  // Twenty lever latches.
  TextReader text("cell lever_latch\n  in lever read\n  out seen seen_n\n  nor i: lever lever -> n\n  and a: lever read -> s\n"
                  "  and b: n read -> r\n  nor c: r seen_n -> seen\n  nor d: s seen -> seen_n\nend\n"
                  "cell register\n  in lever[19:0] read\n  out route[19:0]\n  lever_latch bit[19:0]: lever[19:0] read -> route[19:0] _\nend\n");
  const testing::Subject s = testing::on_bench("register", text);
  const double start = now();
  FaultSession session(s.model, {});
  const double made = now();
  std::vector<Value> inputs(s.circuit.input_count(), Value::zero);
  for (std::uint32_t i = 0; i < 32; ++i) {
    for (std::size_t bit = 0; bit < inputs.size(); ++bit) inputs[bit] = to_value((i * 2654435761u >> bit & 1) != 0);
    session.apply(inputs);
  }
  fmt::print("\nregister of 20 bits on chips: {} gates, {} faults, 32 settings of the inputs: {:.3f} s, after {:.3f} s to lay them out\n", s.circuit.gate_count(), s.model.faults.size(),
             now() - made, made - start);
}

}  // namespace

int main(int argc, char** argv) {
  std::setvbuf(stdout, nullptr, _IOLBF, 0);
  bool quick = false;
  const char* only = nullptr;
  std::size_t every = 1;
  for (int i = 1; i < argc; ++i) {
    const bool has_value = i + 1 < argc;
    if (std::strcmp(argv[i], "--quick") == 0) quick = true;
    else if (std::strcmp(argv[i], "--only") == 0 && has_value) only = argv[++i];
    else if (std::strcmp(argv[i], "--every") == 0 && has_value) every = std::max<std::size_t>(1, std::strtoul(argv[++i], nullptr, 10));
  }
  fmt::print("{:<24} {:>5} {:>7} {:>7} {:>10} {:>8} {:>8} {:>11} {:>10} {:>10}\n", "example", "gates", "faults", "groups", "questions", "log2 + 2", "longest",
             "look ahead", "questions", "finding");
  bool is_good = true;
  if (only != nullptr) return example(only, every) ? 0 : 1;
  for (const char* file : {"block_memory.gates", "gated_block.gates", "ring.gates", "lever_board.gates"}) is_good = example(file, every) && is_good;
  if (!quick) {
    for (const char* file : {"lever_latch.gates", "button_memory.gates", "single_lever.gates", "first_to_ask.gates", "bell_divider.gates"})
      is_good = example(file, every) && is_good;
    hundred_gates();
    is_good = example("route_register.gates", every) && is_good;
  }
  return is_good ? 0 : 1;
}
