// One run of a stimulus from one start state.
#pragma once

#include <string>
#include <vector>

#include "settle/kernel.h"
#include "settle/run.h"
#include "sim/bound_stimulus.h"
#include "sim/drive.h"
#include "sim/expectations.h"
#include "sim/judge.h"
#include "sim/meetings.h"
#include "sim/recorder.h"
#include "sim/run_work.h"

namespace settle {

/// Values of the inputs at time 0: what the statements before the first one that advances time set.
std::vector<Value> inputs_at_start(const BoundStimulus& stimulus, const Circuit& circuit);

/// Executes the statements. Time stands at an instant while `set`s gather; the instant is run when
/// a statement needs its values or goes on in time.
class Lane {
 public:
  Lane(const Circuit& circuit, const BoundStimulus& stimulus, const RunOptions& options,
       const std::vector<NetId>& watched, RunWork& work);

  /// From these gate values; `known` when they were chosen and are judged as a step. With `meetings` it
  /// ends early, as lane `number`, where it meets one before it.
  void run(std::span<const Value> gates, bool known, Meetings* meetings = nullptr, std::uint32_t number = 0);

  Recorder& recorder() { return recorder_; }
  /// What it did, with what the lane that it met did from there on.
  LaneCounts counts() const {
    return {kernel_.evaluations() + met_.evaluations, kernel_.net_changes() + met_.net_changes};
  }
  std::vector<Finding>& findings() { return findings_; }
  std::vector<Judged>& judged() { return expectations_.all(); }
  Time end() const { return now_; }
  bool complete() const { return complete_; }
  const std::string& incomplete_reason() const { return reason_; }

 private:
  void execute(const BoundStatement& statement);
  void execute_all(Meetings* meetings, std::uint32_t number);
  bool has_met(Meetings& meetings, std::uint32_t number, std::span<const std::uint64_t> rounds);
  void set(NetId net, Value value);
  void set_all(const BoundStatement& statement);
  void close_instant();
  void run_instant(Time time);
  void go_to(Time time);
  void go_on(Time duration);
  void settle();
  void pulse(const BoundStatement& statement);
  void bounce(const BoundStatement& statement);
  void look_for_contention();
  void not_settled(Time since);
  void check_work();
  std::string time_text(Time time) const;
  std::string span_text(Time ticks) const;
  std::uint64_t events() const { return steps_ + kernel_.net_changes() + judge_.work(); }
  void stop(std::string reason);
  void add_findings(std::size_t first_new);

  const Circuit& circuit_;
  const BoundStimulus& stimulus_;
  const RunOptions& options_;
  RunWork& work_;
  Kernel kernel_;
  Recorder recorder_;
  Judge judge_;
  Expectations expectations_;
  BackgroundDrive drive_;
  std::vector<Finding> findings_;
  std::vector<InputChange> waiting_;   // inputs set at now_, the last one of a net counts
  std::vector<std::uint32_t> waiting_at_;  // by input: where it waits, or no_id
  std::vector<const BoundStatement*> asked_;  // expectations of this instant, judged when it is run
  std::optional<Collapse> collapse_;
  Time now_ = 0;
  Time statement_start_ = 0;
  std::size_t statement_ = 0;          // being executed
  std::uint64_t steps_ = 0;            // statements and instants
  Time last_drive_ = 0;                // of the last input change
  bool started_ = false;               // the instant at time 0 has been run
  bool known_start_ = false;
  bool looked_ahead_ = false;          // since the last input change
  std::vector<Time> clocks_;           // when each was started
  bool has_met_ = false;               // another lane, which goes on in its place
  LaneCounts met_;
  bool complete_ = true;
  std::string reason_;
};

}  // namespace settle
