// The state graph as a picture (SVG): stable states in a ring, and what follows from each input change.
#pragma once

#include <cstddef>
#include <string>

#include "settle/circuit.h"
#include "settle/state_space.h"

namespace settle {

/// The picture, or why there is none.
struct StateGraph {
  std::string svg;
  std::string error, hint;  ///< a sentence as in messages; empty when there is a picture
};

/// Draws the stable states of a space and its steps in which one input changes. More than `state_limit` states are
/// refused. The same space always gives the same bytes.
StateGraph draw_state_graph(const StateSpace& space, const Circuit& circuit, std::size_t state_limit = 40);

}  // namespace settle
