// Waveforms of pins as stored texts, and what differs from them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "settle/waveform.h"

namespace settle {

/// The pins of a waveform as text, a line for each instant at which one changes:
///
///     settle waveform 1
///     cell block_memory
///     tick unit
///     end 57
///     at 0: enter=0 leave=0 occupied=x clear=x
///     at 3: occupied=1
///
/// Buses are written as their bits, msb first. Equal runs give equal texts.
std::string waveform_text(const Waveform& waveform, std::string_view cell);

/// Where the waveforms of two such texts part, in words, pin by pin; at most `most` lines and one that
/// counts the rest. Empty when they are the same. A stored text that is none gives one line.
std::vector<std::string> waveform_differences(std::string_view stored, std::string_view now,
                                              std::size_t most);

/// The name of the stored waveform of a stimulus in `folder`: "cells/a.stim" is kept in
/// "FOLDER/cells/a.wave"; steps to parent folders become "up".
std::string waveform_path(const std::string& folder, const std::string& stimulus);

}  // namespace settle
