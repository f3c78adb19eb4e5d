// A sweep: the same stimulus on many copies of a circuit that differ in their delays.
//
// Threads take sample numbers from a counter and write what they found to the place of that number, so
// that neither their number nor their speed shows in the result. Cost: a run a sample; memory: a copy of
// the circuit a thread and a few words a sample.
#include "settle/sweep.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "settle/random_delays.h"
#include "sim/workers.h"

namespace settle {
namespace {

constexpr std::size_t most_bins = 12;

struct Ends {
  Time last_input = 0, last_output = 0;
  std::string outputs;
};

Ends ends_of(const Waveform& waveform) {
  Ends ends;
  for (const SignalGroup& group : waveform.groups) {
    for (const auto bit : group.bits) {
      const Signal& signal = waveform.signals[bit];
      const Change& last = signal.changes.back();
      if (group.role == SignalGroup::Role::input) ends.last_input = std::max(ends.last_input, last.time);
      if (group.role != SignalGroup::Role::output) continue;
      ends.last_output = std::max(ends.last_output, last.time);
      ends.outputs += to_char(last.value);
    }
  }
  return ends;
}

std::string first_wrong(const RunResult& result) {
  if (!result.failures.empty()) {
    const ExpectationFailure& f = result.failures.front();
    const std::string when = to_text(f.time, result.waveform.time_unit);
    if (f.net.empty()) return fmt::format("at {}: {} expected, {}", when, f.want, f.got);
    return fmt::format("at {}: {} should be {}, is {}", when, f.net, f.want, f.got);
  }
  for (const Finding& finding : result.findings) {
    if (finding.severity == FindingSeverity::warning && !finding.expected) return finding.message;
  }
  return {};
}

SweepSample sample_of(const Circuit& circuit, const Stimulus& stimulus, RunOptions options,
                      std::uint64_t seed, const std::string& typical_outputs) {
  SweepSample sample;
  sample.seed = seed;
  options.seed = seed;
  Diagnostics ignored;
  const auto result = run(circuit, stimulus, options, ignored);
  if (!result) return sample;
  if (!result->complete) {
    sample.reason = result->incomplete_reason;
    return sample;
  }
  const Ends ends = ends_of(result->waveform);
  sample.settling = ends.last_output > ends.last_input ? ends.last_output - ends.last_input : 0;
  sample.verdict = !result->passes()                 ? SweepSample::Verdict::fails
                   : ends.outputs != typical_outputs ? SweepSample::Verdict::other_end
                                                     : SweepSample::Verdict::passes;
  if (sample.verdict == SweepSample::Verdict::fails) sample.reason = first_wrong(*result);
  if (sample.verdict == SweepSample::Verdict::other_end) {
    sample.reason =
        fmt::format("the outputs end as {}, with typical delays as {}", ends.outputs, typical_outputs);
  }
  return sample;
}

/// At most `most_bins` ranges of equal width that cover least..most.
std::vector<SweepBin> bins_for(Time least, Time most) {
  Time width = 1;
  // 1, 2, 5, 10, 20, ...: the ends are round numbers.
  for (int step = 0; most / width - least / width >= most_bins; ++step)
    width = step % 3 == 1 ? width / 2 * 5 : width * 2;
  std::vector<SweepBin> bins;
  for (Time index = least / width; index <= most / width; ++index) {
    bins.push_back({index * width, index * width + (width - 1), 0, 0});
  }
  return bins;
}

bool has_spread(const Circuit& circuit) {
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const GateDelay& d = circuit.delay(gate);
    if (d.rise.min != d.rise.max || d.fall.min != d.fall.max) return true;
  }
  return false;
}

bool is_wrong(const SweepSample& sample) {
  return sample.verdict == SweepSample::Verdict::fails || sample.verdict == SweepSample::Verdict::other_end;
}

void count(std::vector<SweepSample>& samples, Sweep& result) {
  std::vector<Time> times;
  for (const SweepSample& sample : samples) {
    switch (sample.verdict) {
      case SweepSample::Verdict::passes: ++result.passed; break;
      case SweepSample::Verdict::fails: ++result.failed; break;
      case SweepSample::Verdict::other_end: ++result.other_end; break;
      case SweepSample::Verdict::incomplete:
        ++result.incomplete;
        if (result.incomplete_reason.empty()) result.incomplete_reason = sample.reason;
        continue;
    }
    times.push_back(sample.settling);
    const auto rank = [](const SweepSample& s) { return std::pair(is_wrong(s), s.settling); };
    if (!result.worst || rank(sample) > rank(*result.worst)) result.worst = sample;
  }
  result.yield = wilson_share(result.passed, result.judged());
  result.complete = result.judged() == result.wanted;
  if (times.empty()) return;
  std::sort(times.begin(), times.end());
  result.least = times.front();
  result.most = times.back();
  result.median = times[(times.size() - 1) / 2];
  result.bins = bins_for(result.least, result.most);
  const Time width = result.bins.front().to - result.bins.front().from + 1;
  for (const SweepSample& sample : samples) {
    if (sample.verdict == SweepSample::Verdict::incomplete) continue;
    SweepBin& bin = result.bins[sample.settling / width - result.least / width];
    ++(is_wrong(sample) ? bin.failed : bin.passed);
  }
}

}  // namespace

