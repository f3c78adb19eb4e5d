// What the process says with its exit status.
#pragma once

namespace settle::cli {

enum ExitStatus : int {
  exit_good = 0,         ///< nothing wrong
  exit_short = 1,        ///< the design falls short: a failed expectation, an unexpected warning
  exit_bad_input = 2,    ///< the call or an input file is wrong, or a file cannot be written
  exit_incomplete = 3,   ///< a resource limit stopped the work
  exit_interrupt = 130,  ///< ended by Ctrl-C
  exit_terminate = 143,  ///< ended by SIGTERM
};

}  // namespace settle::cli
