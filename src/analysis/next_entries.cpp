// Entries of a characteristic table from the steps that they stand for.
//
// The simple entries are tried one after another. A sum of products is made for the smallest set of
// nets whose values before decide the net after (sets of one to three in order; else nets are left
// out one by one from all of them); combinations that no step starts with are don't-cares. Where some
// of the steps settle and others do not, the same search says from which values before they do not.
#include "analysis/next_entries.h"

#include <algorithm>
#include <unordered_map>

namespace settle {
namespace {

using Kind = TableEntry::Kind;
constexpr std::size_t most_variables = 12;

}  // namespace

EntryFinder::EntryFinder(const StepSamples& steps, const WatchedNets& nets,
                         std::span<const std::uint32_t> shown, std::span<const std::string> names,
                         std::size_t inner)
    : steps_(steps),
      nets_(nets),
      shown_(shown.begin(), shown.end()),
      names_(names.begin(), names.end()),
      inner_(inner) {}

std::vector<TableEntry> EntryFinder::options(std::span<const std::uint32_t> samples,
                                             std::size_t target) const {
  const std::uint32_t net = shown_[target];
  bool undecided = false, oscillates = false, settles = false;
  bool constant = true, holds = true, toggles = true, binary = true;
  const Kind first = nets_.after(net, steps_.samples[samples.front()]);
  struct EntryLiteral {
    bool equal = true, opposite = true;
  };
  std::vector<EntryLiteral> literals(inner_);
  for (const std::uint32_t i : samples) {
    const StepSample& sample = steps_.samples[i];
    const Kind after = nets_.after(net, sample);
    undecided |= after == Kind::indeterminate;
    oscillates |= after == Kind::oscillation;
    settles |= after < Kind::indeterminate;
    const auto value = static_cast<Value>(after);
    const Value before = nets_.before(net, sample);
    constant = constant && after == first;
    holds = holds && value == before;
    toggles = toggles && is_binary(before) && value == inverted(before);
    binary = binary && after <= Kind::one;
    for (std::size_t k = 0; k < inner_; ++k) {
      const Value other = nets_.before(shown_[shown_.size() - inner_ + k], sample);
      literals[k].equal = literals[k].equal && value == other && is_binary(other);
      literals[k].opposite = literals[k].opposite && is_binary(other) && value == inverted(other);
    }
  }
  if (settles && (undecided || oscillates)) return {partly_loose(samples, target, undecided)};
  if (undecided) return {{Kind::indeterminate, {}}};
  if (oscillates) return {{Kind::oscillation, {}}};
  std::vector<TableEntry> options;
  if (constant) options.push_back({first, {}});
  if (holds) options.push_back({Kind::hold, {}});
  if (toggles) options.push_back({Kind::toggle, {}});
  for (std::size_t k = 0; k < inner_; ++k) {
    const std::size_t other = shown_.size() - inner_ + k;
    if (other == target) continue;
    if (literals[k].equal) options.push_back({Kind::expression, names_[other]});
    if (literals[k].opposite) options.push_back({Kind::expression, names_[other] + "'"});
  }
  if (options.empty()) {
    const auto value_after = [&](std::uint32_t i) { return nets_.after(net, steps_.samples[i]); };
    options.push_back(binary ? sum_of_products(samples, value_after) : TableEntry{Kind::expression, {}});
  }
  return options;
}

TableEntry EntryFinder::partly_loose(std::span<const std::uint32_t> samples, std::size_t target, bool undecided) const {
  const auto is_loose = [&](std::uint32_t i) {
    return nets_.after(shown_[target], steps_.samples[i]) >= Kind::indeterminate;
  };
  const TableEntry condition = sum_of_products(samples, [&](std::uint32_t i) { return is_loose(i) ? Kind::one : Kind::zero; });
  if (condition.expression.empty()) return {Kind::indeterminate, {}};
  std::vector<std::uint32_t> sure;
  for (const std::uint32_t i : samples) {
    if (!is_loose(i)) sure.push_back(i);
  }
  const TableEntry first = options(sure, target).front();
  std::string value;
  switch (first.kind) {
    case Kind::hold: value = names_[target]; break;
    case Kind::toggle: value = names_[target] + "'"; break;
    case Kind::expression: value = first.expression; break;
    default: value = name_of(first.kind);
  }
  if (value.empty()) return {Kind::indeterminate, {}};
  return {Kind::indeterminate, value, condition.expression, !undecided};
}

bool EntryFinder::decides(std::span<const std::uint32_t> samples, const SampleWord& word,
                          std::span<const std::uint32_t> nets) const {
  std::unordered_map<std::uint64_t, Kind> after;
  for (const std::uint32_t i : samples) {
    const StepSample& sample = steps_.samples[i];
    std::uint64_t key = 0;
    for (const std::uint32_t n : nets)
      key = key << 2 | static_cast<std::uint64_t>(nets_.before(shown_[n], sample));
    const Kind kind = word(i);
    if (after.try_emplace(key, kind).first->second != kind) return false;
  }
  return true;
}

TableEntry EntryFinder::sum_of_products(std::span<const std::uint32_t> samples, const SampleWord& word) const {
  // Nets that are 0 or 1 in all samples may be variables.
  std::vector<std::uint32_t> usable;
  for (std::uint32_t n = 0; n < shown_.size() && usable.size() < 32; ++n) {
    bool binary = true;
    for (const std::uint32_t i : samples)
      binary = binary && is_binary(nets_.before(shown_[n], steps_.samples[i]));
    if (binary) usable.push_back(n);
  }
  if (!decides(samples, word, usable)) return {Kind::expression, {}};
  std::vector<std::uint32_t> chosen;
  const auto try_set = [&](std::vector<std::uint32_t> set) {
    if (!chosen.empty() || !decides(samples, word, set)) return;
    chosen = std::move(set);
  };
  const std::size_t n = usable.size();
  for (std::size_t a = 0; a < n; ++a) try_set({usable[a]});
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) try_set({usable[a], usable[b]});
  }
  for (std::size_t a = 0; a < n && n <= 12; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) {
      for (std::size_t c = b + 1; c < n; ++c) try_set({usable[a], usable[b], usable[c]});
    }
  }
  if (chosen.empty()) {
    chosen = usable;
    for (std::size_t i = chosen.size(); i-- > 0;) {
      auto fewer = chosen;
      fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
      if (decides(samples, word, fewer)) chosen = std::move(fewer);
    }
  }
  if (chosen.size() > most_variables) return {Kind::expression, {}};

  const auto variables = static_cast<unsigned>(chosen.size());
  FunctionBits on(function_words(variables), 0), free(on.size(), ~std::uint64_t{0});
  std::vector<std::string> names;
  for (const std::uint32_t k : chosen) names.push_back(names_[k]);
  for (const std::uint32_t i : samples) {
    const StepSample& sample = steps_.samples[i];
    std::uint32_t v = 0;
    for (const std::uint32_t k : chosen)
      v = v << 1 | static_cast<std::uint32_t>(nets_.before(shown_[k], sample));
    const std::uint64_t bit = std::uint64_t{1} << (v & 63);
    free[v >> 6] &= ~bit;
    if (word(i) == Kind::one) on[v >> 6] |= bit;
  }
  return {Kind::expression, equation_text(minimise(variables, on, free).cubes, names)};
}

}  // namespace settle
