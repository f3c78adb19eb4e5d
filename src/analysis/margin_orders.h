// The orders in which the gates of a little circuit can change when their delays are constant but not known.
#pragma once

#include <cstdint>
#include <deque>
#include <vector>

#include "analysis/delay_race.h"
#include "analysis/margin_program.h"
#include "analysis/narrow_network.h"

namespace settle {

inline constexpr std::uint32_t no_event = 0xffffffffu;

/// A change of a gate that is due, may be for ever.
struct OrderEvent {
  std::uint32_t gate = 0;
  std::uint32_t cause = no_event;  ///< the event that excited the gate; no_event: the input change
  TimeForm due;                    ///< since the input change
};

/// "Event `earlier` comes before event `later`", or at the same time.
struct OrderRow {
  std::uint32_t earlier = no_event, later = no_event;  ///< no_event: a condition of a repeated state
  TimeRow row;                                         ///< due(later) - due(earlier) > 0, or = 0
  std::uint64_t state = 0;                             ///< in which both are pending
};

/// What hangs on the order of two pending changes.
enum class OrderMatter : std::uint8_t {
  nothing,     ///< either order, or both at once, lead to the same
  excitation,  ///< when some gate becomes excited, or whether it does
  change,      ///< one of the two changes calls off the other
};

/// A part of an order: which state it leads to and what it takes.
struct OrderNode {
  struct Pending {
    std::uint32_t gate = 0, event = no_event;
  };
  std::uint64_t state = 0;
  std::vector<Pending> pending;  ///< excited gates, ascending
  std::uint32_t parent = no_event;
  std::uint32_t depth = 0;
  std::vector<OrderRow> rows;          ///< beyond those of the parent, simplified
  std::vector<std::uint64_t> covered;  ///< sets of gates whose change next is part of a sister node
  bool repeats = false;                ///< a state of this order came again, and so for ever
};

/// Makes the children of nodes. See the .cpp for what a step from node to node is.
class OrderExplorer {
 public:
  /// Factors: one a gate, or with `separate_edges` one for its rise and one for its fall.
  OrderExplorer(const NarrowNetwork& network, const GateTimes& nominal, bool separate_edges);

  std::size_t factors() const { return network_.size() * (separate_edges_ ? 2u : 1u); }
  OrderNode start();

  /// Appends to `children` all continuations that need no more spread than `most_spread`, as far as single
  /// rows tell. False: too many gates are pending, or some gate function is unknown.
  bool expand(const OrderNode& node, std::uint32_t id, double most_spread, std::vector<OrderNode>& children);

  /// Rows for "`node` is in the state in which `before` was, and everything is due at the same intervals".
  std::vector<OrderRow> repetition(const OrderNode& before, const OrderNode& node) const;

  OrderMatter matter(const OrderRow& row) const;

  const OrderEvent& event(std::uint32_t id) const { return events_[id]; }

  static constexpr std::size_t most_pending = 10;

 private:
  std::uint32_t add_event(std::uint32_t gate, std::uint64_t state, std::uint32_t cause);
  bool add_row(OrderNode& child, OrderRow row, double most_spread) const;
  void study_sets(const OrderNode& node);
  bool independent_child(const OrderNode& node, std::uint32_t set, double most_spread, OrderNode& child);
  bool joint_child(const OrderNode& node, std::uint32_t set, double most_spread, OrderNode& child);

  const NarrowNetwork& network_;
  const GateTimes& nominal_;
  bool separate_edges_;
  std::deque<OrderEvent> events_;
  // Of the node in hand, by set of pending gates.
  std::vector<std::uint64_t> words_;    // the set as gates
  std::vector<std::uint64_t> targets_;  // where the gates head once it has changed
  std::vector<bool> independent_;
};

}  // namespace settle
