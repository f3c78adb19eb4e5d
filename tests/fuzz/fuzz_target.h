// What a fuzzer, or a replay of its findings, does with some bytes. A new target is one more file
// NAME_target.cpp, a line in fuzz_targets and its name in CMakeLists.txt; its corpus is corpus/NAME.
#pragma once

#include <array>
#include <string>
#include <string_view>

namespace settle::fuzz {

struct Target {
  std::string_view name;
  /// Any bytes must be taken. Ends the program (abort, sanitizer) when something is wrong.
  void (*run)(std::string_view bytes);
  /// The texts that these bytes stand for, as files to replay: a line `## file NAME` before each.
  std::string (*show)(std::string_view bytes);
};

extern const Target netlist_target;   ///< text -> parser, chips, elaboration, lint, schematic
extern const Target stimulus_target;  ///< text -> parser, binding, a short run
extern const Target pair_target;      ///< bytes -> a netlist and a stimulus -> every command and report
extern const Target agree_target;     ///< bytes -> a small circuit: methods must agree
extern const Target formats_target;   ///< text of another form -> a circuit, and back from every form
extern const Target board_target;     ///< bytes -> a small circuit: its drawing, and its board read back

inline const std::array<const Target*, 6> all_targets = {&netlist_target, &stimulus_target, &pair_target,
                                                         &agree_target, &formats_target, &board_target};

inline const Target* find_target(std::string_view name) {
  for (const Target* target : all_targets) {
    if (target->name == name) return target;
  }
  return nullptr;
}

}  // namespace settle::fuzz