Share wilson_share(std::uint64_t passed, std::uint64_t samples) {
  if (samples == 0) return {};
  constexpr double z = 1.959963984540054;  // 97.5 % of a normal distribution lie below
  const double n = static_cast<double>(samples), p = static_cast<double>(passed) / n;
  const double middle = p + z * z / (2 * n);
  const double half = z * std::sqrt(p * (1 - p) / n + z * z / (4 * n * n));
  const double scale = 1 + z * z / n;
  // Rounding must not leave the ends that are exact.
  const double low = passed == 0 ? 0 : (middle - half) / scale;
  const double high = passed == samples ? 1 : (middle + half) / scale;
  return {p, low, high};
}

std::optional<Sweep> sweep(const Circuit& circuit, const Stimulus& stimulus, const SweepOptions& options,
                           Diagnostics& diagnostics) {
  if (!has_spread(circuit)) {
    diagnostics.warning({}, "no-spread", "no delay has a range, so that all samples are alike",
                        "choose a family, as in --family HC, or write delays as min..typical..max");
  }
  RunOptions each = options.run;
  each.stop = options.stop;
  each.progress = nullptr;
  each.kernel.delays = DelayChoice::typ;
  each.record_all = false;
  const auto typical = run(circuit, stimulus, each, diagnostics);
  if (!typical) return {};
  Sweep result;
  result.circuit = circuit.cell_name();
  result.time_unit = circuit.time_unit();
  result.wanted = options.samples;
  result.typical_passes = typical->passes();
  if (!typical->complete) {
    result.incomplete = options.samples;
    result.complete = false;
    result.incomplete_reason = typical->incomplete_reason;
    return result;
  }
  const std::string outputs = ends_of(typical->waveform).outputs;

  std::vector<SweepSample> samples(options.samples);
  start_progress(options.progress, "sampling", "samples", options.samples);
  run_workers(options.jobs, samples.size(), [&](std::size_t, WorkCounter& counter) {
    Circuit drawn = circuit;
    for (std::size_t i = 0; !is_set(options.stop) && counter.take(i);) {
      const std::uint64_t seed = options.first_seed + i;
      samples[i].seed = seed;
      if (draw_delays(circuit, seed, drawn)) samples[i] = sample_of(drawn, stimulus, each, seed, outputs);
      advance_progress(options.progress);
    }
  });
  count(samples, result);
  return result;
}

std::optional<std::uint32_t> bare_time_in(const Stimulus& stimulus) {
  for (const StimulusStatement& s : stimulus.statements) {
    for (const auto& [time, offset] :
         {std::pair(s.duration, s.duration_offset), std::pair(s.period, s.period_offset), std::pair(s.high, s.high_offset),
          std::pair(s.until, s.until_offset), std::pair(s.since, s.since_offset)}) {
      if (time.count != 0 && time.unit == TimeUnit::none) return offset;
    }
  }
  return {};
}

void note_bare_times(const Stimulus& stimulus, TimeUnit tick, Diagnostics& diagnostics) {
  if (tick != TimeUnit::ps && tick != TimeUnit::fs) return;
  if (const auto offset = bare_time_in(stimulus)) {
    diagnostics.note({stimulus.file, *offset}, "bare-time",
                     fmt::format("times without a unit are ticks of 1 {} here", name_of(tick)), "write a unit, as in 50ns");
  }
}

}  // namespace settle
