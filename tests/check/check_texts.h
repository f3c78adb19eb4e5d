// Checks of files in memory.
#pragma once

#include <string>
#include <vector>

#include "settle/check.h"
#include "support/memory_files.h"

namespace settle::testing {

inline const std::string block_memory_text =
    "cell block_memory\n  in enter leave\n  out occupied clear\n"
    "  nor hold_a: leave clear -> occupied\n  nor hold_b: enter occupied -> clear\nend\n";

/// Stimuli are given as {path, path of the netlist by name}, netlists as {path, ""}.
inline CheckResult check_files(MemoryFiles& files,
                               const std::vector<std::pair<std::string, std::string>>& paths,
                               const CheckOptions& options = {}) {
  std::vector<CheckInput> inputs;
  for (const auto& [path, netlist] : paths) inputs.push_back({path, path.ends_with(".stim"), netlist});
  return check(inputs, files, options);
}

/// "a.gates pass" a line, with the texts of what makes it fail.
inline std::string told(const CheckResult& result) {
  std::string text;
  for (const CheckedFile& file : result.files) {
    text += file.path + " " + std::string(name_of(file.verdict)) + "\n";
    for (const CheckItem& item : file.items) text += item.fails ? item.text : "";
  }
  return text;
}

}  // namespace settle::testing
