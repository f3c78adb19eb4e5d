// The event kernel.
//
// Idea: work goes in two lists. At an instant t the changes due (unit delays: the list `pending_`;
// explicit delays: the timing wheel) and the inputs set are applied: each changed net adds one
// number to the word of each gate that reads it (kernel_word.h) and puts the gate into `queue_`,
// once, if it now has to go elsewhere. Then wires follow, each once, and last every queued gate is evaluated
// once, from its word alone; what is not where the gate was heading is listed or scheduled. No heap, no
// allocation and no look at other inputs in the loop with unit delays, and for a net with up to two
// readers no branch either.
//
// Long lines: most readers of a net with many of them are held by another input (a latch that is not
// selected: its gate has a 0) and need not be told. So each pin on a long line has a bit, and where a
// visit finds the gate held whatever this pin is, the pin goes to sleep: it counts as if it did not
// hold the gate (1 for and, 0 for or), and the line passes it by from now on. As long as the word says
// that the gate is held, that is true, and so is its value; when it is not any more, evaluation first
// wakes the sleeping pins, which takes their values from the nets. Whoever is missing in the queue was
// right at its last visit. (The same thought as the watched literals of Moskewicz and others, DAC 2001.)
//
// Invariants between instants:
//   - the counts in words_[g] are those of the values of g's fan-in, sleeping pins as said above;
//   - a gate with sleeping pins has the flag has_sleepers, and its word says that it is held;
//   - the drive in words_[g] is the youngest pending change of g, or its present output;
//   - spare words behind the last gate are marked as queued, so that they never are, and count like gates;
//   - `queue_` is empty, except between power_up() and the first run_instant();
//   - unit delays: `pending_` holds exactly the gates heading for another drive, due at now_ + 1.
//
// Cost: constant for each fan-out of a changed net (on long lines: for each that is awake, and a step
// for 64) and each evaluation (three-state gates and pulls read their inputs); waking reads the inputs
// and finds the gate by bisection in its line, and is paid for by the visit that put it to sleep; a
// wire costs its number of drivers when one of them changes.
#include "settle/kernel.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cstring>

#include "sim/fan_out_lines.h"
#include "sim/kernel_word.h"
#include "sim/mix.h"
#include "sim/timing_wheel.h"

namespace settle {

namespace {

// `pending_` holds gate * 8 + drive in 32 bits.
constexpr std::uint32_t most_unit_gates = 1u << 29;

// How many steps before its use a place in memory is asked for, and from how many gates on: below
// that all words lie in a near cache.
constexpr std::size_t prefetch_distance = 16;
constexpr std::size_t large_circuit = 1u << 15;

// Gates with more inputs do not sleep, so that waking stays cheap.
constexpr std::size_t most_sleeping_pins = 8;

inline void prefetch([[maybe_unused]] const void* place) {
#if defined(__GNUC__)
  __builtin_prefetch(place);
#endif
}

// Cheap, since it is asked for at each change: equal hashes are looked at closely anyway.
constexpr std::uint64_t net_key(NetId net) {
  const std::uint64_t key = (std::uint64_t{net} + 1) * 0x9e3779b97f4a7c15u;
  return key ^ (key >> 32);
}

std::uint64_t pick(const DelayTriple& delay, DelayChoice choice) {
  switch (choice) {
    case DelayChoice::unit: return 1;
    case DelayChoice::min: return delay.min;
    case DelayChoice::typ: return delay.typ;
    case DelayChoice::max: return delay.max;
  }
  return 1;
}

// As many slots as the longest delay, so that the heap stays empty, within reason.
std::uint32_t slots_for(const Circuit& circuit, DelayChoice choice) {
  std::uint64_t longest = 1;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const GateDelay& delay = circuit.delay(gate);
    longest = std::max({longest, pick(delay.rise, choice), pick(delay.fall, choice)});
  }
  return static_cast<std::uint32_t>(std::min<std::uint64_t>(longest, TimingWheel::most_slots - 1) + 1);
}

}  // namespace

