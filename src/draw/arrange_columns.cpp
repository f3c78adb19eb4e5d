// Which blocks there are, and in which column each stands.
//
// Pairs: two gates that read each other are one block, so that feedback stays between them. Of several
// possible partners a gate takes the first one of its own kind. Columns: some connections are reversed so
// that no cycle is left (the greedy order of Eades, Lin and Smyth, "A fast and effective heuristic for the
// feedback arc set problem", 1993); a block stands one column behind the last one that it reads (longest
// path); then blocks move to where their nets get shortest. Passages: a net that has pins at several channels
// gets a passage through each column between them. Cost: the square of the number of blocks, at worst.
#include <algorithm>
#include <limits>

#include "draw/layout.h"

namespace settle::draw {
namespace {

constexpr std::uint32_t none = 0xffffffffu;
constexpr int compaction_rounds = 8;

class Columns {
 public:
  Columns(const BlockMaker& maker, const PinOrders& orders)
      : maker_(maker), sheet_(maker.sheet()), orders_(orders) {}

  Arrangement make() {
    make_blocks();
    make_graph();
    order_blocks();
    longest_paths();
    compact();
    return finish();
  }

 private:
  bool can_pair(const SheetPart& part) const {
    return part.form == SheetPart::Form::gate && is_push_pull(part.kind) && part.copies == 1 &&
           is_wire(part.outputs[0].net) && drivers_[part.outputs[0].net].size() == 1 &&
           part.outputs[0].slice.empty();
  }
  bool reads(const SheetPart& part, NetIndex net) const {
    return std::any_of(part.inputs.begin(), part.inputs.end(),
                       [net](const SheetPin& pin) { return pin.net == net && pin.slice.empty(); });
  }

  std::uint32_t partner_of(std::uint32_t index, const std::vector<std::uint32_t>& block_of) const {
    const SheetPart& part = sheet_.parts[index];
    if (!can_pair(part)) return none;
    std::uint32_t best = none;
    for (const std::uint32_t reader : readers_[part.outputs[0].net]) {
      const SheetPart& other = sheet_.parts[reader];
      if (reader == index || block_of[reader] != none || !can_pair(other)) continue;
      if (!reads(part, other.outputs[0].net)) continue;
      if (best == none || (sheet_.parts[best].kind != part.kind && other.kind == part.kind)) best = reader;
    }
    return best;
  }

  void make_blocks() {
    drivers_.resize(sheet_.nets.size());
    readers_.resize(sheet_.nets.size());
    for (std::uint32_t i = 0; i < sheet_.parts.size(); ++i) {
      for (const SheetPin& pin : sheet_.parts[i].outputs) {
        if (is_wire(pin.net)) drivers_[pin.net].push_back(i);
      }
      for (const SheetPin& pin : sheet_.parts[i].inputs) {
        if (is_wire(pin.net)) readers_[pin.net].push_back(i);
      }
    }
    block_of_.assign(sheet_.parts.size(), none);
    for (std::uint32_t i = 0; i < sheet_.parts.size(); ++i) {
      if (block_of_[i] != none) continue;
      const std::uint32_t partner = partner_of(i, block_of_);
      block_of_[i] = static_cast<std::uint32_t>(blocks_.size());
      if (partner != none) {
        block_of_[partner] = block_of_[i];
        blocks_.push_back(maker_.pair({i, partner}, orders_));
      } else {
        blocks_.push_back(maker_.part(i, orders_));
      }
    }
  }

  SheetPart::Form form(std::uint32_t block) const { return sheet_.parts[blocks_[block].parts[0]].form; }

  void make_graph() {
    successors_.resize(blocks_.size());
    predecessors_.resize(blocks_.size());
    nets_of_.resize(blocks_.size());
    for (NetIndex net = 0; net < sheet_.nets.size(); ++net) {
      for (const std::uint32_t driver : drivers_[net]) {
        for (const std::uint32_t reader : readers_[net]) {
          const auto from = block_of_[driver], to = block_of_[reader];
          if (from == to) continue;
          successors_[from].push_back(to);
          predecessors_[to].push_back(from);
        }
      }
      for (const auto* parts : {&drivers_[net], &readers_[net]}) {
        for (const std::uint32_t part : *parts) nets_of_[block_of_[part]].push_back(net);
      }
    }
    const auto unique = [](std::vector<std::uint32_t>& list) {
      std::sort(list.begin(), list.end());
      list.erase(std::unique(list.begin(), list.end()), list.end());
    };
    for (auto* lists : {&successors_, &predecessors_, &nets_of_}) {
      for (auto& list : *lists) unique(list);
    }
  }

