// Orders of gate changes under the rules of the kernel, with delays as unknowns.
//
// Idea: a pending change is due at a sum of delays, so "this one first" is a linear condition on the delays.
// A run of the circuit with given delays is a row of instants, each a set of changes due together. The
// children of a node are all ways to go on, such that each run follows one of them:
//   - joint: a set of changes is due at one time, before all others, where it matters that they come
//   together;
//   - independent: a set of changes comes before all others in any order, where the order does not matter.
// Changes are independent when each gate hangs, as far as the present state goes, on one of them at most:
// then every order and every tie leads to the same state, and each gate that becomes excited is due a delay
// after a known one of them. Of a run from a node the longest beginning of independent changes is taken at
// once, which spares most interleavings; a set that such a sister node covers is not tried again in the next
// step (`covered`). A gate that stops being excited loses its pending change; one that is due when that
// happens still changes.
//
// Invariants: the pending gates are the excited ones; rows hold the conditions of the step from the parent;
// rows that hold for all delays are left out. Cost: up to 2^pending children of a node.
#include "analysis/margin_orders.h"

#include <algorithm>
#include <bit>

namespace settle {
namespace {

TimeForm difference(const TimeForm& a, const TimeForm& b) {
  TimeForm form(a.size());
  for (std::size_t k = 0; k < a.size(); ++k) form[k] = a[k] - b[k];
  return form;
}

bool has(std::uint64_t word, std::uint32_t bit) { return (word >> bit & 1) != 0; }

}  // namespace

OrderExplorer::OrderExplorer(const NarrowNetwork& network, const GateTimes& nominal, bool separate_edges)
    : network_(network), nominal_(nominal), separate_edges_(separate_edges) {}

std::uint32_t OrderExplorer::add_event(std::uint32_t gate, std::uint64_t state, std::uint32_t cause) {
  OrderEvent event{gate, cause, cause == no_event ? TimeForm(factors(), 0) : events_[cause].due};
  const bool falls = has(state, gate);
  const std::size_t factor = separate_edges_ ? 2 * std::size_t{gate} + falls : gate;
  event.due[factor] += static_cast<std::int64_t>(falls ? nominal_.fall[gate] : nominal_.rise[gate]);
  events_.push_back(std::move(event));
  return static_cast<std::uint32_t>(events_.size() - 1);
}

OrderNode OrderExplorer::start() {
  OrderNode node;
  node.state = network_.start();
  for (std::uint64_t left = network_.excited(node.state); left != 0; left &= left - 1) {
    const auto gate = static_cast<std::uint32_t>(std::countr_zero(left));
    node.pending.push_back({gate, add_event(gate, node.state, no_event)});
  }
  return node;
}

// False when the row can never hold, or not within the spread.
bool OrderExplorer::add_row(OrderNode& child, OrderRow row, double most_spread) const {
  row.row.form = difference(events_[row.later].due, events_[row.earlier].due);
  switch (simplify(row.row)) {
    case RowKind::always: return true;
    case RowKind::never: return false;
    case RowKind::open: break;
  }
  if (least_spread_of(row.row) > most_spread) return false;
  child.rows.push_back(std::move(row));
  return true;
}

OrderMatter OrderExplorer::matter(const OrderRow& row) const {
  if (row.earlier == no_event) return OrderMatter::excitation;
  const std::uint64_t a = std::uint64_t{1} << events_[row.earlier].gate,
                      b = std::uint64_t{1} << events_[row.later].gate;
  const auto target = [this](std::uint64_t at) { return network_.excited(at) ^ at; };
  const std::uint64_t none = target(row.state), one = target(row.state ^ a), other = target(row.state ^ b);
  const std::uint64_t both = target(row.state ^ a ^ b);
  const std::uint64_t on_a = (none ^ one) | (other ^ both), on_b = (none ^ other) | (one ^ both);
  if ((on_a & b) != 0 || (on_b & a) != 0) return OrderMatter::change;
  return (on_a & on_b) != 0 ? OrderMatter::excitation : OrderMatter::nothing;
}

void OrderExplorer::study_sets(const OrderNode& node) {
  const std::size_t count = node.pending.size(), sets = std::size_t{1} << count;
  words_.assign(sets, 0);
  targets_.assign(sets, 0);
  independent_.assign(sets, true);
  for (std::size_t set = 0; set < sets; ++set) {
    for (std::size_t i = 0; i < count; ++i) {
      if (has(set, static_cast<std::uint32_t>(i))) words_[set] |= std::uint64_t{1} << node.pending[i].gate;
    }
    const std::uint64_t after = node.state ^ words_[set];
    targets_[set] = network_.excited(after) ^ after;
  }
  for (std::size_t set = 1; set < sets; ++set) {
    if (std::has_single_bit(set)) continue;
    std::uint64_t seen = 0;  // gates that hang on a member looked at before
    for (std::size_t left = set; left != 0 && independent_[set]; left &= left - 1) {
      const std::size_t member = left & (~left + 1), others = set ^ member;
      if (!independent_[others]) {
        independent_[set] = false;
        break;
      }
      std::uint64_t hanging = 0;
      for (std::size_t sub = others;; sub = (sub - 1) & others) {
        hanging |= targets_[sub] ^ targets_[sub | member];
        if (sub == 0) break;
      }
      independent_[set] = (hanging & seen) == 0 && (hanging & words_[others]) == 0;
      seen |= hanging;
    }
  }
}

bool OrderExplorer::expand(const OrderNode& node, std::uint32_t id, double most_spread,
                           std::vector<OrderNode>& children) {
  if (node.pending.size() > most_pending || network_.meets_unknown(node.state)) return false;
  study_sets(node);
  const std::size_t sets = words_.size();
  for (std::uint32_t set = 1; set < sets; ++set) {
    if (independent_[set] &&
        std::find(node.covered.begin(), node.covered.end(), words_[set]) != node.covered.end()) {
      continue;
    }
    OrderNode child;
    child.parent = id;
    child.depth = node.depth + 1;
    child.state = node.state ^ words_[set];
    const bool possible = independent_[set] ? independent_child(node, set, most_spread, child)
                                            : joint_child(node, set, most_spread, child);
    if (!possible) continue;
    std::sort(child.pending.begin(), child.pending.end(),
              [](const auto& a, const auto& b) { return a.gate < b.gate; });
    children.push_back(std::move(child));
  }
  return true;
}

bool OrderExplorer::independent_child(const OrderNode& node, std::uint32_t set, double most_spread,
                                      OrderNode& child) {
  const std::uint64_t excited = targets_[set] ^ child.state;
  const auto members = [&](const auto& visit) {
    for (std::uint32_t i = 0; i < node.pending.size(); ++i) {
      if (has(set, i) && !visit(i)) return false;
    }
    return true;
  };
  // The member on which a gate hangs.
  const auto hangs_on = [&](std::uint32_t gate, std::uint32_t member) {
    return has(targets_[set] ^ targets_[set ^ (1u << member)], gate);
  };
  std::uint64_t kept = 0;
  for (std::uint32_t i = 0; i < node.pending.size(); ++i) {
    if (has(set, i)) continue;
    const auto gate = node.pending[i].gate;
    const auto event = node.pending[i].event;
    const bool stays = has(excited, gate);
    const bool possible = members([&](std::uint32_t m) {
      return (!stays && !hangs_on(gate, m)) ||
             add_row(child, {node.pending[m].event, event, {{}, false}, node.state}, most_spread);
    });
    if (!possible) return false;
    if (!stays) continue;
    child.pending.push_back({gate, event});
    kept |= std::uint64_t{1} << gate;
  }
  for (std::uint64_t left = excited & ~kept; left != 0; left &= left - 1) {
    const auto gate = static_cast<std::uint32_t>(std::countr_zero(left));
    std::uint32_t cause = no_event;
    members([&](std::uint32_t m) {
      if (hangs_on(gate, m)) cause = m;
      return cause == no_event;
    });
    const std::uint32_t event = add_event(gate, child.state, node.pending[cause].event);
    child.pending.push_back({gate, event});
    const bool possible = members([&](std::uint32_t m) {
      const std::uint64_t before = node.state ^ (std::uint64_t{1} << node.pending[cause].gate);
      return m == cause || add_row(child, {node.pending[m].event, event, {{}, false}, before}, most_spread);
    });
    if (!possible) return false;
  }
  for (std::uint32_t larger = (set + 1) | set; larger < words_.size(); larger = (larger + 1) | set) {
    if (independent_[larger]) child.covered.push_back(words_[larger ^ set]);
  }
  return true;
}

bool OrderExplorer::joint_child(const OrderNode& node, std::uint32_t set, double most_spread,
                                OrderNode& child) {
  const auto first = static_cast<std::uint32_t>(std::countr_zero(set));
  const std::uint32_t now = node.pending[first].event;
  const std::uint64_t excited = targets_[set] ^ child.state;
  std::uint64_t kept = 0;
  for (std::uint32_t i = 0; i < node.pending.size(); ++i) {
    const auto gate = node.pending[i].gate;
    const auto event = node.pending[i].event;
    if (i != first && !add_row(child, {now, event, {{}, has(set, i)}, node.state}, most_spread)) return false;
    if (has(set, i) || !has(excited, gate)) continue;
    child.pending.push_back({gate, event});
    kept |= std::uint64_t{1} << gate;
  }
  for (std::uint64_t left = excited & ~kept; left != 0; left &= left - 1) {
    const auto gate = static_cast<std::uint32_t>(std::countr_zero(left));
    std::uint32_t cause = first;
    for (std::uint32_t i = 0; i < node.pending.size(); ++i) {
      if (has(set, i) && has(targets_[set] ^ targets_[set ^ (1u << i)], gate)) {
        cause = i;
        break;
      }
    }
    child.pending.push_back({gate, add_event(gate, child.state, node.pending[cause].event)});
  }
  return true;
}

std::vector<OrderRow> OrderExplorer::repetition(const OrderNode& before, const OrderNode& node) const {
  std::vector<OrderRow> rows;
  const auto shift = [&](std::size_t i) {
    return difference(events_[node.pending[i].event].due, events_[before.pending[i].event].due);
  };
  for (std::size_t i = 1; i < node.pending.size(); ++i) {
    OrderRow row{no_event, no_event, {difference(shift(i), shift(0)), true}, node.state};
    if (simplify(row.row) != RowKind::always) rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace settle
