// The any-delay search beside a general model checker, on a Muller pipeline.
#pragma once

#include <cstdint>
#include <string>

namespace settle::bench {

/// Netlist text of a pipeline of C-elements (D. E. Muller and W. S. Bartky, "A Theory of Asynchronous
/// Circuits", 1959; from memory), each from three ANDs and an OR, with an inverter to the stage behind.
/// Its ends are tied to themselves, so that waves run through for ever: a cell without inputs.
/// 5 * stages + 1 gates. With unequal delays inside the C-elements it can lose its way, which makes its
/// states many; that is what it is used for here.
std::string muller_pipeline(std::uint32_t stages);

/// Searches all states that the pipeline can reach from all zeros but for the inverters, with settle's
/// analysis and, where `spin` and `gcc` are there, with the model checker's compiled verifier; prints a
/// table. Call it before anything that takes much memory, or the figures for memory are too small.
/// False: the two disagree, or a search failed. `quick`: three stages in place of four.
bool measure_pipeline(bool quick);

}  // namespace settle::bench