Kernel::IdList& Kernel::IdList::operator=(const IdList& other) {
  if (this == &other) return *this;
  if (room_ != other.room_ || !items_) {
    items_ = std::make_unique_for_overwrite<std::uint32_t[]>(other.room_ + 1);
    room_ = other.room_;
  }
  size_ = other.size_;
  if (size_ != 0) std::memcpy(items_.get(), other.items_.get(), size_ * sizeof(std::uint32_t));
  return *this;
}

// Applies changes one after the other. What the loop needs at each of them is kept here, in registers.
class Kernel::Wave {
 public:
  explicit Wave(Kernel& kernel)
      : kernel_(kernel),
        lines_(kernel.fan_out_->lines()),
        values_(kernel.values_.data()),
        words_(kernel.words_.data()),
        queue_(kernel.queue_.data()),
        changed_(kernel.changed_.data()),
        queued_(kernel.queue_.size()),
        changes_(kernel.changed_.size()),
        gates_(kernel.circuit_->gate_count()),
        hash_(kernel.value_hash_) {}
  Wave(const Wave&) = delete;
  Wave& operator=(const Wave&) = delete;
  ~Wave() {
    kernel_.queue_.resize(queued_);
    kernel_.changed_.resize(changes_);
    kernel_.value_hash_ = hash_;
    kernel_.evaluations_ += evaluations_;
  }

  void change(NetId net, Value value) { change_inline(net, value); }

  // In its place in the loop that matters, so that nothing of this goes through memory.
  [[gnu::always_inline]] void change_inline(NetId net, Value value) {
    const FanOutLines::Line line = lines_[net];
    const Value old = values_[net];
    values_[net] = value;
    hash_ += (static_cast<unsigned>(value) - static_cast<std::uint64_t>(old)) * net_key(net);
    changed_[changes_++] = net;
    const std::uint64_t delta = word::delta[static_cast<unsigned>(old)][static_cast<unsigned>(value)];
    if (line.second & FanOutLines::several) {
      queued_ = visit_many(kernel_, net, value, delta, queued_);
    } else {
      queued_ = visit(line.first, delta, words_, queue_, queued_);
      queued_ = visit(line.second, delta, words_, queue_, queued_);
      evaluations_ += std::uint64_t{line.first < gates_};
      evaluations_ += std::uint64_t{line.second < gates_};
    }
  }

  void add_to_hash(std::uint64_t difference) { hash_ += difference; }

  /// For a change that is to come: asks for its line, for its readers.
  void prefetch_line(NetId net) const {
    prefetch(&lines_[net]);
    prefetch(&values_[net]);
  }
  void prefetch_readers(NetId net) const { prefetch(&words_[lines_[net].first]); }

 private:
  // Counts the change; queues the gate if it now has to go elsewhere.
  [[gnu::always_inline]] static std::size_t visit(GateId gate, std::uint64_t delta, std::uint64_t* words,
                                                  std::uint32_t* queue, std::size_t queued) {
    const std::uint64_t w = words[gate] + delta;
    const std::uint64_t moves = (w & word::unclear) == 0 ? word::moves_shortly(w) : moves_unclearly(w);
    words[gate] = w & word::kept[moves];
    queue[queued] = gate;
    return queued + moves;
  }

  [[gnu::noinline]] static std::uint64_t moves_unclearly(std::uint64_t w) {
    return std::uint64_t{(w & word::stance) != word::queued && word::differs(w)};
  }

  // Static, like all that is called out of the loop, so that the state of the loop stays in registers.
  [[gnu::noinline]] static std::size_t visit_many(Kernel& kernel, NetId net, Value value, std::uint64_t delta,
                                                  std::size_t queued);
  static std::size_t visit_awake(std::span<const GateId> readers, std::uint64_t delta, Value value,
                                 std::uint64_t* awake, std::uint64_t* words, std::uint32_t* queue,
                                 std::size_t queued);

