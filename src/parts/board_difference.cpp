// Which wires of a board are not as the intended cell has them.
//
// A pairing of gates decides which net of the board every net of the cell should be: inputs by name, a gate's
// output by its pair. It costs one for each input pin on another net than wanted (inputs of symmetric gates
// in any order), for each output of the cell on another net, and the inputs of every gate without a pair.
// Two stages: gates are paired by names and by what they read, round by round, as long as that lowers the
// cost, with exchanges of pairs; then branch and bound looks for fewer, gate by gate in the order in which
// they are reached from the outputs, a bound being the costs that are certain already. It is exact unless it
// meets its limit. Cost: the first stage gates^2 a round, the second exponential at worst.
#include "settle/board_difference.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace settle {
namespace {

/// What a gate does once tied and doubled inputs are taken for what they are.
struct Shape {
  GateKind kind;
  std::vector<NetId> nets;  // sorted for symmetric gates
};

Shape shape_of(const Circuit& circuit, GateId gate) {
  Shape shape{circuit.kind(gate), {circuit.fan_in(gate).begin(), circuit.fan_in(gate).end()}};
  const auto single = [&](GateKind kind) {
    shape.kind = kind;
    shape.nets.resize(1);
  };
  if (!is_push_pull(shape.kind)) return shape;
  std::sort(shape.nets.begin(), shape.nets.end());
  switch (shape.kind) {
    case GateKind::and_: case GateKind::nand: case GateKind::or_: case GateKind::nor: {
      const bool is_and = shape.kind == GateKind::and_ || shape.kind == GateKind::nand;
      const NetId neutral = is_and ? circuit.const_one() : circuit.const_zero();
      shape.nets.erase(std::unique(shape.nets.begin(), shape.nets.end()), shape.nets.end());
      if (shape.nets.size() > 1) std::erase(shape.nets, neutral);
      if (shape.nets.size() == 1) single(shape.kind == GateKind::nand || shape.kind == GateKind::nor ? GateKind::not_ : GateKind::buf);
      break;
    }
    case GateKind::xor_: case GateKind::xnor:
      if (shape.nets.size() > 1 && shape.nets.back() >= circuit.const_zero()) {
        const bool flips = (shape.nets.back() == circuit.const_one()) != (shape.kind == GateKind::xnor);
        shape.nets.pop_back();
        if (shape.nets.size() == 1) single(flips ? GateKind::not_ : GateKind::buf);
        else shape.kind = flips ? GateKind::xnor : GateKind::xor_;
      }
      break;
    default: break;
  }
  return shape;
}

class BoardMatcher {
 public:
  BoardMatcher(const Circuit& board, const Board& chips, const Circuit& intended, const PinMatch& match, const BoardMatchLimits& limits)
      : board_(board), chips_(chips), intended_(intended), match_(match), limits_(limits) {
    for (GateId g = 0; g < board_.gate_count(); ++g) board_shape_.push_back(shape_of(board_, g));
    for (GateId g = 0; g < intended_.gate_count(); ++g) shape_.push_back(shape_of(intended_, g));
    pair_.assign(intended_.gate_count(), no_id);
    is_taken_.assign(board_.gate_count(), false);
    input_of_.assign(intended_.input_count(), no_id);
    for (NetId a = 0; a < match_.inputs.size(); ++a) input_of_[match_.inputs[a]] = a;
    make_order();
  }

  BoardDifference run() {
    first_pairing();
    best_ = pair_;
    best_cost_ = cost(pair_);
    pair_.assign(pair_.size(), no_id);
    std::fill(is_taken_.begin(), is_taken_.end(), false);
    const bool is_exact = best_cost_ == 0 || search();
    return report(is_exact);
  }

