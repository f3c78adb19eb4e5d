// The kernel of single faults.
//
// Idea: one circuit for 64 faults, a bit of each word a fault. A changed gate or net is evaluated a second
// time for the whole word, with its own inputs or drivers, and the lane's bit is taken from that; so a change
// costs as much as a gate, and anything that rewires or replaces gates is the same kind of change.
// Only gates with a changed input are evaluated. A lane that still moves after a time in which any circuit of
// this size should rest is driven upwards in the order of information: a gate that would change becomes x.
// Each gate does so once at most, so this ends (algorithm A of Eichelberger, 1965, begun in mid-run).
// Most such lanes go round in a few ticks: a state that comes back is noticed, and the rounds are skipped.
// Cost: a tick is linear in the gates with changed inputs and in the changes on them.
#include <algorithm>
#include <bit>

#include "settle/fault.h"

namespace settle {
namespace {

constexpr LaneWord all_z{0, 0};
constexpr LaneWord all_x{~std::uint64_t{0}, ~std::uint64_t{0}};

LaneWord pick(std::uint64_t mask, LaneWord a, LaneWord b) {  // a where the mask has a bit
  return {(a.may_be_one & mask) | (b.may_be_one & ~mask), (a.may_be_zero & mask) | (b.may_be_zero & ~mask)};
}

std::uint64_t is_driven(LaneWord w) { return w.may_be_one | w.may_be_zero; }

std::uint64_t difference(LaneWord a, LaneWord b) {
  return (a.may_be_one ^ b.may_be_one) | (a.may_be_zero ^ b.may_be_zero);
}

}  // namespace

/// The changes of all lanes, in lists by what they stand on.
struct FaultKernel::Patches {
  struct OnGate {
    std::uint64_t lane;
    const Fault::GateChange* change;
    std::uint32_t next;
  };
  struct OnNet {
    std::uint64_t lane;
    const Fault::NetChange* change;
    std::uint32_t next;
  };
  struct Link {
    std::uint32_t to, next;
  };
  std::vector<OnGate> on_gates;
  std::vector<OnNet> on_nets;
  std::vector<Link> links;
  std::vector<std::uint32_t> gate_head, net_head;       // into the lists above, or no_id
  std::vector<std::uint32_t> reader_head, driver_head;  // gates that read a net besides; nets of a driver