  Kernel& kernel_;
  const FanOutLines::Line* lines_;
  Value* values_;
  std::uint64_t* words_;
  std::uint32_t* queue_;
  std::uint32_t* changed_;
  std::size_t queued_, changes_;
  std::uint32_t gates_;
  std::uint64_t hash_, evaluations_ = 0;
};

// More than two readers.
std::size_t Kernel::Wave::visit_many(Kernel& kernel, NetId net, Value value, std::uint64_t delta,
                                     std::size_t queued) {
  const FanOutLines& lines = *kernel.fan_out_;
  const auto readers = kernel.circuit_->fan_out(net);
  std::uint64_t* const words = kernel.words_.data();
  std::uint32_t* const queue = kernel.queue_.data();
  kernel.evaluations_ += readers.size();
  if (lines.is_long(net)) {
    return visit_awake(readers, delta, value, kernel.awake_.data() + lines.first_word(net), words, queue, queued);
  }
  for (const GateId reader : readers) queued = visit(reader, delta, words, queue, queued);
  return queued;
}

// A long line: visits the pins that are awake, and sends to sleep those whose gate another input holds.
std::size_t Kernel::Wave::visit_awake(std::span<const GateId> readers, std::uint64_t delta, Value value,
                                      std::uint64_t* awake, std::uint64_t* words, std::uint32_t* queue,
                                      std::size_t queued) {
  // What the word of an and and of an or has more while the pin sleeps.
  const std::uint64_t rise[2] = {word::idle_weight(0) - word::weight(value),
                                 word::idle_weight(word::is_or) - word::weight(value)};
  const GateId* const end = readers.data() + readers.size();
  for (const GateId* first = readers.data(); first < end; first += 64, ++awake) {
    std::uint64_t left = *awake;
    while (left != 0) {
      const auto bit = static_cast<std::uint64_t>(std::countr_zero(left));
      left &= left - 1;
      const GateId gate = first[bit];
      std::uint64_t w = words[gate] + delta;
      const bool clear = (w & word::unclear) == 0;
      if ((w & word::may_sleep) != 0) {
        const std::uint64_t asleep = w + rise[(w / word::is_or) & 1];
        if (clear ? asleep >= word::one_high : word::is_held(asleep)) {
          if (w & word::patience) {
            w -= word::one_visit;
          } else {
            w = asleep | word::has_sleepers;
            *awake ^= std::uint64_t{1} << bit;
          }
        }
      }
      const std::uint64_t moves = clear ? word::moves_shortly(w) : moves_unclearly(w);
      words[gate] = w & word::kept[moves];
      queue[queued] = gate;
      queued += moves;
    }
  }
  return queued;
}

// Counts the values of the sleeping pins again.
std::uint64_t Kernel::wake(GateId gate, std::uint64_t w) {
  for (const NetId net : circuit_->fan_in(gate)) {
    if (!fan_out_->is_long(net)) continue;
    const auto readers = circuit_->fan_out(net);
    const std::size_t at = fan_out_->place_of(gate, net, readers);
    std::uint64_t& bits = awake_[fan_out_->first_word(net) + at / 64];
    const std::uint64_t bit = std::uint64_t{1} << at % 64;
    if (bits & bit) continue;
    bits |= bit;
    w += word::weight(values_[net]) - word::idle_weight(w);
  }
  // For a while the gate stays awake: else a line and a gate that change in turn would do little but wake it.
  return (w & ~word::has_sleepers) | 5 * word::one_visit;
}

