// The stable states of a circuit as the product of those of its groups, listed one by one.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "analysis/stable_groups.h"
#include "settle/stable_states.h"

namespace settle {

/// Keeps the values of all nets and moves them from one stable state to the next.
class StateLister {
 public:
  StateLister(const Circuit& circuit, std::span<const Value> inputs);

  /// As visit_stable_states(); the visitor gets one value per gate.
  bool run(const StableSearch& search, const StableVisitor& visitor);

  /// Values of all gates now.
  std::span<const Value> gates() const {
    return {values_.data() + circuit_->input_count(), circuit_->gate_count()};
  }

 private:
  // The states of a kind, a row of bits each, in ascending order.
  struct Table {
    bool complete = true;
    std::uint32_t words = 0;  // of a row
    std::size_t rows = 0;
    std::vector<std::uint64_t> bits;
  };

  Table tabulate(const GroupClauses& kind, std::uint64_t limit, const StableSearch& search) const;
  void set(NetId net, Value value);
  void set_row(std::uint32_t group, std::size_t row);
  void update_followers();
  bool list_rest(std::span<const std::uint32_t> groups);

  const Circuit* circuit_;
  StableNetwork network_;
  StableGroups groups_;
  std::vector<Value> values_;            // by net
  std::vector<std::uint32_t> follower_;  // by gate: position in network_.followers, or no_id
  std::vector<std::uint64_t> dirty_;     // followers to evaluate, a bit each
  std::size_t first_dirty_ = 0;          // words before this one are 0
  std::vector<Table> tables_;            // by kind
  std::vector<std::size_t> row_;         // by group: its present state
  std::uint64_t listed_ = 0, limit_ = 0;
  const StableVisitor* visitor_ = nullptr;
  const std::atomic<bool>* stop_ = nullptr;
};

}  // namespace settle