  void link(std::uint32_t& head, std::uint32_t to) {
    links.push_back({to, head});
    head = static_cast<std::uint32_t>(links.size()) - 1;
  }
};

FaultKernel::FaultKernel(const FaultNetwork& network, std::span<const Fault* const> faults) : network_(&network) {
  auto patches = std::make_shared<Patches>();
  Patches& p = *patches;
  p.gate_head.assign(network.gate_count(), no_id);
  p.net_head.assign(network.net_count(), no_id);
  p.reader_head.assign(network.net_count(), no_id);
  p.driver_head.assign(network.driver_count(), no_id);
  for (std::size_t i = 0; i < faults.size(); ++i) {
    const std::uint64_t lane = std::uint64_t{1} << i;
    for (const auto& change : faults[i]->gates) {
      p.on_gates.push_back({lane, &change, p.gate_head[change.gate]});
      p.gate_head[change.gate] = static_cast<std::uint32_t>(p.on_gates.size()) - 1;
      for (const auto net : change.nets) p.link(p.reader_head[net], change.gate);
    }
    for (const auto& change : faults[i]->nets) {
      p.on_nets.push_back({lane, &change, p.net_head[change.net]});
      p.net_head[change.net] = static_cast<std::uint32_t>(p.on_nets.size()) - 1;
      for (const auto driver : change.drivers) p.link(p.driver_head[driver], change.net);
    }
  }
  patches_ = std::move(patches);
  drive_.resize(network.driver_count());
  seen_.resize(network.net_count());
  is_queued_.assign(network.gate_count(), 0);
  is_stale_.assign(network.net_count(), 0);
  has_moved_.assign(network.net_count() + network.driver_count(), 0);
  power_up();
}

void FaultKernel::power_up(std::span<const Value> gates) {
  std::fill(drive_.begin(), drive_.end(), all_x);
  drive_[FaultNetwork::drive_zero] = LaneWord::of(Value::zero);
  drive_[FaultNetwork::drive_one] = LaneWord::of(Value::one);
  for (std::uint32_t gate = 0; gate < gates.size(); ++gate) {
    drive_[network_->gate_driver(gate)] = gates[gate] == Value::z ? all_z : LaneWord::of(gates[gate]);
  }
  for (std::uint32_t net = 0; net < network_->net_count(); ++net) update_net(net);
  for (std::uint32_t gate = 0; gate < network_->gate_count(); ++gate) queue_gate(gate);
  if (network_->input_count() == 0) run_to_rest();
}

/// Bits are gathered a kernel at a time: neighbours mostly come from the same one.
void FaultKernel::take_over(std::span<const LaneOf> lanes) {
  for (auto* words : {&drive_, &seen_}) std::fill(words->begin(), words->end(), all_z);
  const auto gather = [](std::vector<LaneWord>& words, const std::vector<LaneWord>& from, unsigned from_lane, unsigned lane) {
    for (std::size_t i = 0; i < words.size(); ++i) {
      words[i].may_be_one |= (from[i].may_be_one >> from_lane & 1) << lane;
      words[i].may_be_zero |= (from[i].may_be_zero >> from_lane & 1) << lane;
    }
  };
  for (unsigned lane = 0; lane < lanes.size(); ++lane) {
    gather(drive_, lanes[lane].kernel->drive_, lanes[lane].lane, lane);
    gather(seen_, lanes[lane].kernel->seen_, lanes[lane].lane, lane);
  }
  for (const auto gate : queue_) is_queued_[gate] = 0;
  queue_.clear();
}

void FaultKernel::apply(std::span<const Value> inputs) {
  for (const SignalRef signal : moved_) has_moved_[signal.is_driver ? network_->net_count() + signal.index : signal.index] = 0;
  moved_.clear();
  for (std::uint32_t i = 0; i < network_->input_count(); ++i) {
    drive(network_->input_driver(i), inputs[i] == Value::z ? all_z : LaneWord::of(inputs[i]));
  }
  update_stale_nets();
  run_to_rest();
}

void FaultKernel::note_move(SignalRef signal) {
  std::uint8_t& has_moved = has_moved_[signal.is_driver ? network_->net_count() + signal.index : signal.index];
  if (has_moved != 0) return;
  has_moved = 1;
  moved_.push_back(signal);
}

/// A new value of a driver reaches its net, and the nets that faults put it on.
void FaultKernel::drive(std::uint32_t driver, LaneWord word) {
  if (difference(drive_[driver], word) == 0) return;
  drive_[driver] = word;
  note_move({driver, true});
  const Patches& p = *patches_;
  mark_stale(network_->driven_net(driver));
  for (std::uint32_t link = p.driver_head[driver]; link != no_id; link = p.links[link].next) mark_stale(p.links[link].to);
}

void FaultKernel::mark_stale(std::uint32_t net) {
  if (is_stale_[net] != 0) return;
  is_stale_[net] = 1;
  stale_.push_back(net);
}

void FaultKernel::update_stale_nets() {
  for (const auto net : stale_) {
    is_stale_[net] = 0;
    update_net(net);
  }
  stale_.clear();
}

void FaultKernel::update_net(std::uint32_t net) {
  const Patches& p = *patches_;
  const auto drivers = network_->drivers(net);
  LaneWord word = drivers.size() == 1 ? drive_[drivers[0]] : resolve(drivers, Fault::Clash::unknown);
  for (std::uint32_t i = p.net_head[net]; i != no_id; i = p.on_nets[i].next) {
    const Fault::NetChange& change = *p.on_nets[i].change;
    LaneWord other = resolve(change.drivers, change.clash);
    if (change.inverts) other = {other.may_be_zero, other.may_be_one};
    word = pick(p.on_nets[i].lane, other, word);
  }
  if (difference(seen_[net], word) == 0) return;
  seen_[net] = word;
  note_move({net, false});
  for (const auto gate : network_->readers(net)) queue_gate(gate);
  for (std::uint32_t link = p.reader_head[net]; link != no_id; link = p.links[link].next) queue_gate(p.links[link].to);
}

void FaultKernel::queue_gate(std::uint32_t gate) {
  if (is_queued_[gate] != 0) return;
  is_queued_[gate] = 1;
  queue_.push_back(gate);
}

LaneWord FaultKernel::resolve(std::span<const std::uint32_t> drivers, Fault::Clash clash) const {
  if (drivers.size() == 1) return drive_[drivers[0]];
  LaneWord strong = all_z, weak = all_z;
  std::uint64_t all_may_one = ~std::uint64_t{0}, all_may_zero = ~std::uint64_t{0};
  const bool has_pulls = network_->has_pulls();
  if (!has_pulls && clash == Fault::Clash::unknown) {
    for (const auto driver : drivers) strong = {strong.may_be_one | drive_[driver].may_be_one, strong.may_be_zero | drive_[driver].may_be_zero};
    return strong;
  }
  const std::uint32_t first_gate = network_->gate_driver(0);
  for (const auto driver : drivers) {
    const LaneWord w = drive_[driver];
    const bool pulls = has_pulls && driver >= first_gate && is_pull(network_->gate(driver - first_gate).kind);
    LaneWord& sum = pulls ? weak : strong;
    sum = {sum.may_be_one | w.may_be_one, sum.may_be_zero | w.may_be_zero};
    if (pulls) continue;
    const std::uint64_t z = ~is_driven(w);
    all_may_one &= w.may_be_one | z;
    all_may_zero &= w.may_be_zero | z;
  }
  // The low level wins: 1 only where all may be 1.
  if (clash == Fault::Clash::low_wins) strong.may_be_one &= all_may_one;
  if (clash == Fault::Clash::high_wins) strong.may_be_zero &= all_may_zero;
  return pick(is_driven(strong), strong, weak);
}

LaneWord FaultKernel::evaluate(GateKind kind, bool floats_high, std::span<const std::uint32_t> nets) const {
  const auto read = [&](std::uint32_t net) -> LaneWord {
    const LaneWord w = seen_[net];
    const std::uint64_t z = ~is_driven(w);
    return {w.may_be_one | z, floats_high ? w.may_be_zero : w.may_be_zero | z};
  };
  const auto inverse = [](LaneWord w) -> LaneWord { return {w.may_be_zero, w.may_be_one}; };
  switch (kind) {
    case GateKind::pullup: return LaneWord::of(Value::one);
    case GateKind::pulldown: return LaneWord::of(Value::zero);
    case GateKind::buf: return read(nets[0]);
    case GateKind::not_: return inverse(read(nets[0]));
    case GateKind::bufif0: case GateKind::bufif1: case GateKind::notif0: case GateKind::notif1: {
      LaneWord data = read(nets[0]), control = read(nets[1]);
      if (kind == GateKind::notif0 || kind == GateKind::notif1) data = inverse(data);
      if (kind == GateKind::bufif0 || kind == GateKind::notif0) control = inverse(control);
      const std::uint64_t on = control.may_be_one & ~control.may_be_zero;
      const std::uint64_t doubt = control.may_be_one & control.may_be_zero;
      return {(data.may_be_one & on) | doubt, (data.may_be_zero & on) | doubt};
    }
    default: break;
  }
  LaneWord word = read(nets[0]);
  for (std::size_t i = 1; i < nets.size(); ++i) {
    const LaneWord w = read(nets[i]);
    switch (kind) {
      case GateKind::and_: case GateKind::nand:
        word = {word.may_be_one & w.may_be_one, word.may_be_zero | w.may_be_zero};
        break;
      case GateKind::or_: case GateKind::nor:
        word = {word.may_be_one | w.may_be_one, word.may_be_zero & w.may_be_zero};
        break;
      default:
        word = {(word.may_be_one & w.may_be_zero) | (word.may_be_zero & w.may_be_one),
                (word.may_be_one & w.may_be_one) | (word.may_be_zero & w.may_be_zero)};
    }
  }
  const bool inverts = kind == GateKind::nand || kind == GateKind::nor || kind == GateKind::xnor;
  return inverts ? inverse(word) : word;
}

void FaultKernel::run_to_rest() {
  const Patches& p = *patches_;
  const std::uint64_t patience = std::uint64_t{network_->gate_count()} + 16;  // ticks
  std::vector<std::uint32_t> now;
  std::vector<LaneWord> next, earlier;  // earlier: what drove at the tick that was the last power of two
  for (std::uint64_t tick = 0; !queue_.empty(); ++tick) {
    now.swap(queue_);
    queue_.clear();
    next.clear();
    for (const auto gate : now) {
      is_queued_[gate] = 0;
      const FaultNetwork::Gate& g = network_->gate(gate);
      LaneWord word = evaluate(g.kind, g.floats_high, g.nets);
      for (std::uint32_t i = p.gate_head[gate]; i != no_id; i = p.on_gates[i].next) {
        word = pick(p.on_gates[i].lane, evaluate(p.on_gates[i].change->kind, g.floats_high, p.on_gates[i].change->nets), word);
      }
      if (tick > patience) {
        const LaneWord before = drive_[network_->gate_driver(gate)];
        word = pick(difference(before, word), all_x, word);
      }
      next.push_back(word);
    }
    evaluations_ += now.size();
    for (std::size_t i = 0; i < now.size(); ++i) drive(network_->gate_driver(now[i]), next[i]);
    update_stale_nets();
    // What goes round need not be followed: the same state again, with the same inputs, goes the same way.
    if (tick < 8 || tick >= patience || queue_.empty()) continue;
    if (std::has_single_bit(tick)) {
      earlier = drive_;
    } else if (drive_ == earlier) {
      const std::uint64_t period = tick - std::bit_floor(tick);
      tick += (patience - tick) / period * period;
    }
  }
}

}  // namespace settle
