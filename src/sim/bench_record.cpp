// A stimulus as a row of settings and looks. Linear in the statements executed; repeats are unrolled.
#include "settle/bench_record.h"

#include <fmt/format.h>

#include "sim/bound_stimulus.h"

namespace settle {
namespace {

using Kind = StimulusStatement::Kind;
constexpr std::size_t most_steps = 100'000;

class BenchReader {
 public:
  BenchReader(const BoundStimulus& stimulus, const Circuit& circuit, Diagnostics& diagnostics)
      : stimulus_(stimulus), circuit_(circuit), diagnostics_(diagnostics), inputs_(circuit.input_count(), Value::x) {}

  std::optional<BenchRecord> run() {
    if (stimulus_.power_up == PowerUp::Kind::chosen) {
      record_.gates.assign(circuit_.gate_count(), Value::x);
      for (const BoundAssignment& a : stimulus_.start) {
        for (const BitValue& bit : a.bits) record_.gates[circuit_.gate_of(bit.net)] = bit.value;
      }
    }
    struct Loop {
      std::size_t first, end;
      std::uint64_t left;
    };
    std::vector<Loop> loops;
    std::size_t at = 0;
    for (;;) {
      while (!loops.empty() && at == loops.back().end) {
        if (--loops.back().left == 0) loops.pop_back();
        else at = loops.back().first;
      }
      if (at >= stimulus_.statements.size()) break;
      const BoundStatement& s = stimulus_.statements[at++];
      if (s.kind == Kind::repeat) {
        if (s.count == 0 || s.body_end == at) at = s.body_end;
        else loops.push_back({at, s.body_end, s.count});
      } else if (!execute(s)) {
        return std::nullopt;
      }
      if (record_.steps.size() <= most_steps && ++statements_ <= 10 * most_steps) continue;
      diagnostics_.limit(s.place, fmt::format("more than {} settings of inputs are too many for a bench", most_steps),
                         "a shorter stimulus tells as much");
      return std::nullopt;
    }
    return std::move(record_);
  }

 private:
  bool execute(const BoundStatement& s) {
    switch (s.kind) {
      case Kind::set: set(s); break;
      case Kind::wait:
        if (s.duration != 0) rest();
        break;
      case Kind::settle: case Kind::at: case Kind::expect_for: rest(); break;
      case Kind::pulse: {
        const std::vector<Value> before = inputs_;
        set(s);
        rest();
        inputs_ = before;
        is_set_ = true;
        break;
      }
      case Kind::bounce:
        for (std::uint64_t edge = 0; edge < s.count && record_.steps.size() <= most_steps; ++edge) {
          const BitValue& bit = s.assignments[0].bits[0];
          inputs_[bit.net] = edge % 2 == 0 ? bit.value : inverted(bit.value);
          is_set_ = true;
          rest();
        }
        break;
      case Kind::observe:
        rest();
        for (const BoundAssignment& a : s.assignments) {
          for (const BitValue& bit : a.bits) look({bit.net, bit.value, a.place});
        }
        break;
      case Kind::clock:
        diagnostics_.error(s.place, "a clock in the background is too fast to be observed",
                           "write its edges with 'set' and 'wait', as they were made by hand");
        return false;
      case Kind::expect: case Kind::expect_changes: case Kind::expect_time: case Kind::expect_warning: case Kind::repeat: break;
    }
    return true;
  }

  void set(const BoundStatement& s) {
    for (const BoundAssignment& a : s.assignments) {
      for (const BitValue& bit : a.bits) inputs_[bit.net] = bit.value;
    }
    is_set_ = true;
  }

  void rest() {
    if (is_set_) record_.steps.push_back({inputs_, {}});
    is_set_ = false;
  }

  void look(const BenchLook& seen) { (record_.steps.empty() ? record_.looks : record_.steps.back().looks).push_back(seen); }

  const BoundStimulus& stimulus_;
  const Circuit& circuit_;
  Diagnostics& diagnostics_;
  std::vector<Value> inputs_;
  bool is_set_ = false;  // inputs that no step has yet
  std::size_t statements_ = 0;
  BenchRecord record_;
};

}  // namespace

std::optional<BenchRecord> bench_record(const Stimulus& stimulus, const Circuit& circuit, Diagnostics& diagnostics) {
  const auto bound = bind(stimulus, circuit, diagnostics);
  if (!bound) return std::nullopt;
  return BenchReader(*bound, circuit, diagnostics).run();
}

}  // namespace settle
