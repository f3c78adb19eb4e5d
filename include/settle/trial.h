// Trying a circuit by hand: statements of the stimulus language one at a time, each taken back at will, and
// all of them together a stimulus with what was seen as its expectations.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/run.h"

namespace settle {

/// A stimulus that grows. After each statement the whole of it is run anew, so what is shown is exactly what
/// `run` and `check` will say of the saved file; undoing a statement is leaving it out. That costs a run for
/// each statement, which nobody notices in circuits that are tried by hand.
///
/// Every net is recorded. The circuit must outlive the trial.
class Trial {
 public:
  /// `head`: lines in front of the stimulus (`netlist "..."`, `cell ...`), only for the saved file.
  Trial(const Circuit& circuit, RunOptions options, std::string head);

  /// Takes in statements, several with `;` or line ends between them, a `repeat` with its `end`. False: they are
  /// wrong, or an expectation among them is not met; then nothing has changed, and `messages` says why, ready
  /// to be shown.
  bool act(std::string_view statements, std::string& messages);

  /// Takes back the last statements; false when there are none.
  bool undo();

  /// So far; time 0 of the powered-up circuit when nothing was done yet.
  const RunResult& result() const { return steps_.back().result; }
  Time now() const { return result().waveform.end; }
  Value value(NetId net) const;

  /// Findings that the last statements brought.
  std::vector<const Finding*> new_findings() const;

  std::size_t count() const { return steps_.size() - 1; }  ///< statements taken in
  const std::string& last() const { return steps_.back().text; }

  /// The statements, and behind each that let time go on what the outputs were then, as expectations; warnings
  /// that came are expected as well. `run` and `check` pass with it.
  std::string stimulus() const;

 private:
  struct Step {
    std::string text;
    RunResult result;
  };
  std::optional<RunResult> run_all(std::string_view more, std::string& messages) const;
  bool is_claimed(const Finding& finding) const;
  std::string expectations(const Step& before, const Step& after) const;

  const Circuit& circuit_;
  RunOptions options_;
  std::string head_;
  std::vector<Step> steps_;  // [0]: nothing done yet
};

}  // namespace settle
