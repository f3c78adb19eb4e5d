// Keeps the changes of chosen nets; other nets cost one table look-up.
#pragma once

#include <span>
#include <utility>
#include <vector>

#include "settle/circuit.h"
#include "settle/waveform.h"

namespace settle {

class Recorder {
 public:
  explicit Recorder(const Circuit& circuit) : slot_(circuit.net_count(), no_id) {}

  /// Keeps this net from now on; must come before start().
  void watch(NetId net) {
    if (slot_[net] != no_id) return;
    slot_[net] = static_cast<std::uint32_t>(nets_.size());
    nets_.push_back(net);
  }
  bool watches(NetId net) const { return slot_[net] != no_id; }

  /// First entry of every watched net, at time 0.
  void start(std::span<const Value> values) {
    changes_.assign(nets_.size(), {});
    for (std::size_t i = 0; i < nets_.size(); ++i) changes_[i].push_back({0, values[nets_[i]]});
    total_ = nets_.size();
  }

  /// Takes the new values of nets that changed at `time`. Several changes at one time leave the
  /// last value only.
  void record(Time time, std::span<const NetId> changed, std::span<const Value> values) {
    for (std::size_t i = 0; i < changed.size(); ++i) {
      if (i + 2 * ahead < changed.size()) fetch_list(changed[i + 2 * ahead]);
      if (i + ahead < changed.size()) fetch_end(changed[i + ahead]);
      const std::uint32_t slot = slot_[changed[i]];
      if (slot != no_id) append(changes_[slot], time, values[changed[i]]);
    }
  }

  const std::vector<Change>& changes(NetId net) const { return changes_[slot_[net]]; }
  /// The changes of a net at the end of a run, once: nothing is left of them here.
  std::vector<Change> take(NetId net) { return std::move(changes_[slot_[net]]); }
  std::uint64_t total() const { return total_; }

 private:
  // The lists lie in no order of the changes: what comes soon is asked for, first the list, then its end.
  static constexpr std::size_t ahead = 8;
  void fetch_list([[maybe_unused]] NetId net) const {
#if defined(__GNUC__)
    if (slot_[net] != no_id) __builtin_prefetch(&changes_[slot_[net]]);
#endif
  }
  void fetch_end([[maybe_unused]] NetId net) const {
#if defined(__GNUC__)
    if (slot_[net] == no_id) return;
    const std::vector<Change>& changes = changes_[slot_[net]];
    __builtin_prefetch(changes.data() + (changes.size() - 1));
#endif
  }

  void append(std::vector<Change>& changes, Time time, Value value) {
    if (changes.back().time == time) {
      changes.back().value = value;
      if (changes.size() > 1 && changes[changes.size() - 2].value == value) changes.pop_back();
    } else if (changes.back().value != value) {
      changes.push_back({time, value});
      ++total_;
    }
  }

  std::vector<std::uint32_t> slot_;
  std::vector<NetId> nets_;
  std::vector<std::vector<Change>> changes_;
  std::uint64_t total_ = 0;
};

}  // namespace settle
