// Judges input changes while a circuit runs: cheap ternary check first, exact any-delay analysis
// of the loops where that leaves a doubt, and the run itself looked at ahead of time.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "settle/kernel.h"
#include "settle/run.h"
#include "settle/step_analysis.h"
#include "sim/run_work.h"

namespace settle {

/// What follows from a judged step for the run: these gates become unknown at this time, unless
/// an input changes before.
struct Collapse {
  Time time = 0;
  std::vector<GateId> gates;
};

class Judge {
 public:
  Judge(const Circuit& circuit, const RunOptions& options, SearchAllowance& searches);

  /// The state just before the first instant, for steps to start from.
  void start(std::span<const Value> values) { before_.assign(values.begin(), values.end()); }

  /// Takes over the nets that changed in an instant in which no input changed.
  void follow(const Kernel& kernel);

  /// Judges the instant that `kernel` has just run, in which the inputs in `causes` changed. With
  /// `at_power_up` the step has no cause but the start. Adds what is worth saying to `findings`.
  std::optional<Collapse> step(const Kernel& kernel, std::span<const InputChange> changes, bool at_power_up,
                               std::vector<Finding>& findings);

  /// For a run that has not come to rest for long: looks ahead whether a state repeats, and says so.
  std::optional<Collapse> long_unrest(const Kernel& kernel, std::vector<Finding>& findings);

  /// States visited and instants looked ahead up to now.
  std::uint64_t work() const { return work_; }

  /// Gates were or will be made unknown.
  bool has_collapsed() const { return has_collapsed_; }

 private:
  Finding finding(Finding::Kind kind, Time time) const;
  void name_outcomes(const StepOutcome& outcome, Finding& finding) const;
  bool was_settling(const Kernel& kernel) const;
  StepOutcome any_delay(const Step& step, bool skewed);
  std::string unjudged_text(const Finding& finding, const StepOutcome& outcome) const;
  Continuation ahead(const Kernel& kernel);
  void check_skew(const Kernel& kernel, const Step& step, std::vector<Finding>& findings);

  const Circuit& circuit_;
  const RunOptions& options_;
  StepAnalyzer analyzer_;
  std::vector<Value> before_;            // all net values, inputs as before the step being judged
  std::vector<Finding::Cause> causes_;   // of the last step
  bool has_collapsed_ = false;           // gates were or will be made unknown
  SearchAllowance& searches_;
  std::size_t in_doubt_ = 0;             // gates, in the step in hand
  std::uint64_t allowed_ = 0;            // states that the last search might visit
  std::uint64_t work_ = 0;
};

}  // namespace settle