 private:
  /// Net of the board that stands for a net of the cell; no_id: none does yet.
  NetId wanted(NetId net, const std::vector<GateId>& pair) const {
    if (intended_.is_input(net)) return input_of_[net];
    if (net == intended_.const_zero()) return board_.const_zero();
    if (net == intended_.const_one()) return board_.const_one();
    if (intended_.is_gate_output(net)) {
      const GateId own = pair[intended_.gate_of(net)];
      return own == no_id ? no_id : board_.visible_net(own);
    }
    if (intended_.is_resolved(net)) {
      const GateId own = pair[intended_.gate_of(intended_.drivers_of(net)[0])];
      return own == no_id ? no_id : board_.visible_net(own);
    }
    return no_id;
  }

  /// Input pins of gate g that are on other nets than wanted, if its pair is `own`; nets that have no pair
  /// yet count only when `all` are paired.
  std::uint32_t pin_cost(GateId g, GateId own, const std::vector<GateId>& pair, bool all) const {
    const Shape &want = shape_[g], &have = board_shape_[own];
    std::vector<NetId> left = have.nets;
    std::uint32_t wrong = 0, open = 0;
    for (std::size_t i = 0; i < want.nets.size(); ++i) {
      const NetId net = wanted(want.nets[i], pair);
      if (net == no_id && !all) {
        ++open;
        continue;
      }
      if (!is_push_pull(want.kind)) {  // in order
        wrong += i >= have.nets.size() || have.nets[i] != net;
        continue;
      }
      const auto at = std::find(left.begin(), left.end(), net);
      if (at == left.end()) ++wrong;
      else left.erase(at);
    }
    if (is_push_pull(want.kind) && left.size() > wrong + open) wrong = static_cast<std::uint32_t>(left.size()) - open;
    return wrong;
  }

  bool may_pair(GateId g, GateId own) const { return shape_[g].kind == board_shape_[own].kind; }

  std::uint32_t output_cost(const std::vector<GateId>& pair, bool all) const {
    std::uint32_t wrong = 0;
    for (std::uint32_t bit = 0; bit < match_.outputs.size(); ++bit) {
      const NetId net = wanted(intended_.outputs()[match_.outputs[bit]], pair);
      if (net == no_id && !all) continue;
      wrong += net != board_.outputs()[bit];
    }
    return wrong;
  }

  std::uint32_t price_of_gap(GateId g) const { return static_cast<std::uint32_t>(shape_[g].nets.size()) + 1; }

  std::uint32_t cost(const std::vector<GateId>& pair) const {
    std::uint32_t sum = output_cost(pair, true);
    for (GateId g = 0; g < pair.size(); ++g) sum += pair[g] == no_id ? price_of_gap(g) : pin_cost(g, pair[g], pair, true);
    return sum;
  }

  /// Gates of the cell from its outputs backwards, breadth first.
  void make_order() {
    std::vector<bool> is_known(intended_.gate_count(), false);
    const auto reach = [&](NetId net) {
      if (!intended_.is_gate_output(net) || is_known[intended_.gate_of(net)]) return;
      is_known[intended_.gate_of(net)] = true;
      order_.push_back(intended_.gate_of(net));
    };
    for (const NetId net : intended_.outputs()) reach(net);
    for (std::size_t i = 0; i < order_.size(); ++i) {
      for (const NetId net : intended_.fan_in(order_[i])) reach(net);
    }
    for (GateId g = 0; g < intended_.gate_count(); ++g) reach(intended_.output_of(g));
  }

  static std::string last_name(const std::string& path) { return path.substr(path.rfind('.') + 1); }

