// One netlist and the stimuli that go with it.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "settle/check.h"
#include "settle/elaborate.h"
#include "settle/stimulus.h"

namespace settle {

/// A stimulus that has been read, with the text and the messages of that.
struct ReadStimulus {
  Stimulus stimulus;
  Sources sources;
  Diagnostics diagnostics;
};

/// Reads the netlist once, makes each circuit once, fills the rows. Used by one thread.
class NetlistCheck {
 public:
  /// `has_row`: does a netlist with this path have a row of its own? Then findings in it, when it is
  /// included, are told there.
  NetlistCheck(std::string path, FileReader& files, const CheckOptions& options,
               std::function<bool(const std::string&)> has_row)
      : path_(std::move(path)), files_(files), options_(options), has_row_(std::move(has_row)) {}

  /// Reads, and makes the circuits that the stimuli need and those of all cells that no other one uses.
  void load(const std::vector<ReadStimulus*>& stimuli);
  void fill_netlist_row(CheckedFile& row);
  void fill_stimulus_row(ReadStimulus& read, CheckedFile& row);

 private:
  struct Built {
    std::string cell;  ///< as asked for: maybe empty
    TimeUnit unit = TimeUnit::none;
    bool has_source = false;  ///< gates without a delay have got one from CheckOptions
    std::optional<Circuit> circuit;
  };

  bool is_usable() const { return usable_; }
  void find_tops();
  Built& built(const std::string& cell, TimeUnit unit, bool from_source = true);
  /// Times without a unit count gate delays, so that delays in nanoseconds would make nonsense of them.
  bool takes_source(const Stimulus& stimulus) const;
  void lint();
  void merge(const Diagnostics& diagnostics);
  const Circuit* circuit_for(const Stimulus& stimulus, CheckedFile& row);
  void judge_requirements(CheckedFile& row);
  bool belongs(Place place) const;
  void compare_waveform(const RunResult& result, const Circuit& circuit, CheckedFile& row);
  void add(CheckedFile& row, CheckItem::Aspect aspect, const Diagnostic& diagnostic);
  void add_finding(CheckedFile& row, const Finding& finding, TimeUnit unit);
  void add_failure(CheckedFile& row, const ExpectationFailure& failure, const RunResult& result);
  std::string_view cell_text(std::uint32_t cell) const {
    return netlist_.symbols->text(netlist_.cells[cell].name);
  }

  std::string path_;
  FileReader& files_;
  const CheckOptions& options_;
  std::function<bool(const std::string&)> has_row_;
  Sources sources_;
  std::uint32_t main_file_ = Place::none;
  Netlist netlist_;
  std::vector<Diagnostic> messages_;  ///< of reading and of all circuits, each once
  std::vector<Requirement> requirements_;
  std::vector<std::uint32_t> all_tops_;   ///< cells that no other cell uses
  std::vector<std::uint32_t> run_cells_;  ///< cells that a stimulus runs
  std::vector<std::unique_ptr<Built>> built_;
  bool usable_ = false;       ///< read without errors
  bool only_limits_ = false;  ///< too large for a limit, else without errors
};

}  // namespace settle
