// How often a flip-flop that samples an unrelated signal has not decided in time: an estimate.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace settle {

/// A flip-flop or latch as published: the time constant with which it resolves, and the width T0 of the
/// window that catches it, both from T. J. Chaney's measurements and makers' notes as tabulated in
/// J. F. Wakerly, Digital Design Principles and Practices, section 8.9 (from memory).
struct ResolvingPart {
  std::string_view name;
  double tau = 0;     ///< seconds
  double window = 0;  ///< T0, seconds
};
std::span<const ResolvingPart> resolving_parts();
/// Letter case ignored; nullptr when it is not in the table.
const ResolvingPart* find_resolving_part(std::string_view name);

struct ResolveInput {
  double tau = 0;     ///< seconds, above 0
  double window = 0;  ///< T0, seconds, above 0
  double clock = 0;   ///< rate of the sampling edges, Hz, above 0
  double data = 0;    ///< rate of the changes of the sampled signal, Hz, above 0
};

/// Natural logarithm of the mean time between failures in seconds, when `time` seconds are left to decide:
/// MTBF = exp(time / tau) / (T0 * clock * data). The logarithm, since the number itself may be beyond any.
double log_mean_time(const ResolveInput& input, double time);

/// The other way: seconds that must be left for a mean time of `seconds`; 0 where none are needed.
double time_needed(const ResolveInput& input, double seconds);

/// "2.06e+11 s (6.53e+03 years)", from its natural logarithm.
std::string mean_time_text(double log_seconds);

/// "80ns", "0.4s", "1e-5 s" to seconds; "1000years" too. "10MHz" to hertz. Nothing when it is neither, or
/// not above 0.
std::optional<double> seconds_from(std::string_view text);
std::optional<double> hertz_from(std::string_view text);

}  // namespace settle