Kernel::Kernel(const Circuit& circuit, KernelOptions options)
    : circuit_(&circuit),
      fan_out_(std::make_shared<FanOutLines>(circuit)),
      options_(options),
      values_(circuit.net_count(), Value::x),
      words_(circuit.gate_count() + std::size_t{FanOutLines::spare_gates}),
      drives_(circuit.resolved_count() == 0 ? 0 : circuit.gate_count(), Drive::x),
      awake_(fan_out_->word_count()),
      input_values_(circuit.input_count(), Value::x),
      input_waits_(circuit.input_count(), 0),
      wire_waits_(circuit.resolved_count(), 0),
      waiting_inputs_(circuit.input_count()),
      waiting_wires_(circuit.resolved_count()),
      queue_(circuit.gate_count()),
      changed_(circuit.net_count()),
      changed_drivers_(drives_.size()) {
  const bool explicit_delays = circuit.has_delays() && options_.delays != DelayChoice::unit;
  if (!explicit_delays) options_.delays = DelayChoice::unit;
  if (explicit_delays || circuit.gate_count() >= most_unit_gates) {
    const auto slots = options_.wheel_slots != 0 ? options_.wheel_slots : slots_for(circuit, options_.delays);
    wheel_ = std::make_unique<TimingWheel>(circuit.gate_count(), slots);
  } else {
    pending_ = IdList(circuit.gate_count());
  }
  power_up({}, {});
}

Kernel::Kernel(const Kernel& other)
    : circuit_(other.circuit_),
      fan_out_(other.fan_out_),
      options_(other.options_),
      now_(other.now_),
      values_(other.values_),
      words_(other.words_),
      drives_(other.drives_),
      awake_(other.awake_),
      input_values_(other.input_values_),
      input_waits_(other.input_waits_),
      wire_waits_(other.wire_waits_),
      waiting_inputs_(other.waiting_inputs_),
      waiting_wires_(other.waiting_wires_),
      queue_(other.queue_),
      pending_(other.pending_),
      changed_(other.changed_),
      changed_drivers_(other.changed_drivers_),
      wheel_(other.wheel_ ? std::make_unique<TimingWheel>(*other.wheel_) : nullptr),
      value_hash_(other.value_hash_),
      evaluations_(other.evaluations_),
      net_changes_(other.net_changes_) {}

Kernel::Kernel(Kernel&&) noexcept = default;
Kernel& Kernel::operator=(Kernel&&) noexcept = default;
Kernel::~Kernel() = default;

Kernel& Kernel::operator=(const Kernel& other) {
  if (this != &other) *this = Kernel(other);
  return *this;
}

void Kernel::power_up(std::span<const Value> inputs, std::span<const Value> gates) {
  const Circuit& c = *circuit_;
  now_ = 0;
  value_hash_ = 0;
  for (NetId net = 0; net < c.input_count(); ++net) {
    values_[net] = input_values_[net] = net < inputs.size() ? inputs[net] : Value::x;
    input_waits_[net] = 0;
  }
  for (GateId gate = 0; gate < c.gate_count(); ++gate) {
    const Value value = gate < gates.size() ? gates[gate] : Value::x;
    values_[c.output_of(gate)] = value;
    if (!drives_.empty()) drives_[gate] = static_cast<Drive>(value);
  }
  std::fill(values_.begin() + c.first_undriven(), values_.begin() + c.const_zero(), Value::z);
  values_[c.const_zero()] = Value::zero;
  values_[c.const_one()] = Value::one;

  // Wires next: all of them, before any gate counts its inputs.
  waiting_inputs_.clear();
  waiting_wires_.clear();
  queue_.clear();
  std::fill(words_.begin(), words_.end(), word::queued);
  std::fill(awake_.begin(), awake_.end(), std::uint64_t{0});  // for the wires; no count stands yet
  for (std::uint32_t i = 0; i < c.resolved_count(); ++i) {
    values_[c.first_resolved() + i] = Value::x;
    wire_waits_[i] = 1;
    waiting_wires_.push(i);
  }
  changed_.clear();
  changed_drivers_.clear();
  resolve_wires();
  for (NetId net = 0; net < c.net_count(); ++net) {
    value_hash_ += static_cast<unsigned>(values_[net]) * net_key(net);
  }
  changed_.clear();
  net_changes_ = 0;
  queue_.clear();
  if (wheel_) wheel_->clear();
  pending_.clear();
  for (GateId gate = 0; gate < c.gate_count(); ++gate) {
    start_word(gate);
    queue_.push(gate);
  }
  // Spare words count like gates, so that nothing is unclear in them where all values are known.
  std::fill(words_.begin() + c.gate_count(), words_.end(), std::uint64_t{0});
  fan_out_->for_each_spare([&](NetId net, GateId spare) { words_[spare] += word::weight(values_[net]); });
  for (NetId net = 0; net < c.first_undriven(); ++net) {
    if (!fan_out_->is_long(net)) continue;
    const std::size_t readers = c.fan_out(net).size(), first = fan_out_->first_word(net);
    for (std::size_t i = 0; i < readers; ++i) awake_[first + i / 64] |= std::uint64_t{1} << i % 64;
  }
  evaluations_ = c.gate_count();
}

