// What is true of the stable states for all input vectors, proved with a SAT solver.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

struct ProofOptions {
  std::uint64_t rounds = 1'000'000;         ///< questions to the solver at most
  std::uint64_t conflicts = 0;              ///< work per question at most, 0: no limit
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// Is there an input vector for which no state is stable?
struct UnstableInputs {
  enum class Answer : std::uint8_t {
    found,    ///< `inputs` is one, and the circuit surely oscillates
    open,     ///< `inputs` is one, but then a gate reads a wire that floats or is fought over: it may rest
    none,     ///< proved: every input vector has a stable state
    unknown,  ///< a limit stopped the search
  };
  Answer answer = Answer::unknown;
  std::vector<Value> inputs;  ///< one value per input bit
  /// Inputs that were free and suffice: no state is stable whatever the other free ones are.
  std::vector<NetId> decisive;
  std::uint64_t rounds = 0;  ///< questions asked
};

/// `inputs`: one value per input bit, x: free.
UnstableInputs find_unstable_inputs(const Circuit& circuit, std::span<const Value> inputs,
                                    const ProofOptions& options = {});

/// May a gate read a wire that floats or is fought over while the circuit rests? No proof of stable states
/// covers that. Counts as possible where the solver met a limit.
/// `inputs`: one value per input bit, x: free.
bool may_lack_level(const Circuit& circuit, std::span<const Value> inputs, const ProofOptions& options = {});

/// Can two states be stable for the same inputs? If not, the circuit stores nothing: its inputs alone
/// decide where it comes to rest.
struct MemoryProof {
  enum class Answer : std::uint8_t {
    no_loops,    ///< no loop of gates at all
    one_state,   ///< proved: at most one stable state for every input vector, in spite of loops
    two_states,  ///< `first` and `second` are both stable for `inputs`
    unknown,     ///< a limit stopped the search
  };
  Answer answer = Answer::unknown;
  std::vector<Value> inputs;         ///< one value per input bit
  std::vector<Value> first, second;  ///< one value per gate
  /// Output bits (numbered as Circuit::outputs()) that differ between two stable states of some input
  /// vector; complete unless `outputs_complete` is false. Shared wires that no gate reads are not looked at.
  std::vector<std::uint32_t> outputs;
  bool outputs_complete = true;

  /// Proved that nothing can be stored.
  bool is_free() const { return answer == Answer::no_loops || answer == Answer::one_state; }
};

/// `inputs`: one value per input bit, x: free.
MemoryProof prove_memory(const Circuit& circuit, std::span<const Value> inputs,
                         const ProofOptions& options = {});

}  // namespace settle
