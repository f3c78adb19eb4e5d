// What a small circuit does, free of its structure: a machine on classes of alike stable states.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/minimise.h"
#include "settle/state_space.h"

namespace settle {

/// States are classes of alike stable states (same inputs); steps change one input. The successor is
/// the outcome with equal delays, or undecided where equal delays do not settle the step.
struct Behaviour {
  struct State {
    VectorIndex x = 0;          ///< inputs, the first most significant
    std::uint32_t y = 0;        ///< observed nets, the first most significant
    std::uint32_t stable = 0;   ///< one of the stable states of the class
  };
  unsigned inputs = 0, observed = 0;
  std::vector<State> states;              ///< by inputs
  std::vector<std::uint32_t> next;        ///< [state * inputs + input], no_state: undecided
  std::vector<VectorIndex> never_stable;
  std::uint32_t states_held = 0;
  std::uint64_t unproved = 0;  ///< steps known for equal delays only, since a limit stopped the analysis
  bool is_usable = false;   ///< the successors of all single changes are known, every observed net 0 or 1, few enough nets

  VectorIndex input_bit(unsigned i) const { return VectorIndex{1} << (inputs - 1 - i); }
  bool input_at(VectorIndex x, unsigned i) const { return (x & input_bit(i)) != 0; }
  bool observed_at(std::uint32_t y, unsigned o) const { return (y >> (observed - 1 - o) & 1u) != 0; }
  std::uint32_t next_of(std::uint32_t state, unsigned input) const { return next[state * inputs + input]; }
};

inline constexpr unsigned most_behaviour_variables = 16;  ///< inputs and observed nets

/// Where a limit kept a step from being judged, its outcome with equal delays is simulated.
/// With these nets as outputs (usually those of the circuit). Alike states that differ in them are
/// kept apart. Not usable once `stop` is set.
Behaviour behaviour_of(const Circuit& circuit, const StateSpace& space, std::span<const NetId> observed,
                       const std::atomic<bool>* stop = nullptr);

/// A function known for some vectors only.
class PartialFunction {
 public:
  PartialFunction() = default;
  explicit PartialFunction(unsigned variables)
      : variables_(variables), on_(function_words(variables), 0), off_(function_words(variables), 0) {}

  unsigned variables() const { return variables_; }
  /// False when the vector already has the other value.
  bool add(std::uint32_t vector, bool value);
  bool is_known(std::uint32_t vector) const { return has(on_, vector) || has(off_, vector); }
  bool is_on(std::uint32_t vector) const { return has(on_, vector); }
  bool is_off(std::uint32_t vector) const { return has(off_, vector); }
  std::uint32_t size() const { return std::uint32_t{1} << variables_; }
  bool bit_of(std::uint32_t vector, unsigned variable) const {
    return (vector >> (variables_ - 1 - variable) & 1u) != 0;
  }
  /// No pair of known vectors that differ in `variable` only has different values.
  bool can_do_without(unsigned variable) const;
  /// Spreads every known value to the vector that differs in `variable` only.
  void forget(unsigned variable);
  /// The function of the variables `kept`, in that order, at the places where the others have the bits of
  /// `fixed`; places with different values of variables that are neither kept nor in `fixed_mask` are
  /// merged: `conflict` says that they disagree.
  PartialFunction restricted(const std::vector<unsigned>& kept, std::uint32_t fixed_mask, std::uint32_t fixed,
                             bool& conflict) const;
  std::uint32_t mask_of(unsigned variable) const { return std::uint32_t{1} << (variables_ - 1 - variable); }
  /// Minimal sum of products; unknown vectors are free.
  std::vector<Cube> minimal() const;
  /// The same of the complement.
  std::vector<Cube> minimal_of_complement() const;

 private:
  static bool has(const FunctionBits& bits, std::uint32_t vector) { return (bits[vector >> 6] >> (vector & 63) & 1u) != 0; }
  static void put(FunctionBits& bits, std::uint32_t vector) { bits[vector >> 6] |= std::uint64_t{1} << (vector & 63); }
  unsigned variables_ = 0;
  FunctionBits on_, off_;
};

}  // namespace settle
