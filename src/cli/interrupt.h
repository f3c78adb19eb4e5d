// Ctrl-C, SIGTERM and a terminal that goes away ask the work to end early with what is complete; a
// closed pipe is no signal. The second signal ends the process at once, and leaves no half-written file.
#pragma once

#include <atomic>
#include <string>

namespace settle::cli {

/// Installs the handlers, and opens what stands for standard streams that the caller closed.
void catch_signals();
/// Set by the first signal.
const std::atomic<bool>& stop_flag();
/// Whether the process was stopped and went on since the last call; the terminal may look different then.
bool has_continued();
/// exit_interrupt or exit_terminate after a signal (which is then told), else `status`.
int status_after_signal(int status);

/// While it lives, the first signal ends the process, also one that came before: there is nothing yet that could be shown. `while_what`
/// must live on, as a literal does: "while the netlist was read".
class EndsAtOnce {
 public:
  explicit EndsAtOnce(const char* while_what);
  ~EndsAtOnce();
  EndsAtOnce(const EndsAtOnce&) = delete;
  EndsAtOnce& operator=(const EndsAtOnce&) = delete;
};

/// While it lives, a signal that ends the process removes this file.
class PartFile {
 public:
  explicit PartFile(const std::string& path);
  ~PartFile();
  PartFile(const PartFile&) = delete;
  PartFile& operator=(const PartFile&) = delete;
};

/// Whether a line stands on the terminal that goes away with the process.
void note_progress_line(bool stands);

}  // namespace settle::cli
