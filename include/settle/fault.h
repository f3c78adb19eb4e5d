// Single faults: changed circuits side by side, 64 in a word.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/lanes.h"

namespace settle {

/// A circuit as its faults see it: nets, the drivers on each, and gates that read nets. Net numbers are
/// those of the Circuit; further nets and gates may follow. Drivers are the inputs, then the gates, then
/// the three constants.
class FaultNetwork {
 public:
  struct Gate {
    GateKind kind = GateKind::buf;
    bool floats_high = false;          ///< open inputs read as 1
    std::vector<std::uint32_t> nets;   ///< inputs
  };
  explicit FaultNetwork(const Circuit& circuit);

  /// A further gate, with a net of its own as its output; gives the number of the gate.
  std::uint32_t add_gate(GateKind kind, std::vector<std::uint32_t> nets);
  void set_floats_high(std::uint32_t gate) { gates_[gate].floats_high = true; }
  void set_gate(std::uint32_t gate, GateKind kind, std::vector<std::uint32_t> nets) {
    gates_[gate].kind = kind;
    gates_[gate].nets = std::move(nets);
  }

  std::uint32_t input_count() const { return input_count_; }
  std::uint32_t gate_count() const { return static_cast<std::uint32_t>(gates_.size()); }
  std::uint32_t net_count() const { return static_cast<std::uint32_t>(drivers_.size()); }
  const Gate& gate(std::uint32_t gate) const { return gates_[gate]; }
  std::span<const std::uint32_t> drivers(std::uint32_t net) const { return drivers_[net]; }
  std::uint32_t net_of(std::uint32_t gate) const { return net_of_[gate]; }  ///< that the gate drives

  // Special nets: the constants, one that nothing drives, and one that is always unknown.
  std::uint32_t zero() const { return zero_; }
  std::uint32_t one() const { return zero_ + 1; }
  std::uint32_t floating() const { return floating_; }
  std::uint32_t unknown() const { return floating_ + 1; }
  bool is_rail(std::uint32_t net) const { return net == zero() || net == one(); }

  // Drivers. Constants do not move when gates are added, so they come first of all.
  static constexpr std::uint32_t drive_zero = 0, drive_one = 1, drive_unknown = 2;
  std::uint32_t input_driver(std::uint32_t input) const { return 3 + input; }
  std::uint32_t gate_driver(std::uint32_t gate) const { return 3 + input_count_ + gate; }
  std::uint32_t driver_count() const { return 3 + input_count_ + gate_count(); }
  /// The net that a driver is on.
  std::uint32_t driven_net(std::uint32_t driver) const {
    if (driver == drive_unknown) return unknown();
    if (driver < 3) return zero() + driver;
    return driver < gate_driver(0) ? driver - 3 : net_of_[driver - gate_driver(0)];
  }

  /// To be called when all gates are there, before readers() and any kernel.
  void finish();
  bool has_pulls() const { return has_pulls_; }  ///< any pull gate
  /// Gates that read a net, one entry a pin.
  std::span<const std::uint32_t> readers(std::uint32_t net) const {
    return {readers_.data() + reader_start_[net], readers_.data() + reader_start_[net + 1]};
  }

