// Do two circuits behave the same?
#pragma once

#include <atomic>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/state_space.h"

namespace settle {

struct CompareOptions {
  /// Pins of A and B that belong together although their names differ.
  std::vector<std::pair<std::string, std::string>> pins;
  StateSpaceOptions space;                      ///< of the exploration of storage circuits; single changes only
  std::uint64_t search_nodes = 20'000;          ///< pairs of states that the search for a difference visits
  std::uint64_t walk_steps = 20'000;            ///< input changes of the walk that follows it
  std::uint64_t conflicts = 0;                  ///< of the SAT solver, 0: no limit
  const std::atomic<bool>* stop = nullptr;      ///< set from outside to give up
};

/// Bit of B for each bit of A.
struct PinMatch {
  std::vector<std::uint32_t> inputs, outputs;
};

/// Pairs the pins by name, or as the options say. Errors (a pin on one side only, other widths, unknown
/// names in the options) are reported without a place.
bool match_pins(const Circuit& a, const Circuit& b, const CompareOptions& options, PinMatch& match,
                Diagnostics& diagnostics);

struct Comparison {
  enum class Answer : std::uint8_t {
    equal,      ///< proved, see `proof`
    different,  ///< `vectors` and `output` show it, or `only_in` names a state of one side
    undecided,  ///< a limit stopped the proof, and no difference was found
  };
  enum class Proof : std::uint8_t {
    none,
    gates,       ///< the same gates, connected alike: equal for all delays
    inputs,      ///< no memory on either side; no input vector makes an output differ (SAT solver)
    states,      ///< every stable state of each side has an alike one on the other (see find_classes)
  };
  Answer answer = Answer::undecided;
  Proof proof = Proof::none;
  /// different: input vectors of A, one after another, each until everything is at rest, from power-up with
  /// everything unknown; after the last one `output` differs. The shortest there is when
  /// `is_shortest`.
  std::vector<std::vector<Value>> vectors;
  std::vector<std::vector<Value>> expected;     ///< output bits of A after each vector
  std::vector<std::vector<Value>> found;        ///< output bits of B after each vector, in the order of A
  std::uint32_t output = no_id;                 ///< output bit of A that differs at the end
  bool is_shortest = false;
  /// different without `vectors`: a stable state that the other side has none alike to. 0: of A, 1: of B.
  int only_in = -1;
  std::vector<Value> state_inputs, state_outputs;  ///< of that state, bits in the order of its own circuit
  std::string undecided_reason;                 ///< undecided: the limit
};

/// Behaviour here is what can be seen at rest: outputs in stable states, and where changes of one input
/// lead, with equal gate delays or, where these do not settle it, for any delays.
/// Methods, in this order: matching gates (linear); without loops a SAT solver on both circuits with
/// joined inputs; else a short search for a sequence of input vectors that tells them apart, then
/// partition refinement over the stable states of both, then, unless that proves them equal, a long
/// search (breadth first, then a walk that is cut short).
Comparison compare(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options);

/// A stimulus that passes with A and fails with B, if the comparison has vectors; else empty.
std::string telling_stimulus(const Comparison& comparison, const Circuit& a);

}  // namespace settle
