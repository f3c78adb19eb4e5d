// Many runs of one stimulus, each with gate delays drawn at random: how many come out right?
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/progress.h"
#include "settle/run.h"
#include "settle/stimulus.h"

namespace settle {

struct SweepOptions {
  RunOptions run;  ///< for each sample; its seeds are those of the sample
  std::uint64_t samples = 1000;
  std::uint64_t first_seed =
      1;              ///< sample i has the seed first_seed + i, for its delays and for the stimulus
  unsigned jobs = 1;  ///< threads; the result is the same
  const std::atomic<bool>* stop = nullptr;
  Progress* progress = nullptr;
};

/// A share with the interval that holds the true one in 95 of 100 cases: the score interval of
/// E. B. Wilson, J. Am. Stat. Assoc. 22 (158), 209-212, 1927.
struct Share {
  double value = 0, low = 0, high = 1;
};
Share wilson_share(std::uint64_t passed, std::uint64_t samples);

/// One run.
struct SweepSample {
  enum class Verdict : std::uint8_t {
    passes,
    fails,       ///< an expectation failed, or an unexpected warning came
    other_end,   ///< all expectations hold, but the outputs end otherwise than with typical delays
    incomplete,  ///< a limit stopped it: not counted
  };
  std::uint64_t seed = 0;
  Verdict verdict = Verdict::incomplete;
  Time settling = 0;   ///< ticks from the last input change to the last output change, 0 when none follows
  std::string reason;  ///< the first thing wrong; empty when it passes
};

struct SweepBin {
  Time from = 0, to = 0;  ///< settling times, both ends included
  std::uint64_t passed = 0, failed = 0;
};

struct Sweep {
  std::string circuit;
  TimeUnit time_unit = TimeUnit::none;
  std::uint64_t wanted = 0;
  std::uint64_t passed = 0, failed = 0, other_end = 0, incomplete = 0;
  Share yield;                           ///< of the samples that came to an end
  bool typical_passes = false;           ///< the run with typical delays
  Time least = 0, median = 0, most = 0;  ///< settling times
  std::vector<SweepBin> bins;            ///< a histogram of them, ascending
  std::optional<SweepSample>
      worst;  ///< a failing one if there is any, of these the slowest; the first of equals
  bool complete = true;
  std::string incomplete_reason;         ///< which limit stopped the first sample that did not end; else empty
  std::uint64_t judged() const { return passed + failed + other_end; }
};

/// Nothing when the stimulus does not fit the circuit: the diagnostics say why. The circuit needs delays
/// with a spread, or all samples are alike.
std::optional<Sweep> sweep(const Circuit& circuit, const Stimulus& stimulus, const SweepOptions& options,
                           Diagnostics& diagnostics);

/// Where a stimulus first gives a bare number for a time; nothing when all its times have units.
std::optional<std::uint32_t> bare_time_in(const Stimulus& stimulus);

/// Says when a stimulus gives bare numbers for times of a circuit whose ticks are picoseconds or finer, where
/// they are hardly meant.
void note_bare_times(const Stimulus& stimulus, TimeUnit tick, Diagnostics& diagnostics);

}  // namespace settle