  // Sinks to the back, sources to the front; else the block that gives most and takes least, or the first
  // written.
  std::vector<std::uint32_t> find_order(bool as_written) const {
    const std::size_t count = blocks_.size();
    std::vector<int> out(count), in(count);
    std::vector<bool> is_placed(count, false);
    for (std::size_t i = 0; i < count; ++i) {
      out[i] = static_cast<int>(successors_[i].size());
      in[i] = static_cast<int>(predecessors_[i].size());
    }
    std::vector<std::uint32_t> front, back;
    const auto place = [&](std::uint32_t block, std::vector<std::uint32_t>& where) {
      is_placed[block] = true;
      where.push_back(block);
      for (const auto next : successors_[block]) --in[next];
      for (const auto before : predecessors_[block]) --out[before];
    };
    while (front.size() + back.size() < count) {
      std::uint32_t source = none, sink = none, best = none;
      for (std::uint32_t i = 0; i < count && source == none; ++i) {
        if (is_placed[i]) continue;
        if (in[i] == 0) source = i;
        if (out[i] == 0) sink = i;
        if (best == none || (!as_written && out[i] - in[i] > out[best] - in[best])) best = i;
      }
      if (source != none) {
        place(source, front);
      } else if (sink != none) {
        place(sink, back);
      } else {
        place(best, front);
      }
    }
    front.insert(front.end(), back.rbegin(), back.rend());
    return front;
  }

  std::vector<std::uint32_t> ranks_of(const std::vector<std::uint32_t>& order) const {
    std::vector<std::uint32_t> ranks(order.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) ranks[order[i]] = i;
    return ranks;
  }

  std::size_t feedback_count(const std::vector<std::uint32_t>& ranks) const {
    std::size_t count = 0;
    for (std::size_t i = 0; i < successors_.size(); ++i) {
      for (const auto next : successors_[i]) count += ranks[next] < ranks[i] ? 1 : 0;
    }
    return count;
  }

  void order_blocks() {
    order_ = find_order(true);
    rank_ = ranks_of(order_);
    auto greedy = find_order(false);
    auto greedy_ranks = ranks_of(greedy);
    if (feedback_count(greedy_ranks) >= feedback_count(rank_)) return;
    order_ = std::move(greedy);
    rank_ = std::move(greedy_ranks);
  }

  void longest_paths() {
    column_.assign(blocks_.size(), 0);
    for (const auto block : order_) {
      if (form(block) == SheetPart::Form::input) continue;
      int column = 1;
      for (const auto before : predecessors_[block]) {
        if (rank_[before] < rank_[block]) column = std::max(column, column_[before] + 1);
      }
      column_[block] = column;
    }
    last_ = 1;
    for (std::uint32_t i = 0; i < blocks_.size(); ++i) {
      if (form(i) != SheetPart::Form::output) last_ = std::max(last_, column_[i] + 1);
    }
    for (std::uint32_t i = 0; i < blocks_.size(); ++i) {
      if (form(i) == SheetPart::Form::output) column_[i] = last_;
    }
  }

  // Columns that the nets of a block span together.
  int span_around(std::uint32_t block) const {
    int total = 0;
    for (const NetIndex net : nets_of_[block]) {
      int low = std::numeric_limits<int>::max(), high = 0;
      for (const auto part : drivers_[net]) {
        low = std::min(low, column_[block_of_[part]]);
        high = std::max(high, column_[block_of_[part]]);
      }
      for (const auto part : readers_[net]) {
        low = std::min(low, column_[block_of_[part]] - 1);
        high = std::max(high, column_[block_of_[part]] - 1);
      }
      total += high - low;
    }
    return total;
  }

