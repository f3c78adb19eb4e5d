// Factors from a linear programme become whole delays by a common scale, simple scales first; each set of
// delays is simulated before it counts.
#include "analysis/margin_witness.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>

namespace settle {
namespace {

constexpr std::array<double, 5> steps_beyond{0.01, 0.002, 0.0004, 0.00005, 0.05};
constexpr std::array<Time, 11> simple_scales{1, 2, 4, 5, 10, 20, 50, 100, 200, 500, 1000};
constexpr std::int64_t most_denominator = 20'000;
constexpr std::int64_t most_scale = 10'000'000;
constexpr Time sample_scale = 4096;

// The fraction with the least denominator near a number: continued fractions.
std::int64_t denominator_of(double number) {
  std::int64_t before = 0, now = 1;
  double rest = number;
  for (int i = 0; i < 32 && now <= most_denominator; ++i) {
    if (std::abs(number * static_cast<double>(now) - std::round(number * static_cast<double>(now))) < 1e-9)
      break;
    rest = 1 / (rest - std::floor(rest));
    const auto next = static_cast<std::int64_t>(std::floor(rest)) * now + before;
    before = now;
    now = next;
  }
  return now;
}

class DelayMaker {
 public:
  explicit DelayMaker(const MarginProblem& problem) : problem_(problem) {}

  // Delays for factors that are whole after `scale`; nothing when they leave the spread or end right.
  std::optional<GateTimes> make(const std::vector<double>& factors, double spread, Time scale) const {
    std::vector<Time> whole;
    for (const double factor : factors) {
      const double ticks = std::round(factor * static_cast<double>(scale));
      if (ticks < 1 ||
          std::abs(ticks - static_cast<double>(scale)) > spread * static_cast<double>(scale) + 1e-6) {
        return std::nullopt;
      }
      whole.push_back(static_cast<Time>(ticks));
    }
    GateTimes times = problem_.nominal;
    for (std::size_t g = 0; g < times.rise.size(); ++g) {
      times.rise[g] *= whole[problem_.separate_edges ? 2 * g : g];
      times.fall[g] *= whole[problem_.separate_edges ? 2 * g + 1 : g];
    }
    if (!ends_wrong(problem_, times)) return std::nullopt;
    return times;
  }

 private:
  const MarginProblem& problem_;
};

}  // namespace

bool ends_wrong(const MarginProblem& problem, const GateTimes& times) {
  const DelayRun run = run_with(*problem.network, times);
  return run.decided && (run.repeats || run.end != problem.right);
}

void find_witness_delays(const MarginProblem& problem, const OrderProgram& program, double spread,
                         MarginResult& result) {
  const DelayMaker maker(problem);
  const auto attempt = [&](double within) {
    const ProgramPoint point = program.widest(within, true);
    if (!point.found || point.slack < 1e-9) return false;
    const auto take = [&](Time scale) {
      auto times = maker.make(point.factors, within, scale);
      if (!times) return false;
      result.witness = *std::move(times);
      result.scale = scale;
      result.witness_spread = 0;
      for (const double factor : point.factors) {
        const double whole = std::round(factor * static_cast<double>(scale)) / static_cast<double>(scale);
        result.witness_spread = std::max(result.witness_spread, std::abs(whole - 1));
      }
      result.fails_at = result.fails_at || result.witness_spread <= spread + 1e-12;
      return true;
    };
    for (const Time scale : simple_scales) {
      if (take(scale)) return true;
    }
    std::int64_t common = 1;
    for (const double factor : point.factors) {
      common = std::lcm(common, denominator_of(factor));
      if (common > most_scale) return false;
    }
    return take(static_cast<Time>(common));
  };
  if (result.fails_at && attempt(spread + 1e-12)) return;  // 1/3 is no whole number of bits
  for (const double step : steps_beyond) {
    if (spread + step < 1 && attempt(spread + step)) return;
  }
}

void sample_margin(const MarginProblem& problem, int samples, MarginResult& result) {
  std::uint64_t state = 0x6d617267696e;
  const auto random = [&state] {  // a linear congruential generator after Knuth (MMIX)
    state = state * 6364136223846793005u + 1442695040888963407u;
    return state >> 33;
  };
  const std::size_t count = problem.nominal.rise.size() * (problem.separate_edges ? 2u : 1u);
  std::vector<int> directions(count);
  const auto times_at = [&](Time steps) {
    GateTimes times = problem.nominal;
    const auto scaled = [&](std::size_t factor) {
      return directions[factor] < 0   ? sample_scale - steps
             : directions[factor] > 0 ? sample_scale + steps
                                      : sample_scale;
    };
    for (std::size_t g = 0; g < times.rise.size(); ++g) {
      times.rise[g] *= scaled(problem.separate_edges ? 2 * g : g);
      times.fall[g] *= scaled(problem.separate_edges ? 2 * g + 1 : g);
    }
    return times;
  };
  auto best = static_cast<Time>(std::ceil(result.most * static_cast<double>(sample_scale)));
  for (int i = 0; i < samples && best > 1; ++i) {
    if (i % 64 == 0 && problem.stop != nullptr && problem.stop->load(std::memory_order_relaxed)) return;
    for (int& direction : directions) {
      const auto choice = random() % 5;
      direction = choice == 0 ? 0 : choice % 2 == 0 ? 1 : -1;
    }
    if (!ends_wrong(problem, times_at(best - 1))) continue;
    Time wrong = best - 1, low = 0;
    while (wrong - low > 1) {
      const Time middle = low + (wrong - low) / 2;
      (ends_wrong(problem, times_at(middle)) ? wrong : low) = middle;
    }
    best = wrong;
    result.most = result.witness_spread = static_cast<double>(wrong) / static_cast<double>(sample_scale);
    result.fails_at = true;
    result.witness = times_at(wrong);
    result.scale = sample_scale;
    result.races.clear();
  }
}

}  // namespace settle
