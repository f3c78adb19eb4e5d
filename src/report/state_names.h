// How states and steps are called in reports.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "settle/state_space.h"

namespace settle::report {

/// The nets that gates drive, each once, in gate order: gates on a shared wire count as that wire.
std::vector<NetId> node_nets(const Circuit& circuit);

std::vector<NetId> input_nets(const Circuit& circuit);
/// Nets of the output bits that are not inputs, each once.
std::vector<NetId> shown_outputs(const Circuit& circuit);

/// Names of these nets, whole pins as "lever[7:0]".
std::string short_names(const Circuit& circuit, std::span<const NetId> nets);

std::string bits_of(const StateSpace& space, const Circuit& circuit, std::uint32_t state, std::span<const NetId> nets);
/// "occupied=0 clear=1".
std::string assignments(const StateSpace& space, const Circuit& circuit, std::uint32_t state,
                        std::span<const NetId> nets);
/// "enter=1 leave=0" of the bits of `which`.
std::string input_assignments(const StateSpace& space, const Circuit& circuit, VectorIndex inputs, VectorIndex which);

/// Nets that tell these states apart: outputs where they do, else others as well; at most `most`, and at
/// least one output.
std::vector<NetId> telling_nets(const StateSpace& space, const Circuit& circuit, std::span<const std::uint32_t> states,
                                std::size_t most);

}  // namespace settle::report
