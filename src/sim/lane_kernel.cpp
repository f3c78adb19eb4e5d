// The many-lane kernel.
//
// Idea: two bits a net and lane, "may be 1" and "may be 0", turn the four-value tables of IEEE
// 1364-2005 (z reads as x) into a few word operations for 64 lanes: for and, may-be-1 is the
// conjunction of the inputs' and may-be-0 the disjunction; for or, the planes change places; an
// inversion swaps them on the way out. With unit delays all changes found at t are due at t + 1, so
// a list of changed gates with their new words is the whole schedule.
//
// At each step one of two ways is taken, by activity. Few changes: the readers of changed nets are
// queued once each and evaluated. Many (an eighth of the gates or more): all gates are swept in order,
// form by form, which costs less a gate than queueing and no misprediction. Both leave the same list.
//
// Invariants between steps: gates_[g].is_queued is false; `pending_` holds exactly the gates whose
// function differs from their output in some lane, next_[g] being that function.
// Cost: of a step, linear in the readers of nets that change in any lane, or in the gates.
#include "settle/lanes.h"

#include <algorithm>
#include <cassert>

namespace settle {
namespace {

constexpr std::size_t sweep_share = 8;  // a sweep when one gate in so many changes

}  // namespace

bool LaneKernel::suits(const Circuit& circuit) {
  return circuit.resolved_count() == 0 &&
         std::all_of(circuit.kinds().begin(), circuit.kinds().end(), [](GateKind kind) { return is_push_pull(kind); });
}

LaneKernel::LaneKernel(const Circuit& circuit)
    : circuit_(&circuit),
      values_(circuit.net_count()),
      next_(circuit.gate_count()),
      gates_(circuit.gate_count()),
      input_words_(circuit.input_count()),
      input_waits_(circuit.input_count()),
      pending_(circuit.gate_count() + std::size_t{1}),
      queue_(circuit.gate_count() + std::size_t{1}) {
  assert(suits(circuit));
  for (GateId id = 0; id < circuit.gate_count(); ++id) {
    const auto fan_in = circuit.fan_in(id);
    const GateKind kind = circuit.kind(id);
    const bool is_exclusive = kind == GateKind::xor_ || kind == GateKind::xnor;
    Gate& gate = gates_[id];
    gate.a = fan_in.front();
    gate.b = fan_in.back();  // the same net again for one input: and and or give it back
    gate.is_or = kind == GateKind::or_ || kind == GateKind::nor;
    gate.inverts = kind == GateKind::not_ || kind == GateKind::nand || kind == GateKind::nor || kind == GateKind::xnor;
    gate.form = fan_in.size() > 2                    ? Form::wide
                : is_exclusive && fan_in.size() == 2 ? Form::exclusive
                                                     : Form::two;
    forms_[static_cast<std::size_t>(gate.form)].push_back(id);
  }
  power_up();
}

void LaneKernel::power_up() {
  const Circuit& c = *circuit_;
  now_ = 0;
  started_ = false;
  std::fill(values_.begin(), values_.end(), LaneWord{});
  values_[c.const_zero()] = LaneWord::of(Value::zero);
  values_[c.const_one()] = LaneWord::of(Value::one);
  std::fill(input_waits_.begin(), input_waits_.end(), std::uint8_t{0});
  waiting_.clear();
  pending_count_ = queue_count_ = 0;
  moving_ = 0;
  evaluations_ = 0;
}

void LaneKernel::put_gate(GateId gate, unsigned lane, Value value) {
  assert(!started_);
  values_[circuit_->output_of(gate)].put(lane, value);
}

void LaneKernel::set_input(NetId input, LaneWord word) {
  assert(circuit_->is_input(input));
  input_words_[input] = word;
  if (input_waits_[input]) return;
  input_waits_[input] = 1;
  waiting_.push_back(input);
}

inline LaneWord LaneKernel::two(const Gate& gate) const {
  const LaneWord a = values_[gate.a], b = values_[gate.b];
  // All ones for or: exchanges the planes before and after, without a branch.
  const std::uint64_t in = gate.is_or ? ~std::uint64_t{0} : 0, out = gate.is_or != gate.inverts ? ~std::uint64_t{0} : 0;
  const std::uint64_t swap_a = (a.may_be_one ^ a.may_be_zero) & in, swap_b = (b.may_be_one ^ b.may_be_zero) & in;
  const std::uint64_t both = (a.may_be_one ^ swap_a) & (b.may_be_one ^ swap_b);
  const std::uint64_t any = (a.may_be_zero ^ swap_a) | (b.may_be_zero ^ swap_b);
  const std::uint64_t swap = (both ^ any) & out;
  return {both ^ swap, any ^ swap};
}

inline LaneWord LaneKernel::exclusive(const Gate& gate) const {
  const LaneWord a = values_[gate.a], b = values_[gate.b];
  const std::uint64_t differ = (a.may_be_one & b.may_be_zero) | (a.may_be_zero & b.may_be_one);
  const std::uint64_t agree = (a.may_be_one & b.may_be_one) | (a.may_be_zero & b.may_be_zero);
  return gate.inverts ? LaneWord{agree, differ} : LaneWord{differ, agree};
}

LaneWord LaneKernel::wide(GateId id) const {
  const auto fan_in = circuit_->fan_in(id);
  const Gate& gate = gates_[id];
  LaneWord sum = values_[fan_in.front()];
  const GateKind kind = circuit_->kind(id);
  const bool is_exclusive = kind == GateKind::xor_ || kind == GateKind::xnor;
  for (const NetId net : fan_in.subspan(1)) {
    const LaneWord word = values_[net];
    if (is_exclusive) {
      sum = {(sum.may_be_one & word.may_be_zero) | (sum.may_be_zero & word.may_be_one),
             (sum.may_be_one & word.may_be_one) | (sum.may_be_zero & word.may_be_zero)};
    } else if (gate.is_or) {
      sum = {sum.may_be_one | word.may_be_one, sum.may_be_zero & word.may_be_zero};
    } else {
      sum = {sum.may_be_one & word.may_be_one, sum.may_be_zero | word.may_be_zero};
    }
  }
  return gate.inverts ? LaneWord{sum.may_be_zero, sum.may_be_one} : sum;
}

// Lists the gate if it changes in some lane; writes in any case, for want of a branch.
inline void LaneKernel::keep(GateId gate, LaneWord word) {
  const LaneWord old = values_[circuit_->output_of(gate)];
  const std::uint64_t change = (word.may_be_one ^ old.may_be_one) | (word.may_be_zero ^ old.may_be_zero);
  next_[gate] = word;
  pending_[pending_count_] = gate;
  pending_count_ += change != 0;
  moving_ |= change;
}

inline void LaneKernel::queue_readers(NetId net) {
  for (const GateId reader : circuit_->fan_out(net)) {
    queue_[queue_count_] = reader;
    queue_count_ += !gates_[reader].is_queued;
    gates_[reader].is_queued = true;
  }
}

void LaneKernel::evaluate_queue() {
  for (std::size_t i = 0; i < queue_count_; ++i) {
    const GateId id = queue_[i];
    Gate& gate = gates_[id];
    gate.is_queued = false;
    switch (gate.form) {
      case Form::two: keep(id, two(gate)); break;
      case Form::exclusive: keep(id, exclusive(gate)); break;
      case Form::wide: keep(id, wide(id)); break;
    }
  }
  evaluations_ += queue_count_;
  queue_count_ = 0;
}

void LaneKernel::sweep() {
  for (const GateId id : forms_[static_cast<std::size_t>(Form::two)]) keep(id, two(gates_[id]));
  for (const GateId id : forms_[static_cast<std::size_t>(Form::exclusive)]) keep(id, exclusive(gates_[id]));
  for (const GateId id : forms_[static_cast<std::size_t>(Form::wide)]) keep(id, wide(id));
  evaluations_ += gates_.size();
}

void LaneKernel::step() {
  now_ += started_;
  const bool is_dense = !started_ || pending_count_ * sweep_share > gates_.size();
  started_ = true;
  for (std::size_t i = 0; i < pending_count_; ++i) {
    values_[circuit_->output_of(pending_[i])] = next_[pending_[i]];
    if (!is_dense) queue_readers(circuit_->output_of(pending_[i]));
  }
  for (const NetId input : waiting_) {
    input_waits_[input] = 0;
    if (values_[input] == input_words_[input]) continue;
    values_[input] = input_words_[input];
    if (!is_dense) queue_readers(input);
  }
  waiting_.clear();
  pending_count_ = 0;
  moving_ = 0;
  if (is_dense) {
    sweep();
  } else {
    evaluate_queue();
  }
}

bool LaneKernel::settle(Time most) {
  for (Time tick = 0; tick < most; ++tick) {
    step();
    if (moving_ == 0) return true;
  }
  return false;
}

std::size_t LaneKernel::bytes() const {
  std::size_t forms = 0;
  for (const auto& gates : forms_) forms += gates.capacity() * sizeof(GateId);
  return sizeof(*this) + (values_.capacity() + next_.capacity() + input_words_.capacity()) * sizeof(LaneWord) +
         gates_.capacity() * sizeof(Gate) + forms + input_waits_.capacity() + waiting_.capacity() * sizeof(NetId) +
         (pending_.capacity() + queue_.capacity()) * sizeof(GateId);
}

}  // namespace settle