void Kernel::start_word(GateId gate) {
  const auto fan_in = circuit_->fan_in(gate);
  std::uint64_t w = word::start(circuit_->kind(gate), static_cast<std::uint32_t>(fan_in.size()));
  for (const NetId net : fan_in) w += word::weight(values_[net]);
  if (circuit_->shared_wire(gate) != no_id) w |= word::on_wire;
  if (fan_in.size() > 1 && fan_in.size() <= most_sleeping_pins && !(w & (word::is_xor | word::is_slow))) {
    // A net read twice would have two bits.
    bool distinct = true;
    for (std::size_t i = 1; i < fan_in.size(); ++i)
      distinct = distinct && std::find(fan_in.begin(), fan_in.begin() + static_cast<std::ptrdiff_t>(i),
                                       fan_in[i]) == fan_in.begin() + static_cast<std::ptrdiff_t>(i);
    if (distinct) w |= word::may_sleep;
  }
  words_[gate] = word::heading_for(w, static_cast<std::uint64_t>(present(gate))) & ~word::stance;
}

void Kernel::set_input(NetId input, Value value) {
  assert(circuit_->is_input(input));
  if (!circuit_->is_input(input)) return;
  input_values_[input] = value;
  if (input_waits_[input]) return;
  input_waits_[input] = 1;
  waiting_inputs_.push(input);
}

std::optional<Time> Kernel::next_time() const {
  if (queue_.size() != 0) return now_;
  if (wheel_) return wheel_->is_empty() ? std::nullopt : std::optional<Time>(wheel_->next());
  if (pending_.size() == 0 || now_ == end_of_time) return std::nullopt;
  return now_ + 1;
}

void Kernel::run_instant(Time t) {
  assert(t >= now_ && (!next_time() || t <= *next_time()));
  changed_.clear();
  changed_drivers_.clear();
  const bool goes_on = t != now_;
  now_ = t;
  if (wheel_) {
    wheel_->advance(t);
    due_.clear();
    if (goes_on) wheel_->take_due(due_);
    Wave wave(*this);
    for (const PendingChange& change : due_) apply_gate(wave, change.gate, change.drive);
  } else if (goes_on) {
    apply_pending();
  }
  apply_waiting_inputs();
  resolve_wires();
  // A second call for the same instant: gates with changes listed for now + 1 are judged anew.
  if (!goes_on && pending_.size() != 0) drop_pending(0);
  evaluate_queue();
  net_changes_ += changed_.size();
}