 private:
  std::uint32_t input_count_ = 0, zero_ = 0, floating_ = 0;
  std::vector<Gate> gates_;
  std::vector<std::uint32_t> net_of_;
  std::vector<std::vector<std::uint32_t>> drivers_;  // by net
  std::vector<std::uint32_t> reader_start_, readers_;
  bool has_pulls_ = false;
};

/// What a place shows: a net, or what drives a pin that has lost its net.
struct SignalRef {
  std::uint32_t index = 0;
  bool is_driver = false;
  bool operator==(const SignalRef&) const = default;
};

/// A fault: gates that are others or read other nets, and nets with other drivers.
struct Fault {
  enum class Kind : std::uint8_t {
    none,            ///< the circuit as intended
    missing_wire,    ///< a pin without its wire
    wrong_pin,       ///< a wire in another pin than meant
    exchanged_wires, ///< two pins with each other's wires
    stuck,           ///< an output, or an input of the circuit, that stays at 0 or 1
    shorted,         ///< two nets joined
    wrong_part,      ///< another gate, or a chip with other gates, in its place
    no_power,        ///< a chip without supply
    inverted_input,  ///< a button the wrong way round
    exchanged_inputs,///< two buttons in each other's place
  };
  /// What two drivers that disagree give.
  enum class Clash : std::uint8_t { unknown, low_wins, high_wins };
  struct GateChange {
    std::uint32_t gate;
    GateKind kind;
    std::vector<std::uint32_t> nets;
  };
  struct NetChange {
    std::uint32_t net;
    std::vector<std::uint32_t> drivers;
    Clash clash = Clash::unknown;
    bool inverts = false;
  };
  /// A place that shows another signal than in the intended circuit.
  struct Seen {
    std::uint32_t place;  ///< index into FaultModel::places
    SignalRef signal;
  };
  Kind kind = Kind::none;
  std::vector<GateChange> gates;
  std::vector<NetChange> nets;
  std::vector<Seen> seen;
  std::string what;    ///< "no wire at pin 5 of U1 (net 'enter')"
  std::string assumed; ///< of levels that no model can know: "the open input reads as 0"; may be empty
  std::string remedy;  ///< what to do
  std::vector<std::string> pins, names;  ///< places on chips; gates and nets
};
/// "missing-wire", ...
std::string_view name_of(Fault::Kind kind);

/// A place where a value can be looked at.
struct FaultPlace {
  std::string name;          ///< "seen", "pin 5 of U1", "input 2 of hold_a"
  std::uint32_t net = 0;     ///< of the intended circuit
  bool is_output = false;    ///< an output of the circuit: nothing need be probed
  bool is_pin = false;       ///< one pin rather than a whole net
};

struct FaultModel {
  FaultNetwork network;
  std::vector<Fault> faults;      ///< the first is none
  std::vector<FaultPlace> places;
  bool complete = true;           ///< false: a limit left faults out
  explicit FaultModel(const Circuit& circuit) : network(circuit), faults(1) { faults[0].what = "no fault"; }
  /// To be called when all is there; leaves out the faults beyond the limit.
  void close(std::uint64_t most_faults) {
    if (faults.size() > most_faults) {
      faults.resize(most_faults);
      complete = false;
    }
    network.finish();
  }
};

struct FaultLimits {
  std::uint64_t faults = 200'000;
  std::uint32_t short_nets = 40;  ///< nets above which only neighbours are taken for shorted
  std::uint64_t memory_bytes = std::uint64_t{1} << 30;  ///< for the states of all of them
  /// The first limit, or fewer for a circuit whose states would need more memory.
  std::uint64_t faults_of(const Circuit& circuit) const;
};

/// The faults of a circuit of which no chips are known: open inputs, outputs and inputs that stay, nets
/// shorted, other gate kinds, buttons inverted or exchanged.
FaultModel gate_faults(const Circuit& circuit, const FaultLimits& limits);

/// Faults of the inputs, for both kinds of models.
void add_input_faults(const Circuit& circuit, FaultModel& model);
/// Pull-up and pull-down resistors that are not there, for both kinds of models.
void add_pull_faults(const Circuit& circuit, FaultModel& model);
/// The nets that have names, and which of them are outputs.
void add_net_places(const Circuit& circuit, FaultModel& model);
/// Nets a and b joined, for each way in which their drivers may clash; a supply wins.
void add_short(std::uint32_t a, std::uint32_t b, const std::string& what, std::vector<std::string> names, FaultModel& model);
/// The ways in which two drivers of these two nets may clash: one where they cannot.
std::vector<Fault::Clash> clashes_of(const FaultNetwork& network, std::span<const std::uint32_t> drivers);
std::string_view text_of(Fault::Clash clash);  ///< "where they disagree, the level is unknown"

/// Up to 64 faults of one model, a lane each, in unit delays. Values are 0, 1, x and z (neither bit set).
/// Someone at a bench is slower than any gate, so a step is an input vector and rest. What does not
/// come to rest in some time becomes unknown, with all that follows from it.
class FaultKernel {
 public:
  /// REQUIRES: at most 64 faults; a finished network; network and faults outlive the kernel and its copies.
  FaultKernel(const FaultNetwork& network, std::span<const Fault* const> faults);

  /// Gates unknown, except those whose value is given (by gate; x: unknown). Inputs are unknown; without any
  /// the circuit comes to rest.
  void power_up(std::span<const Value> gates = {});
  /// A value for each input; runs until all lanes are at rest.
  void apply(std::span<const Value> inputs);

  /// A lane of another kernel of the same network, with the same fault.
  struct LaneOf {
    const FaultKernel* kernel;
    unsigned lane;
  };
  /// The present state of those lanes, one after another, in place of its own. REQUIRES: one for each of the 64
  /// lanes; all those kernels are at rest, so inputs have been applied or there are none.
  void take_over(std::span<const LaneOf> lanes);

  /// Signals that the last apply() moved in some lane, each once, back and forth included.
  std::span<const SignalRef> moved() const { return moved_; }

  /// What a signal is in all lanes; both bits of a lane clear: z.
  LaneWord word(SignalRef signal) const {
    return signal.is_driver ? drive_[signal.index] : seen_[signal.index];
  }
  std::uint64_t evaluations() const { return evaluations_; }

 private:
  struct Patches;
  LaneWord evaluate(GateKind kind, bool floats_high, std::span<const std::uint32_t> nets) const;
  LaneWord resolve(std::span<const std::uint32_t> drivers, Fault::Clash clash) const;
  void update_net(std::uint32_t net);
  void update_stale_nets();
  void mark_stale(std::uint32_t net);
  void queue_gate(std::uint32_t gate);
  void note_move(SignalRef signal);
  void drive(std::uint32_t driver, LaneWord word);
  void run_to_rest();

  const FaultNetwork* network_;
  std::shared_ptr<const Patches> patches_;
  std::vector<LaneWord> drive_, seen_;   // by driver, by net
  std::vector<std::uint32_t> queue_;     // gates to evaluate
  std::vector<std::uint32_t> stale_;     // nets with a driver that has changed
  std::vector<std::uint8_t> is_queued_, is_stale_;
  std::vector<SignalRef> moved_;
  std::vector<std::uint8_t> has_moved_;  // nets, then drivers
  std::uint64_t evaluations_ = 0;
};

}  // namespace settle
