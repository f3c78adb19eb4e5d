// The two faces of `settle try`: a screen with keys and lamps, and lines that are read one by one.
#pragma once

#include <istream>
#include <string>

#include "settle/trial.h"
#include "settle/trial_report.h"

namespace settle::cli {

/// What both share.
struct TryJob {
  Trial& trial;
  const Circuit& circuit;
  TextStyle style;
  std::string save_to;   ///< --save: written at the end; empty: only on request
  std::string netlist;   ///< as named in the call, for the saved stimulus
};

/// Writes the stimulus, with a `netlist` line that leads from there to the netlist. False after a message.
bool save_trial(const TryJob& job, const std::string& path);

/// Reads statements from `input` until its end or `quit`, and prints the state after each. Exit status.
int try_lines(const TryJob& job, std::istream& input);

/// Keys and lamps on the terminal until the user leaves. Exit status.
int try_screen(const TryJob& job);

}  // namespace settle::cli