// Unit delays: all that is due. In a large circuit the readers of a gate may be far away.
void Kernel::apply_pending() {
  const auto items = pending_.items();
  const std::uint32_t inputs = circuit_->input_count();
  Wave wave(*this);
  if (!drives_.empty()) {
    for (const std::uint32_t item : items) apply_gate(wave, item >> 3, static_cast<Drive>(item & 7));
  } else {
    const auto line_of = [&](std::size_t i) { return inputs + (items[i] >> 3); };
    const std::size_t prefetched = words_.size() >= large_circuit && items.size() > prefetch_distance
                                       ? items.size() - prefetch_distance
                                       : 0;
    std::size_t i = 0;
    for (; i < prefetched; ++i) {
      wave.prefetch_line(line_of(i + prefetch_distance));
      wave.prefetch_readers(line_of(i + prefetch_distance / 2));
      wave.change(line_of(i), static_cast<Value>(items[i] & 7));
    }
    for (; i < items.size(); ++i) wave.change_inline(line_of(i), static_cast<Value>(items[i] & 7));
  }
  pending_.clear();
}

void Kernel::apply_waiting_inputs() {
  if (waiting_inputs_.size() == 0) return;
  Wave wave(*this);
  for (const NetId input : waiting_inputs_.items()) {
    input_waits_[input] = 0;
    if (values_[input] != input_values_[input]) wave.change(input, input_values_[input]);
  }
  waiting_inputs_.clear();
}

inline void Kernel::apply_gate(Wave& wave, GateId gate, Drive drive) {
  if (!drives_.empty()) {
    const NetId wire = circuit_->shared_wire(gate);
    if (wire != no_id) {
      // The private net of the gate: nobody reads it, the wire follows in resolve_wires().
      const NetId net = circuit_->output_of(gate);
      wave.add_to_hash((static_cast<unsigned>(drive) - static_cast<std::uint64_t>(drives_[gate])) *
                       net_key(net));
      drives_[gate] = drive;
      values_[net] = to_value(drive);
      changed_drivers_.push(gate);
      const auto index = wire - circuit_->first_resolved();
      waiting_wires_.push(index, !wire_waits_[index]);
      wire_waits_[index] = 1;
      return;
    }
  }
  wave.change(circuit_->input_count() + gate, static_cast<Value>(drive));
}

void Kernel::resolve_wires() {
  if (waiting_wires_.size() == 0) return;
  Wave wave(*this);
  for (const std::uint32_t index : waiting_wires_.items()) {
    wire_waits_[index] = 0;
    const NetId wire = circuit_->first_resolved() + index;
    strong_.clear();
    pull_.clear();
    for (const NetId driver : circuit_->drivers_of(wire)) {
      const GateId gate = circuit_->gate_of(driver);
      (is_pull(circuit_->kind(gate)) ? pull_ : strong_).push_back(drives_[gate]);
    }
    const Value value = resolve(strong_, pull_);
    if (value != values_[wire]) wave.change(wire, value);
  }
  waiting_wires_.clear();
}

Drive Kernel::present(GateId gate) const {
  if (circuit_->shared_wire(gate) != no_id) return drives_[gate];
  return static_cast<Drive>(values_[circuit_->output_of(gate)]);
}

Drive Kernel::evaluate_slowly(GateId gate) {
  scratch_.clear();
  for (const NetId net : circuit_->fan_in(gate)) scratch_.push_back(values_[net]);
  const Drive drive = drive_of(circuit_->kind(gate), scratch_);
  return words_[gate] & word::on_wire ? drive : static_cast<Drive>(to_value(drive));
}

namespace {

// The lowest bits of a word that can be told from its counts.
[[gnu::noinline]] std::uint64_t evaluate_unknown(std::uint64_t w) {
  return word::heading_for(w, word::evaluate(w)) & word::lowest;
}

}  // namespace

