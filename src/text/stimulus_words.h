// The words that start the statements of a stimulus.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace settle {

enum class StimulusWord : std::uint8_t {
  cell,
  netlist,
  power_up,
  unit,  // the head, each once
  set,
  wait,
  settle,
  expect,
  pulse,
  repeat,
  end,
  clock,
  bounce,
  at,
  observe,
};
inline constexpr std::size_t stimulus_head_words = 4;

inline constexpr std::array<std::string_view, 15> stimulus_words = {
    "cell",   "netlist", "power-up", "unit", "set",   "wait",   "settle",
    "expect", "pulse",   "repeat",   "end",  "clock", "bounce", "at", "observe"};

constexpr bool is_stimulus_head(StimulusWord word) {
  return static_cast<std::size_t>(word) < stimulus_head_words;
}

constexpr std::optional<StimulusWord> stimulus_word_from(std::string_view text) {
  const auto found = std::find(stimulus_words.begin(), stimulus_words.end(), text);
  if (found == stimulus_words.end()) return std::nullopt;
  return static_cast<StimulusWord>(found - stimulus_words.begin());
}

/// How the statement is written, for hints.
constexpr std::string_view stimulus_form(StimulusWord word) {
  constexpr std::array<std::string_view, 15> forms = {
      "cell NAME",
      "netlist \"FILE\"",
      "power-up unknown | random [seed N] | every | NET=VALUE ...",
      "unit TIME",
      "set NET=VALUE ...",
      "wait [TIME]",
      "settle",
      "expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | "
      "setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME",
      "pulse NET=VALUE ... for TIME",
      "repeat N",
      "end",
      "clock NET period TIME high TIME [until TIME]",
      "bounce NET=VALUE edges N within TIME [seed N]",
      "at TIME [STATEMENT]",
      "observe NET=VALUE ..."};
  return forms[static_cast<std::size_t>(word)];
}

}  // namespace settle
