// A stimulus with its names looked up and its times in ticks, ready to run.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/run.h"
#include "settle/stimulus.h"

namespace settle {

struct BitValue {
  NetId net = 0;
  Value value = Value::x;
};

/// An assignment of a stimulus with its bits, msb first.
struct BoundAssignment {
  std::string name;             ///< as written
  Place place;
  std::vector<BitValue> bits;
};

/// One statement; which fields count depends on the kind, as in StimulusStatement.
struct BoundStatement {
  StimulusStatement::Kind kind = StimulusStatement::Kind::set;
  Place place;
  std::vector<BoundAssignment> assignments;
  NetId net = no_id;            ///< clock, expect_changes, expect_time
  std::string name;             ///< of `net`, as written
  NetId other_net = no_id;      ///< expect_time
  std::string other_name;
  std::optional<bool> other_rises;
  std::string word;             ///< expect_time
  Finding::Kind warning = Finding::Kind::indeterminate;
  std::uint64_t count = 0;
  std::uint64_t seed = 1;
  Time duration = 0, period = 0, high = 0, until = end_of_time, since = 0;
  std::uint32_t body_end = 0;
};

struct BoundStimulus {
  PowerUp::Kind power_up = PowerUp::Kind::unknown;
  Place power_up_place;
  std::uint64_t seed = 1;
  std::vector<BoundAssignment> start;   ///< chosen power-up values, gate outputs only
  std::vector<BoundStatement> statements;
};

/// Looks up every name; unknown ones, values that do not fit and times that do not come out in
/// whole ticks are errors. Nothing when there were errors.
std::optional<BoundStimulus> bind(const Stimulus& stimulus, const Circuit& circuit,
                                  Diagnostics& diagnostics);

}  // namespace settle