void Kernel::evaluate_queue() {
  if (wheel_) {
    for (const GateId gate : queue_.items()) {
      const std::uint64_t before = word::drive_in(words_[gate]);
      const std::uint64_t drive = evaluate_unclear(gate);
      if (drive != before) schedule(gate, static_cast<Drive>(drive));
    }
  } else {
    std::uint64_t* const words = words_.data();
    std::uint32_t* const pending = pending_.data();
    std::size_t count = pending_.size();
    for (const GateId gate : queue_.items()) {
      const std::uint64_t w = words[gate];
      std::uint64_t after = 0;
      if ((w & (word::unclear | word::has_sleepers)) == 0) [[likely]] {
        after = word::evaluated[word::outcome(w)];
        words[gate] = (w & ~word::lowest) | after;
      } else if ((w & (word::is_slow | word::has_sleepers)) == 0) {
        after = evaluate_unknown(w);
        words[gate] = (w & ~word::lowest) | after;
      } else {
        after = evaluate_unclear(gate) << word::heading_shift;
      }
      pending[count] = gate << 3 | static_cast<std::uint32_t>(after >> word::heading_shift);
      count += ((after ^ w) & word::heading) != 0;
    }
    pending_.resize(count);
  }
  queue_.clear();
}

// The drive for which the gate is to head; its word then says so.
std::uint64_t Kernel::evaluate_unclear(GateId gate) {
  std::uint64_t w = words_[gate];
  if ((w & word::has_sleepers) && !word::is_held(w)) w = wake(gate, w);
  const std::uint64_t drive =
      w & word::is_slow ? static_cast<std::uint64_t>(evaluate_slowly(gate)) : word::evaluate(w);
  words_[gate] = word::heading_for(w, drive);
  return drive;
}

// Called when a gate heads for another drive than before.
void Kernel::schedule(GateId gate, Drive drive) {
  const GateDelay& given = circuit_->delay(gate);
  const std::uint64_t rise = pick(given.rise, options_.delays), fall = pick(given.fall, options_.delays);
  const std::uint64_t delay = std::max<std::uint64_t>(1, drive == Drive::one    ? rise
                                                         : drive == Drive::zero ? fall
                                                                                : std::min(rise, fall));
  const Time due = delay < end_of_time - now_ ? now_ + delay : end_of_time;
  // Inertial: another value replaces the pending one. Transport: only what would come later or at
  // the same time is overtaken.
  const PendingChange* youngest = wheel_->youngest(gate);
  while (youngest && (!options_.transport || youngest->due >= due)) {
    wheel_->remove_youngest(gate);
    youngest = wheel_->youngest(gate);
  }
  const Drive before = youngest ? youngest->drive : present(gate);
  if (drive != before && due > now_) wheel_->add(gate, drive, due);
}

// Unit delays: takes gates that are queued or have one of these flags off the pending list.
void Kernel::drop_pending(std::uint64_t flags) {
  std::size_t kept = 0;
  std::uint32_t* const items = pending_.data();
  for (std::size_t i = 0; i < pending_.size(); ++i) {
    const GateId gate = items[i] >> 3;
    const std::uint64_t w = words_[gate], stance = w & word::stance;
    if (stance == word::queued || (w & flags) != 0) {
      const std::uint64_t back = word::heading_for(w, static_cast<std::uint64_t>(present(gate)));
      words_[gate] = stance == word::queued ? back & ~word::stance : back;
    } else {
      items[kept++] = items[i];
    }
  }
  pending_.resize(kept);
}

void Kernel::make_unknown(std::span<const GateId> gates) {
  changed_.clear();
  changed_drivers_.clear();
  // First all of them head for x, so that those that read each other are judged against that.
  for (const GateId gate : gates) {
    if (wheel_) {
      while (wheel_->youngest(gate)) wheel_->remove_youngest(gate);
    }
    // It heads for what it is not: from now on each change of an input must find it.
    if (words_[gate] & word::has_sleepers) words_[gate] = wake(gate, words_[gate]);
    words_[gate] = word::heading_for(words_[gate], static_cast<std::uint64_t>(Drive::x)) | word::marked;
  }
  {
    Wave wave(*this);
    for (const GateId gate : gates) {
      if (present(gate) != Drive::x) apply_gate(wave, gate, Drive::x);
    }
  }
  resolve_wires();
  if (!wheel_) drop_pending(word::marked);
  for (const GateId gate : gates) words_[gate] &= ~word::marked;
  evaluate_queue();
  net_changes_ += changed_.size();
}

}  // namespace settle
