// Recognises what an observed net does, from behaviour alone.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/behaviour.h"
#include "settle/explain.h"

namespace settle {

/// An input that decides the output at once, whatever the others (but for stronger controls) do.
struct DirectControl {
  unsigned input = 0;
  bool active_high = true;
  bool sets = true;
};

using Core = CellCore;

/// An input in a role of its core, in the order given there.
struct CoreRole {
  unsigned input = 0;
  bool positive = true;
};

/// The edge of an input at which an output may change.
struct ClockEdge {
  unsigned input = 0;
  bool rises = true;
};

struct OutputRule {
  enum class Kind : std::uint8_t {
    unknown,        ///< no rule found
    combinational,  ///< a function of the inputs
    level,          ///< next value = level(inputs, stored), whichever input changed
    edge,           ///< sync(inputs, stored) at the edges of `clocks`, else level(inputs, stored)
    pulse,          ///< as edge, provided that `resting` inputs rest while the clock is at its active level
  };
  Kind kind = Kind::unknown;
  std::vector<ClockEdge> clocks;
  std::vector<unsigned> resting;    ///< inputs that must rest between the two edges of a pulse
  std::vector<unsigned> stored;     ///< observed nets that the functions read, after all inputs
  PartialFunction level;            ///< of all inputs and `stored`
  PartialFunction steps;            ///< the part of `level` and `sync` that comes from decided steps, not from rest
  PartialFunction sync;             ///< the same variables, at an edge
  std::vector<DirectControl> controls;  ///< strongest first
  Core core = Core::level_logic;
  std::vector<CoreRole> roles;
  bool has_data_lockout = false;    ///< pulse: what `resting` inputs do while the clock is active changes nothing
  bool has_gated_clock = false;     ///< of two clocks each acts only while the other is at its active level

  bool is_stored() const { return kind >= Kind::level; }
  bool is_clocked() const { return kind >= Kind::edge; }
  unsigned variables() const { return level.variables(); }
};

/// The simplest rule that agrees with all steps of the behaviour.
OutputRule find_rule(const Behaviour& behaviour, unsigned observed);

/// Finds controls, core and roles of a rule (called by find_rule).
void classify(const Behaviour& behaviour, unsigned observed, OutputRule& rule);

/// The function at an edge (`at_edge`) or apart from it, free where a direct control is active.
PartialFunction without_controls(const OutputRule& rule, bool at_edge);

/// Apart from its edges the net keeps its value, where that is known.
bool level_holds(const OutputRule& rule, unsigned observed);

/// True when `input` matters to the rule.
bool depends_on(const OutputRule& rule, unsigned input);

}  // namespace settle
