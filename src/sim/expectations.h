// Judges the expectations of one lane as the run goes on.
#pragma once

#include <span>
#include <vector>

#include "settle/kernel.h"
#include "settle/run.h"
#include "sim/bound_stimulus.h"
#include "sim/recorder.h"

namespace settle {

/// One verdict per expectation, in the order in which they are stated; the order is the same in
/// every lane, since stimuli have no conditions.
struct Judged {
  bool passed = true;
  ExpectationFailure failure;
};

class Expectations {
 public:
  Expectations(const Circuit& circuit, const Recorder& recorder) : circuit_(circuit), recorder_(recorder) {}

  /// Each assignment must hold now.
  void now(const BoundStatement& statement, const Kernel& kernel);
  /// Each assignment must hold from now on, up to and with the gate changes at `end`.
  void hold(const BoundStatement& statement, const Kernel& kernel, Time end);
  /// The net has changed `count` times at times from `since` on.
  void changes(const BoundStatement& statement, const Kernel& kernel);
  /// The times of the last changes of two nets lie as far apart as wanted.
  void time_between(const BoundStatement& statement, const Kernel& kernel);
  /// A finding of the kind has come already, or comes by the end of the next time-advancing statement.
  void warning(const BoundStatement& statement, std::vector<Finding>& findings);

  /// To be called after each instant.
  void look(const Kernel& kernel);
  /// To be called at the end of each time-advancing statement and of the run: settles `warning`s.
  void claim(std::vector<Finding>& findings, Time time);
  /// Ends all that is still open.
  void finish(std::vector<Finding>& findings, Time time);

  /// Nothing is open.
  bool is_idle() const { return holds_.empty() && claims_.empty(); }

  std::vector<Judged>& all() { return judged_; }

 private:
  struct Hold {
    const BoundAssignment* assignment;
    Time end;
    std::size_t index;
  };
  struct Claim {
    const BoundStatement* statement;
    std::size_t index;
  };
  void check(const BoundAssignment& assignment, const Kernel& kernel, std::size_t index, bool gates_only);
  std::size_t open(Place place);
  std::vector<std::string> history(const BoundAssignment& assignment, Time now) const;
  void add_history(NetId net, Time now, std::vector<std::string>& lines) const;

  const Circuit& circuit_;
  const Recorder& recorder_;
  std::vector<Judged> judged_;
  std::vector<Hold> holds_;
  std::vector<Claim> claims_;
};

/// The nets that a failure message wants to show: those named, and what their gates read.
std::vector<NetId> nets_to_watch(const BoundStimulus& stimulus, const Circuit& circuit);

}  // namespace settle