  /// By outputs and names, then by cost, in rounds of single moves and exchanges.
  void first_pairing() {
    std::map<std::string, GateId> by_net;
    for (GateId own = 0; own < board_.gate_count(); ++own) by_net.emplace(last_name(board_.net_name(board_.visible_net(own))), own);
    for (const GateId g : order_) {
      const auto at = by_net.find(last_name(intended_.net_name(intended_.visible_net(g))));
      if (at == by_net.end() || is_taken_[at->second] || !may_pair(g, at->second)) continue;
      pair_[g] = at->second;
      is_taken_[at->second] = true;
    }
    for (const GateId g : order_) {
      if (pair_[g] != no_id) continue;
      std::uint32_t least = no_id;
      GateId choice = no_id;
      for (GateId own = 0; own < board_.gate_count(); ++own) {
        if (is_taken_[own] || !may_pair(g, own)) continue;
        const std::uint32_t now = pin_cost(g, own, pair_, false);
        if (now < least) {
          least = now;
          choice = own;
        }
      }
      pair_[g] = choice;
      if (choice != no_id) is_taken_[choice] = true;
    }
    if (order_.size() > 2000) return;  // rounds cost gates squared, and a look at every pin for each
    std::uint32_t now = cost(pair_);
    for (bool moved = true; moved && now != 0 && order_.size() <= 64;) {
      moved = false;
      for (std::size_t i = 0; i < order_.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
          const GateId g = order_[i], h = order_[j];
          if (shape_[g].kind != shape_[h].kind) continue;
          std::swap(pair_[g], pair_[h]);
          const std::uint32_t then = cost(pair_);
          if (then < now) {
            now = then;
            moved = true;
          } else {
            std::swap(pair_[g], pair_[h]);
          }
        }
      }
    }
  }

  /// Costs that no later choice takes away.
  std::uint32_t certain_cost(std::size_t depth) const {
    std::uint32_t sum = output_cost(pair_, false);
    for (std::size_t i = 0; i < depth; ++i) {
      const GateId g = order_[i];
      sum += pair_[g] == no_id ? price_of_gap(g) : pin_cost(g, pair_[g], pair_, false);
    }
    return sum;
  }

  /// False when the limit was met.
  bool search() {
    if (order_.size() > 200) return false;
    std::vector<std::uint32_t> next(order_.size() + 1, 0);  // candidate to try at each depth
    std::size_t depth = 0;
    std::uint64_t nodes = 0;
    const std::uint32_t count = board_.gate_count();
    for (;;) {
      if (depth == order_.size()) {
        const std::uint32_t now = cost(pair_);
        if (now < best_cost_) {
          best_cost_ = now;
          best_ = pair_;
        }
        if (depth == 0) return true;
        --depth;
      }
      const GateId g = order_[depth];
      if (pair_[g] != no_id) is_taken_[pair_[g]] = false;
      pair_[g] = no_id;
      bool goes_on = false;
      while (next[depth] <= count && !goes_on) {
        const std::uint32_t own = next[depth]++;
        if (own < count && (is_taken_[own] || !may_pair(g, own))) continue;
        pair_[g] = own < count ? own : no_id;  // last of all: none
        if (++nodes > limits_.nodes) return false;
        if (certain_cost(depth + 1) >= best_cost_) {
          pair_[g] = no_id;
          continue;
        }
        if (own < count) is_taken_[own] = true;
        goes_on = true;
      }
      if (goes_on) {
        next[++depth] = 0;
        continue;
      }
      if (depth == 0) return true;
      --depth;
    }
  }

  // ---- The report ----

  std::string net_text(NetId net) const {
    if (net == no_id) return "nothing";
    if (net == board_.const_zero()) return "ground";
    if (net == board_.const_one()) return "supply";
    if (board_.is_undriven(net)) return "nothing";
    if (!is_named(board_, net)) return output_pin_of(board_.gate_of(net));
    return "'" + board_.net_name(net) + "'";
  }

