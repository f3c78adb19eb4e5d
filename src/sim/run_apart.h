// For tests: runs in which every start state is followed to the end.
#pragma once

#include "settle/run.h"

namespace settle {

/// As run(), without the short cut of meetings.h: a start state that comes to where another one was
/// goes on all the same. The result is that of run().
std::optional<RunResult> run_apart(const Circuit& circuit, const Stimulus& stimulus,
                                   const RunOptions& options, Diagnostics& diagnostics);

}  // namespace settle
