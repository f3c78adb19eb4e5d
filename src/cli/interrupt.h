// Ctrl-C and SIGTERM ask the work to end early with what is complete; a closed pipe is no signal.
#pragma once

#include <atomic>

namespace settle::cli {

/// Installs the handlers; the flag is set by the first signal, the second one ends the process.
void catch_signals();
const std::atomic<bool>& stop_flag();
/// exit_interrupt or exit_terminate after a signal, else `status`.
int status_after_signal(int status);

}  // namespace settle::cli
