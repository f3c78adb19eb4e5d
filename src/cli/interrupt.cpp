#include "cli/interrupt.h"

#include <csignal>

#include "cli/exit_status.h"

namespace settle::cli {
namespace {

// The only mutable state of the program outside its functions: a signal handler reaches no other.
std::atomic<bool> stop{false};
volatile std::sig_atomic_t caught = 0;

extern "C" void on_signal(int number) {
  caught = number;
  stop.store(true);
  std::signal(number, SIG_DFL);
}

}  // namespace

void catch_signals() {
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_signal);
  std::signal(SIGPIPE, SIG_IGN);
}

const std::atomic<bool>& stop_flag() { return stop; }

int status_after_signal(int status) {
  if (caught == SIGINT) return exit_interrupt;
  if (caught == SIGTERM) return exit_terminate;
  return status;
}

}  // namespace settle::cli
