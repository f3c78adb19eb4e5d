// All resource limits in one table: from it come the defaults of the library, and the options of the
// program with their ranges and help texts.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace settle {

enum class LimitKind : std::uint8_t {
  // While a netlist is read.
  file,    ///< MiB of one input file
  depth,   ///< files that include each other in a row
  array,   ///< bits of a bus, elements of an array
  errors,  ///< errors shown
  gates,   ///< of the circuit, all cells put in
  nets,    ///< of the circuit, all cells put in
  // While it is simulated.
  time,     ///< units without coming to rest
  changes,  ///< recorded, the length of the waveforms
  events,   ///< statements, instants, net changes and states visited, all start states together
  lanes,    ///< start states of `power-up every`
  // While it is analysed.
  states,  ///< visited by one analysis
  memory,  ///< MiB that one analysis may take
  stable,  ///< stable states listed
  steps,   ///< steps judged
  inputs,  ///< free input bits that are tried in all ways
  rows,    ///< of a table
};
inline constexpr std::size_t limit_kind_count = 16;

struct LimitInfo {
  LimitKind kind;
  std::string_view option;              ///< "--limit-gates"
  std::uint64_t least, standard, most;  ///< range, and the value when nothing is said: fits a laptop
  std::string_view meaning;             ///< help text of the option
};

/// By LimitKind.
inline constexpr std::array<LimitInfo, limit_kind_count> limit_table = {{
    {LimitKind::file, "--limit-file", 1, 1024, 4095, "Size of one input file, in MiB"},
    {LimitKind::depth, "--limit-depth", 1, 64, 100'000, "Files that may include each other in a row"},
    {LimitKind::array, "--limit-array", 1, 1u << 20, 1u << 30, "Bits of one bus, elements of one array"},
    {LimitKind::errors, "--limit-errors", 1, 25, 1'000'000, "Errors to show"},
    {LimitKind::gates, "--limit-gates", 1, 20'000'000, 0x7ffffff0, "Gates of the circuit, all cells put in"},
    {LimitKind::nets, "--limit-nets", 1, 60'000'000, 0x7ffffff0, "Nets of the circuit, all cells put in"},
    {LimitKind::time, "--limit-time", 1, 10'000'000, ~std::uint64_t{0} / 4,
     "Time that the circuit may go on without coming to rest"},
    {LimitKind::changes, "--limit-changes", 1, 20'000'000, std::uint64_t{1} << 40, "Value changes to record"},
    {LimitKind::events, "--limit-events", 1, 4'000'000'000, std::uint64_t{1} << 60,
     "Work of the run: statements, instants, changes of nets, states visited"},
    {LimitKind::lanes, "--limit-lanes", 1, 65536, 1u << 24, "Start states of 'power-up every' to run"},
    {LimitKind::states, "--limit-states", 1, 4'000'000, std::uint64_t{1} << 40,
     "States that one analysis may visit"},
    {LimitKind::memory, "--limit-memory", 1, 1024, 1u << 20,
     "Memory that one analysis may take, in MiB; each thread does one at a time"},
    {LimitKind::stable, "--limit-stable", 1, 100'000, std::uint64_t{1} << 31, "Stable states to list"},
    {LimitKind::steps, "--limit-steps", 1, 1'000'000, std::uint64_t{1} << 31, "Steps to judge"},
    {LimitKind::inputs, "--limit-inputs", 0, 16, 24, "Free input bits to try in all ways"},
    {LimitKind::rows, "--limit-rows", 1, 1'000'000, std::uint64_t{1} << 32, "Rows to write"},
}};

constexpr const LimitInfo& info_of(LimitKind kind) { return limit_table[static_cast<std::size_t>(kind)]; }
constexpr std::uint64_t default_limit(LimitKind kind) { return info_of(kind).standard; }

/// How to get past a limit, as a hint: "--limit-gates allows more (now 20000000)"; when the limit stands
/// at its largest value, that there is no more.
std::string limit_hint(LimitKind kind, std::uint64_t now);

}  // namespace settle
