// Faults at the bench.
//
// All faults are simulated side by side, 63 in a word, with the intended circuit as the last lane of each.
// What is seen crosses lanes out. Crossed-out lanes cost as much as others, so the rest is packed anew now and
// then; a lane takes its state along, since at rest that is all that its circuit knows of the past.
#include <algorithm>
#include <bit>

#include "analysis/fault_lanes.h"
#include "settle/diagnose.h"

namespace settle {
FaultSession::FaultSession(const FaultModel& model, const DiagnoseOptions& options, std::span<const Value> gates)
    : model_(&model), options_(options), start_(gates.begin(), gates.end()), misses_(model.faults.size(), 0),
      contradicted_by_(model.faults.size(), no_id), left_out_(model.places.size(), false) {
  std::vector<std::uint32_t> all(model.faults.size());
  for (std::uint32_t i = 0; i < all.size(); ++i) all[i] = i;
  batches_ = batches_of(all);
}

/// Where a fault is at work; faults ascend in a batch and from batch to batch. No batch: nowhere.
FaultSession::Lane FaultSession::lane_of(std::uint32_t fault) const {
  const auto batch = std::partition_point(batches_.begin(), batches_.end(), [&](const Batch& b) { return b.faults.back() < fault; });
  if (batch == batches_.end()) return {nullptr, 0};
  const auto at = std::lower_bound(batch->faults.begin(), batch->faults.end(), fault);
  if (*at != fault) return {nullptr, 0};
  return {&*batch, static_cast<unsigned>(at - batch->faults.begin())};
}

/// Words of these faults in the present state. REQUIRES: they ascend, and when inputs have been applied each is
/// in a batch.
std::vector<FaultSession::Batch> FaultSession::batches_of(std::span<const std::uint32_t> faults) const {
  std::vector<Batch> batches;
  batches.reserve(faults.size() / faults_a_batch + 1);
  for (std::size_t first = 0; first < faults.size(); first += faults_a_batch) {
    const auto part = faults.subspan(first, std::min<std::size_t>(faults_a_batch, faults.size() - first));
    std::vector<const Fault*> lanes(64, model_->faults.data());
    for (std::size_t i = 0; i < part.size(); ++i) lanes[i] = &model_->faults[part[i]];
    Batch batch{FaultKernel(model_->network, lanes), {part.begin(), part.end()}, {}, 0};
    for (std::size_t i = 0; i < part.size(); ++i) {
      batch.alive |= std::uint64_t{1} << i;
      for (const Fault::Seen& seen : lanes[i]->seen) batch.seen.push_back({seen.place, std::uint64_t{1} << i, seen.signal});
    }
    std::stable_sort(batch.seen.begin(), batch.seen.end(), [](const auto& a, const auto& b) { return a.place < b.place; });
    if (!steps_.empty()) {
      std::vector<FaultKernel::LaneOf> from(64, {&batches_.front().kernel, reference_lane});
      for (std::size_t i = 0; i < part.size(); ++i) {
        const Lane now = lane_of(part[i]);
        from[i] = {&now.batch->kernel, now.lane};
      }
      batch.kernel.take_over(from);
    } else if (!start_.empty()) {
      batch.kernel.power_up(start_);
    }
    batches.push_back(std::move(batch));
  }
  return batches;
}

/// When half of the lanes are crossed out, the rest is packed anew.
void FaultSession::drop_idle_lanes() {
  // When no fault is left, one word stays: its last lane still says what the intended circuit would show.
  const bool any = std::any_of(batches_.begin(), batches_.end(), [](const Batch& batch) { return batch.alive != 0; });
  if (!any) {
    if (batches_.size() > 1) batches_.erase(batches_.begin() + 1, batches_.end());
    return;
  }
  std::erase_if(batches_, [](const Batch& batch) { return batch.alive == 0; });
  std::size_t alive = 0, lanes = 0;
  for (const Batch& batch : batches_) {
    alive += static_cast<std::size_t>(std::popcount(batch.alive));
    lanes += batch.faults.size();
  }
  if (alive * 2 > lanes) return;
  std::vector<std::uint32_t> left;
  for (const Batch& batch : batches_) {
    for (std::size_t i = 0; i < batch.faults.size(); ++i) {
      if ((batch.alive >> i & 1) != 0) left.push_back(batch.faults[i]);
    }
  }
  batches_ = batches_of(left);
}

void FaultSession::apply(std::span<const Value> inputs) {
  steps_.emplace_back(inputs.begin(), inputs.end());
  for (Batch& batch : batches_) {
    if (is_set(options_.stop)) return;
    batch.kernel.apply(inputs);
  }
}

/// The values at a place.
LaneWord FaultSession::word_at(const Batch& batch, const FaultModel& model, std::uint32_t place) {
  LaneWord word = batch.kernel.word({model.places[place].net, false});
  auto seen = std::lower_bound(batch.seen.begin(), batch.seen.end(), place, [](const Batch::Seen& s, std::uint32_t p) { return s.place < p; });
  for (; seen != batch.seen.end() && seen->place == place; ++seen) {
    const LaneWord other = batch.kernel.word(seen->signal);
    word = {(word.may_be_one & ~seen->lane) | (other.may_be_one & seen->lane), (word.may_be_zero & ~seen->lane) | (other.may_be_zero & seen->lane)};
  }
  return without_z(word);
}

void FaultSession::observe(std::uint32_t place, Value value, Place source) {
  Observation observation{place, as_input(value), static_cast<std::uint32_t>(steps_.size()), source, Value::x};
  const auto index = static_cast<std::uint32_t>(observations_.size());
  for (Batch& batch : batches_) {
    const LaneWord word = word_at(batch, *model_, place);
    observation.intended = word.at(reference_lane);
    // What a binary observation contradicts, and what it leaves open.
    const std::uint64_t one = word.may_be_one & ~word.may_be_zero, zero = word.may_be_zero & ~word.may_be_one;
    const std::uint64_t open = word.may_be_one & word.may_be_zero;
    const std::uint64_t wrong = observation.value == Value::one ? zero : observation.value == Value::zero ? one : 0;
    const std::uint64_t missed = batch.alive & (is_binary(observation.value) ? open : one | zero);
    for (std::uint64_t lanes = batch.alive & wrong; lanes != 0; lanes &= lanes - 1) {
      contradicted_by_[batch.faults[static_cast<std::size_t>(std::countr_zero(lanes))]] = index;
    }
    for (std::uint64_t lanes = missed; lanes != 0; lanes &= lanes - 1) {
      ++misses_[batch.faults[static_cast<std::size_t>(std::countr_zero(lanes))]];
    }
    batch.alive &= ~wrong;
  }
  observations_.push_back(observation);
  drop_idle_lanes();
}

std::uint64_t FaultSession::possible() const {
  std::uint64_t count = 0;
  for (const Batch& batch : batches_) count += static_cast<std::uint64_t>(std::popcount(batch.alive));
  return count;
}

std::vector<std::uint32_t> FaultSession::leading() const {
  std::vector<std::uint32_t> faults;
  std::uint32_t least = no_id;
  for (std::uint32_t f = 0; f < misses_.size(); ++f) {
    if (!is_possible(f)) continue;
    if (misses_[f] < least) {
      least = misses_[f];
      faults.clear();
    }
    if (misses_[f] == least) faults.push_back(f);
  }
  return faults;
}

Value FaultSession::predicted(std::uint32_t fault, std::uint32_t place) const {
  const Lane at = lane_of(fault);
  if (at.batch == nullptr) return Value::x;
  return word_at(*at.batch, *model_, place).at(at.lane);
}

}  // namespace settle