  /// The pins of a gate's inputs on a net.
  std::string pin_of(GateId own, NetId net) const {
    for (const BoardChip& chip : chips_.chips) {
      for (std::size_t p = 0; p < chip.pins.size(); ++p) {
        const BoardPin& pin = chip.pins[p];
        if (pin.role == BoardPin::Role::input && chip.gates[pin.gate] == own && pin.net == net) return pin_text(chip, p + 1);
      }
    }
    return "an input of " + board_.gate_name(own);
  }
  std::string output_pin_of(GateId own) const {
    for (const BoardChip& chip : chips_.chips) {
      for (std::size_t p = 0; p < chip.pins.size(); ++p) {
        const BoardPin& pin = chip.pins[p];
        if (pin.role == BoardPin::Role::output && chip.gates[pin.gate] == own) return pin_text(chip, p + 1);
      }
    }
    return "the output of " + board_.gate_name(own);
  }

  BoardDifference report(bool is_exact) const {
    BoardDifference result;
    result.is_least = is_exact;
    for (const GateId g : order_) {
      const GateId own = best_[g];
      const std::string name = intended_.gate_name(g);
      if (own == no_id) {
        result.pins.push_back({"", "", "", name,
                               fmt::format("no '{}' gate of the board stands for {} ('{}')", name_of(intended_.kind(g)), name,
                                           intended_.net_name(intended_.visible_net(g)))});
        continue;
      }
      ++result.paired;
      std::vector<NetId> extra = board_shape_[own].nets, missing;
      for (const NetId net : shape_[g].nets) {
        const NetId want = wanted(net, best_);
        const auto at = want == no_id ? extra.end() : std::find(extra.begin(), extra.end(), want);
        if (at == extra.end()) missing.push_back(want);
        else extra.erase(at);
      }
      for (std::size_t i = 0; i < std::max(extra.size(), missing.size()); ++i) {
        PinDifference d;
        d.intended = name;
        d.has = i < extra.size() ? net_text(extra[i]) : std::string();
        d.wants = i < missing.size() && missing[i] != no_id ? net_text(missing[i]) : std::string();
        d.pin = i < extra.size() ? pin_of(own, extra[i]) : "an input of " + board_.gate_name(own);
        if (i >= extra.size()) {
          d.sentence = fmt::format("{} of the cell also reads {}, which no input of {} does", name, d.wants, board_.gate_name(own));
        } else if (d.wants.empty()) {
          d.sentence = fmt::format("{} is on {}, which {} of the cell does not read", d.pin, d.has, name);
        } else {
          d.sentence = fmt::format("{} is on {}, but {} of the cell wants {} there", d.pin, d.has, name, d.wants);
        }
        result.pins.push_back(std::move(d));
      }
    }
    for (std::uint32_t bit = 0; bit < match_.outputs.size(); ++bit) {
      const NetId want = wanted(intended_.outputs()[match_.outputs[bit]], best_);
      if (want == board_.outputs()[bit] || want == no_id) continue;
      PinDifference d;
      d.has = net_text(board_.outputs()[bit]);
      d.wants = net_text(want);
      d.pin = "output '" + board_.output_bit_name(bit) + "'";
      if (board_.is_gate_output(board_.outputs()[bit])) d.has = output_pin_of(board_.gate_of(board_.outputs()[bit]));
      if (board_.is_gate_output(want)) d.wants = output_pin_of(board_.gate_of(want));
      d.sentence = fmt::format("{} comes from {}, but should come from {}", d.pin, d.has, d.wants);
      result.pins.push_back(std::move(d));
    }
    return result;
  }

  const Circuit& board_;
  const Board& chips_;
  const Circuit& intended_;
  const PinMatch& match_;
  const BoardMatchLimits& limits_;
  std::vector<Shape> board_shape_, shape_;
  std::vector<NetId> input_of_;        // by input of the cell
  std::vector<GateId> pair_, best_;    // by gate of the cell
  std::vector<bool> is_taken_;         // by gate of the board
  std::vector<GateId> order_;
  std::uint32_t best_cost_ = 0;
};

}  // namespace

BoardDifference board_difference(const Circuit& board, const Board& chips, const Circuit& intended, const PinMatch& match,
                                 const BoardMatchLimits& limits) {
  return BoardMatcher(board, chips, intended, match, limits).run();
}

}  // namespace settle