  void compact() {
    for (int round = 0; round < compaction_rounds; ++round) {
      bool has_moved = false;
      for (auto at = order_.rbegin(); at != order_.rend(); ++at) {
        const auto block = *at;
        if (form(block) == SheetPart::Form::input || form(block) == SheetPart::Form::output) continue;
        int least = 1, most = last_ - 1;
        for (const auto before : predecessors_[block]) {
          if (rank_[before] < rank_[block]) least = std::max(least, column_[before] + 1);
        }
        for (const auto next : successors_[block]) {
          if (rank_[next] > rank_[block]) most = std::min(most, column_[next] - 1);
        }
        const int was = column_[block];
        int best = was, best_span = span_around(block);
        for (int column = least; column <= most; ++column) {
          column_[block] = column;
          const int span = span_around(block);
          if (span < best_span) {
            best = column;
            best_span = span;
          }
        }
        column_[block] = best;
        has_moved = has_moved || best != was;
      }
      if (!has_moved) break;
    }
  }

  Arrangement finish() {
    Arrangement result;
    result.blocks = std::move(blocks_);
    result.columns.resize(static_cast<std::size_t>(last_) + 1);
    for (std::uint32_t i = 0; i < result.blocks.size(); ++i) {
      result.columns[static_cast<std::size_t>(column_[i])].push_back(i);
    }
    std::vector<int> low(sheet_.nets.size(), std::numeric_limits<int>::max()), high(sheet_.nets.size(), -1);
    const auto meet = [&](const std::vector<Terminal>& terminals, int channel) {
      for (const Terminal& terminal : terminals) {
        low[terminal.net] = std::min(low[terminal.net], channel);
        high[terminal.net] = std::max(high[terminal.net], channel);
      }
    };
    for (std::uint32_t i = 0; i < result.blocks.size(); ++i) {
      meet(result.blocks[i].right, column_[i]);
      meet(result.blocks[i].left, column_[i] - 1);
    }
    for (NetIndex net = 0; net < sheet_.nets.size(); ++net) {
      for (int column = low[net]; column < high[net]; ++column) {
        result.columns[static_cast<std::size_t>(column) + 1].push_back(
            static_cast<std::uint32_t>(result.blocks.size()));
        result.blocks.push_back(BlockMaker::passage(net));
      }
    }
    result.at.resize(result.blocks.size());
    return result;
  }

  const BlockMaker& maker_;
  const Sheet& sheet_;
  const PinOrders& orders_;
  std::vector<std::vector<std::uint32_t>> drivers_, readers_;  // parts, by net
  std::vector<std::uint32_t> block_of_;                        // by part
  std::vector<Block> blocks_;
  std::vector<std::vector<std::uint32_t>> successors_, predecessors_, nets_of_;
  std::vector<std::uint32_t> order_, rank_;
  std::vector<int> column_;
  int last_ = 1;
};

}  // namespace

ChannelNets channel_nets(const Arrangement& arrangement, std::size_t channel) {
  struct Found {
    NetIndex net;
    ChannelEnd end;
  };
  std::vector<Found> found;
  for (const auto block : arrangement.columns[channel]) {
    for (const Terminal& terminal : arrangement.blocks[block].right)
      found.push_back({terminal.net, {block, true, terminal.y}});
  }
  if (channel + 1 < arrangement.columns.size()) {
    for (const auto block : arrangement.columns[channel + 1]) {
      for (const Terminal& terminal : arrangement.blocks[block].left) {
        found.push_back({terminal.net, {block, false, terminal.y}});
      }
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const Found& a, const Found& b) { return a.net < b.net; });
  ChannelNets result;
  for (const Found& one : found) {
    if (result.nets.empty() || result.nets.back() != one.net) {
      result.nets.push_back(one.net);
      result.ends.emplace_back();
    }
    result.ends.back().push_back(one.end);
  }
  return result;
}

Arrangement arrange_columns(const BlockMaker& maker, const PinOrders& orders) {
  return Columns(maker, orders).make();
}

Drawing lay_out(const Sheet& sheet, const BlockOptions& options) {
  const BlockMaker maker(sheet, options);
  PinOrders orders = written_orders(sheet);
  Arrangement arrangement = arrange_columns(maker, orders);
  reduce_crossings(arrangement, maker, orders);
  place_rows(arrangement);
  order_pins(arrangement, maker, orders);
  place_rows(arrangement);
  return route_wires(arrangement);
}

}  // namespace settle::draw
