// The estimate of metastability: one formula, worked with logarithms, since exp(t / tau) leaves every
// number type for a comfortable t. Sources in metastability.h.
#include "settle/metastability.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace settle {
namespace {

// tau and T0 of Wakerly's table, from memory; its third column, the time for 1000 years at 25 MHz and
// 100 kHz, was recomputed from them and agrees.
constexpr std::array<ResolvingPart, 11> part_table = {{
    {"74LS74", 1.50e-9, 4.0e-1},
    {"74S74", 1.70e-9, 1.0e-6},
    {"74S174", 1.20e-9, 5.0e-6},
    {"74S374", 0.91e-9, 4.0e-4},
    {"74ALS74", 1.00e-9, 8.7e-6},
    {"74F74", 0.40e-9, 2.0e-4},
    {"74LSxx", 1.35e-9, 4.8e-3},
    {"74Sxx", 2.80e-9, 1.3e-9},
    {"74ASxx", 0.25e-9, 1.4e3},
    {"74Fxx", 0.11e-9, 1.88e8},
    {"74HCxx", 1.82e-9, 1.5e-6},
}};

constexpr double year = 365.25 * 86400;

using Unit = std::pair<std::string_view, double>;
constexpr std::array<Unit, 12> time_units = {{{"fs", 1e-15},
                                              {"ps", 1e-12},
                                              {"ns", 1e-9},
                                              {"us", 1e-6},
                                              {"ms", 1e-3},
                                              {"s", 1},
                                              {"min", 60},
                                              {"h", 3600},
                                              {"day", 86400},
                                              {"days", 86400},
                                              {"year", year},
                                              {"years", year}}};
constexpr std::array<Unit, 4> rate_units = {{{"Hz", 1}, {"kHz", 1e3}, {"MHz", 1e6}, {"GHz", 1e9}}};

std::optional<double> measured(std::string_view text, std::span<const Unit> units) {
  double number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc()) return {};
  std::string_view unit = text.substr(static_cast<std::size_t>(end - text.data()));
  while (unit.starts_with(' ')) unit.remove_prefix(1);
  for (const auto& [name, factor] : units) {
    const double result = number * factor;
    if (unit == name) return std::isfinite(result) && result > 0 ? std::optional(result) : std::nullopt;
  }
  return {};
}

}  // namespace

std::span<const ResolvingPart> resolving_parts() { return part_table; }

const ResolvingPart* find_resolving_part(std::string_view name) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  for (const ResolvingPart& part : part_table) {
    if (std::equal(name.begin(), name.end(), part.name.begin(), part.name.end(),
                   [&](char a, char b) { return lower(a) == lower(b); })) {
      return &part;
    }
  }
  return nullptr;
}

double log_mean_time(const ResolveInput& in, double time) {
  return time / in.tau - std::log(in.window) - std::log(in.clock) - std::log(in.data);
}

double time_needed(const ResolveInput& in, double seconds) {
  return std::max(
      0.0, in.tau * (std::log(seconds) + std::log(in.window) + std::log(in.clock) + std::log(in.data)));
}

std::string mean_time_text(double log_seconds) {
  const double digits = log_seconds / std::log(10.0);
  if (std::abs(digits) > 300) return fmt::format("10^{:.0f} s", digits);
  const double seconds = std::exp(log_seconds);
  std::string text = fmt::format("{:.3g} s", seconds);
  if (seconds >= year) {
    text += fmt::format(" ({:.3g} years)", seconds / year);
  } else if (seconds >= 86400) {
    text += fmt::format(" ({:.3g} days)", seconds / 86400);
  } else if (seconds >= 3600) {
    text += fmt::format(" ({:.3g} hours)", seconds / 3600);
  }
  return text;
}

std::optional<double> seconds_from(std::string_view text) { return measured(text, time_units); }
std::optional<double> hertz_from(std::string_view text) { return measured(text, rate_units); }

}  // namespace settle
