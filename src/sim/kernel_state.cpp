// What can be asked about the state of a kernel: pending gates, hash, comparison, size.
#include <algorithm>

#include "settle/kernel.h"
#include "sim/fan_out_lines.h"
#include "sim/mix.h"
#include "sim/timing_wheel.h"

namespace settle {

std::vector<GateId> Kernel::pending_gates() const {
  if (wheel_) return wheel_->gates();
  std::vector<GateId> gates;
  gates.reserve(pending_.size());
  for (const std::uint32_t item : pending_.items()) gates.push_back(item >> 3);
  std::sort(gates.begin(), gates.end());
  return gates;
}

std::uint64_t Kernel::state_hash() const {
  std::uint64_t hash = value_hash_;
  if (wheel_) {
    hash += wheel_->hash() * 0xd1342543de82ef95u;
  } else {
    // A sum, since the order of the list says nothing.
    for (const std::uint32_t item : pending_.items()) hash += mix(item + 0x632be59bd9b4e019u);
  }
  return mix(hash);
}

bool Kernel::same_state(const Kernel& a, const Kernel& b) {
  if (a.circuit_ != b.circuit_ || a.queue_.size() != b.queue_.size()) return false;
  if (a.values_ != b.values_ || a.drives_ != b.drives_ || !a.wheel_ != !b.wheel_) return false;
  const auto sorted = [](std::span<const std::uint32_t> items) {
    std::vector<std::uint32_t> result(items.begin(), items.end());
    std::sort(result.begin(), result.end());
    return result;
  };
  if (a.waiting_inputs_.size() != 0 || b.waiting_inputs_.size() != 0) {
    // Inputs set to the value that they have do not count.
    for (NetId net = 0; net < a.input_values_.size(); ++net) {
      const Value in_a = a.input_waits_[net] ? a.input_values_[net] : a.values_[net];
      const Value in_b = b.input_waits_[net] ? b.input_values_[net] : b.values_[net];
      if (in_a != in_b) return false;
    }
  }
  if (a.wheel_) return TimingWheel::same(*a.wheel_, *b.wheel_);
  if (a.pending_.size() != b.pending_.size()) return false;
  const auto p = a.pending_.items(), q = b.pending_.items();
  return std::equal(p.begin(), p.end(), q.begin()) || sorted(p) == sorted(q);
}

std::size_t Kernel::bytes() const {
  return sizeof(*this) + fan_out_->bytes() + awake_.capacity() * sizeof(std::uint64_t) + values_.capacity() * sizeof(Value) + words_.capacity() * sizeof(std::uint64_t) +
         drives_.capacity() * sizeof(Drive) + input_values_.capacity() * sizeof(Value) +
         input_waits_.capacity() + wire_waits_.capacity() + waiting_inputs_.bytes() + waiting_wires_.bytes() +
         queue_.bytes() + pending_.bytes() + changed_.bytes() + changed_drivers_.bytes() +
         (wheel_ ? wheel_->bytes() : 0);
}

}  // namespace settle
