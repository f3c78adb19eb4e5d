// `require` lines of netlists: demands on what a cell stores and how it settles, read and judged.
#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/kernel.h"
#include "settle/netlist.h"
#include "settle/step_analysis.h"
#include "settle/time.h"

namespace settle {

/// One demand, its words understood.
struct Requirement {
  enum class Kind : std::uint8_t {
    stores,          ///< stores N: exactly N bits
    no_memory,       ///< no-memory: no bit
    kind,            ///< kind "NAME": what `explain` calls the cell, or the beginning of it up to a comma
    settles,         ///< settles: no change of one input leaves the cell undecided or moving
    settles_always,  ///< settles whatever delays: ... nor does the result depend on the delays of the gates
    power_up_known,  ///< power-up known after "A=1 B=0; A=0": one state only, whatever it came up in
    delay,           ///< delay FROM -> TO <= TIME: the last change of TO after one of FROM comes in time
    setup,           ///< setup FROM before TO <= TIME: the cell needs no more
    hold,            ///< hold FROM after TO <= TIME
    recovery,        ///< recovery FROM before TO <= TIME
    pulse,           ///< pulse FROM <= TIME: every pulse of that length or longer is good
  };
  Kind kind = Kind::stores;
  std::uint32_t cell = 0;          ///< index into Netlist::cells
  Place place;                     ///< of the word `require`
  std::string text;                ///< the demand as written
  std::uint64_t bits = 0;          ///< of `stores`
  std::string name;                ///< of `kind`
  std::vector<std::string> steps;  ///< of `power-up known`: "A=1 B=0", as after `set` in a stimulus
  std::string from, to;            ///< nets of the demands on times
  Duration limit;                  ///< of the demands on times
  bool is_timing() const { return kind >= Kind::delay; }
};

/// Understands all `require` lines. Unknown words, missing numbers and pins that the cell does not have
/// are errors with the nearest known word; such lines are left out.
std::vector<Requirement> parse_requirements(const Netlist& netlist, const Sources& sources,
                                            Diagnostics& diagnostics);

struct RequirementLimits {
  AnyDelayLimits any_delay{.states = 100'000};
  DelayChoice delays = DelayChoice::max;  ///< those that demands on times are judged with
  const std::atomic<bool>* stop = nullptr;
};

/// What became of a demand.
struct RequirementOutcome {
  enum class Answer : std::uint8_t {
    holds,     ///< proved
    broken,    ///< shown by `message`
    unjudged,  ///< a limit stopped the proof; `message` says which
  };
  Answer answer = Answer::unjudged;
  std::string message;  ///< one sentence, without a stop; empty when it holds
  std::string hint;
};

/// Judges demands on one circuit (the cell as the top). Keeps what several demands need.
class RequirementJudge {
 public:
  RequirementJudge(const Circuit& circuit, const RequirementLimits& limits);
  ~RequirementJudge();
  RequirementJudge(RequirementJudge&&) noexcept;
  RequirementOutcome judge(const Requirement& requirement);

 private:
  struct Work;
  std::unique_ptr<Work> work_;
};

}  // namespace settle
