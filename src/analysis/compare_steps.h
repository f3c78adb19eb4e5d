// Internals of compare(): one function a method, all on matched pins.
#pragma once

#include "settle/compare.h"

namespace settle {

/// Are the gates behind the outputs the same, one to one, with equal delays?
bool same_gates(const Circuit& a, const Circuit& b, const PinMatch& match);

/// Both without loops: answers equal or different, or undecided when the solver gave up or an output can be z.
void compare_by_inputs(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result);

/// Looks for vectors that tell the two apart; leaves `result` undecided when there are none or none were found.
/// Gives true when the search was exhaustive up to the depth reached.
void search_difference(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result);

/// Refines the stable states of both sides together.
void compare_by_states(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result);

}  // namespace settle
