// What a net becomes, in the words of a table.
#pragma once

#include <functional>

#include "analysis/step_samples.h"

namespace settle {

/// Finds entries for groups of samples: those with equal inputs after and equal edge.
class EntryFinder {
 public:
  /// `shown`: watched outputs, then inner nets, whose values before may be used; `names` of these.
  /// `inner`: how many of them are inner nets.
  EntryFinder(const StepSamples& steps, const WatchedNets& nets, std::span<const std::uint32_t> shown,
              std::span<const std::string> names, std::size_t inner);

  /// Entries that are true for all `samples` (indices, not empty), for shown net `target`; best
  /// first: a word for steps that do not settle, a constant, hold, toggle, an inner net, and only
  /// when none of these is true a sum of products of the fewest nets.
  std::vector<TableEntry> options(std::span<const std::uint32_t> samples, std::size_t target) const;

 private:
  using SampleWord = std::function<TableEntry::Kind(std::uint32_t sample)>;  // zero or one

  // `samples` of which some settle: what these do, and from which values before the others do not.
  TableEntry partly_loose(std::span<const std::uint32_t> samples, std::size_t target, bool undecided) const;
  TableEntry sum_of_products(std::span<const std::uint32_t> samples, const SampleWord& word) const;
  bool decides(std::span<const std::uint32_t> samples, const SampleWord& word,
               std::span<const std::uint32_t> nets) const;

  const StepSamples& steps_;
  const WatchedNets& nets_;
  std::vector<std::uint32_t> shown_;
  std::vector<std::string> names_;
  std::size_t inner_ = 0;
};

}  // namespace settle
