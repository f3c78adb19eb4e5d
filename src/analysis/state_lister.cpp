// Each kind of group is searched once and its states are kept as rows of bits. The stable states of
// the circuit are all combinations; they are counted through like a number with one digit a group, the
// last group fastest, and only the bits in which two rows differ are written. Gates that follow from
// the groups are evaluated only where a pin changed, in an order in which drivers come first.
// A group with very many states is not kept: its search is the outermost digit.
//
// Invariants: between states no follower is dirty; values_ is a stable state.
// Cost: on a memory two digits a state on average, whatever the number of bits stored.
#include "analysis/state_lister.h"

#include <algorithm>
#include <bit>

#include "analysis/gate_function.h"
#include "analysis/group_search.h"

namespace settle {
namespace {

constexpr std::uint64_t most_kept = 1u << 18;  // states of a group that is not the outermost one

}  // namespace

StateLister::StateLister(const Circuit& circuit, std::span<const Value> inputs)
    : circuit_(&circuit),
      network_(stable_network(circuit, inputs)),
      groups_(split_into_groups(network_)),
      values_(network_.known),
      follower_(circuit.gate_count(), no_id),
      dirty_((network_.followers.size() + 63) / 64, 0),
      row_(groups_.groups.size(), 0) {
  for (std::uint32_t i = 0; i < network_.followers.size(); ++i) follower_[network_.followers[i]] = i;
  for (std::uint32_t v = 1; v < network_.net_of.size(); ++v) {
    if (network_.net_of[v] == no_id || groups_.decided[v] > 1) continue;
    values_[network_.net_of[v]] = to_value(groups_.decided[v] == 1);
  }
}

StateLister::Table StateLister::tabulate(const GroupClauses& kind, std::uint64_t limit,
                                         const StableSearch& search) const {
  Table table;
  const std::uint32_t variables = kind.clauses.variable_count() - 1;
  table.words = (variables + 63) / 64;
  table.complete = visit_assignments(kind, search.method, search.stop, [&](const auto& values) {
    if (table.rows == limit) return false;
    table.bits.resize(table.bits.size() + table.words, 0);
    std::uint64_t* const row = table.bits.data() + table.rows * table.words;
    for (std::uint32_t v = 0; v < variables; ++v)
      row[v / 64] |= std::uint64_t{values[literal_of(v + 1)]} << (v % 64);
    ++table.rows;
    return true;
  });
  // Ascending in the order of the variables, first variable first.
  std::vector<std::size_t> order(table.rows);
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  const auto less = [&table](std::size_t a, std::size_t b) {
    for (std::uint32_t w = 0; w < table.words; ++w) {
      const std::uint64_t x = table.bits[a * table.words + w], y = table.bits[b * table.words + w];
      if (x != y) return ((y >> std::countr_zero(x ^ y)) & 1u) != 0;
    }
    return false;
  };
  if (std::is_sorted(order.begin(), order.end(), less)) return table;
  std::sort(order.begin(), order.end(), less);
  std::vector<std::uint64_t> sorted;
  sorted.reserve(table.bits.size());
  for (const std::size_t i : order) {
    const auto row = table.bits.begin() + static_cast<std::ptrdiff_t>(i * table.words);
    sorted.insert(sorted.end(), row, row + table.words);
  }
  table.bits = std::move(sorted);
  return table;
}

void StateLister::set(NetId net, Value value) {
  values_[net] = value;
  if (dirty_.empty()) return;
  for (const GateId reader : circuit_->fan_out(net)) {
    const std::uint32_t at = follower_[reader];
    if (at == no_id) continue;
    dirty_[at / 64] |= std::uint64_t{1} << (at % 64);
    first_dirty_ = std::min<std::size_t>(first_dirty_, at / 64);
  }
}

void StateLister::set_row(std::uint32_t group, std::size_t row) {
  const auto& variables = groups_.groups[group].variables;
  const Table& table = tables_[groups_.groups[group].kind];
  const std::uint64_t* const from = table.bits.data() + row_[group] * table.words;
  const std::uint64_t* const to = table.bits.data() + row * table.words;
  for (std::uint32_t w = 0; w < table.words; ++w) {
    for (std::uint64_t differ = from[w] ^ to[w]; differ != 0; differ &= differ - 1) {
      const int bit = std::countr_zero(differ);
      const NetId net = network_.net_of[variables[64 * w + static_cast<std::uint32_t>(bit)]];
      if (net != no_id) set(net, to_value(((to[w] >> bit) & 1u) != 0));
    }
  }
  row_[group] = row;
}

void StateLister::update_followers() {
  const auto read = [this](NetId net) { return values_[net]; };
  for (std::size_t word = first_dirty_; word < dirty_.size(); ++word) {
    while (dirty_[word] != 0) {
      const int bit = std::countr_zero(dirty_[word]);
      dirty_[word] &= dirty_[word] - 1;
      const GateId gate = network_.followers[64 * word + static_cast<std::size_t>(bit)];
      const Value value = gate_value(*circuit_, gate, read);
      const NetId net = circuit_->output_of(gate);
      if (value != values_[net]) set(net, value);  // readers come later
    }
  }
  first_dirty_ = dirty_.size();
}

// All combinations of these groups with the others as they are; afterwards these are as before.
bool StateLister::list_rest(std::span<const std::uint32_t> groups) {
  for (;;) {
    update_followers();
    if (listed_ == limit_) return false;
    if (stop_ != nullptr && stop_->load(std::memory_order_relaxed)) return false;
    ++listed_;
    if (!(*visitor_)(gates())) return false;
    std::size_t digit = groups.size();
    while (digit > 0) {
      const std::uint32_t group = groups[--digit];
      if (row_[group] + 1 < tables_[groups_.groups[group].kind].rows) {
        set_row(group, row_[group] + 1);
        break;
      }
      set_row(group, 0);
      if (digit == 0) return true;
    }
    if (groups.empty()) return true;
  }
}

bool StateLister::run(const StableSearch& search, const StableVisitor& visitor) {
  if (groups_.contradiction) return true;
  visitor_ = &visitor;
  stop_ = search.stop;
  limit_ = search.limit;
  listed_ = 0;
  tables_.clear();
  std::vector<std::uint32_t> uses(groups_.kinds.size(), 0);
  for (const auto& group : groups_.groups) ++uses[group.kind];
  const std::uint64_t wanted = limit_ == ~std::uint64_t{0} ? limit_ : limit_ + 1;
  std::vector<std::uint32_t> wide;  // kinds with more states than are kept
  for (std::uint32_t k = 0; k < groups_.kinds.size(); ++k) {
    tables_.push_back(tabulate(groups_.kinds[k], std::min(wanted, most_kept), search));
    if (tables_[k].rows == 0) return tables_[k].complete;
    if (!tables_[k].complete) wide.push_back(k);
  }
  if (stop_ != nullptr && stop_->load(std::memory_order_relaxed)) return false;
  // One wide group can be streamed. Of the others more rows than `wanted` are never needed.
  const bool streams = !wide.empty() && uses[wide.back()] == 1 && wanted > most_kept;
  if (streams) {
    for (std::size_t i = 0; i + 1 < wide.size(); ++i) {
      tables_[wide[i]] = tabulate(groups_.kinds[wide[i]], wanted, search);
    }
  } else if (wanted > most_kept) {
    for (const std::uint32_t k : wide) tables_[k] = tabulate(groups_.kinds[k], wanted, search);
  }

  std::vector<std::uint32_t> inner;
  std::uint32_t outermost = no_id;
  for (std::uint32_t g = 0; g < groups_.groups.size(); ++g) {
    if (streams && groups_.groups[g].kind == wide.back()) {
      outermost = g;
      continue;
    }
    inner.push_back(g);
    const auto& table = tables_[groups_.groups[g].kind];
    for (std::uint32_t v = 0; v < groups_.groups[g].variables.size(); ++v) {
      const NetId net = network_.net_of[groups_.groups[g].variables[v]];
      if (net != no_id) values_[net] = to_value(((table.bits[v / 64] >> (v % 64)) & 1u) != 0);
    }
    row_[g] = 0;
  }
  for (std::size_t i = 0; i < network_.followers.size(); ++i) dirty_[i / 64] |= std::uint64_t{1} << (i % 64);
  first_dirty_ = 0;
  if (outermost == no_id) {
    const bool all = list_rest(inner);
    // A cut table has one row more than the limit, so the listing cannot have come to its end.
    return all;
  }
  const auto& variables = groups_.groups[outermost].variables;
  return visit_assignments(groups_.kinds[wide.back()], search.method, search.stop, [&](const auto& values) {
    for (std::uint32_t v = 0; v < variables.size(); ++v) {
      const NetId net = network_.net_of[variables[v]];
      const Value value = to_value(values[literal_of(v + 1)] == 1);
      if (net != no_id && values_[net] != value) set(net, value);
    }
    return list_rest(inner);
  });
}

}  // namespace settle
