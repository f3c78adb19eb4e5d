// Faults at the bench.
//
// All faults are simulated side by side, 63 in a word, with the intended circuit as the last lane of each.
// What is seen crosses lanes out. Faults are told apart by walks: from the present state, seeded sequences of
// input settings, mostly of one input at a time, and every place is looked at after each. A fault's signature
// is the sum (in GF(2)) of a random number for each look at which it differs from the intended circuit, so
// it costs only where it differs; equal signatures are taken for equal behaviour (wrong once in 2^64). The
// same walks give the next look: that with the largest entropy of the answer, less a little for each
// setting, and for a pin that must be probed. Cost: walks x settings x (a run to rest + places) a word.
#include <algorithm>
#include <bit>
#include <cmath>
#include <random>
#include <unordered_map>

#include "settle/diagnose.h"
#include "sim/mix.h"

namespace settle {
namespace {

constexpr unsigned reference_lane = 63;

LaneWord without_z(LaneWord w) {
  const std::uint64_t z = ~(w.may_be_one | w.may_be_zero);
  return {w.may_be_one | z, w.may_be_zero | z};
}

/// All lanes as the last one.
LaneWord as_reference(LaneWord w) {
  const auto spread = [](std::uint64_t bits) { return (bits >> reference_lane & 1) != 0 ? ~std::uint64_t{0} : 0; };
  return {spread(w.may_be_one), spread(w.may_be_zero)};
}

double entropy(std::uint32_t a, std::uint32_t b, std::uint32_t c) {
  const double all = static_cast<double>(a) + b + c;
  double bits = 0;
  for (const std::uint32_t n : {a, b, c}) {
    if (n != 0) bits -= n / all * std::log2(n / all);
  }
  return bits;
}

/// Sequences of input settings from the present one.
std::vector<std::vector<std::vector<Value>>> make_walks(std::span<const Value> present, std::uint32_t count, std::uint32_t steps,
                                                        std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<std::vector<std::vector<Value>>> walks(present.empty() ? 0 : count);
  for (auto& walk : walks) {
    std::vector<Value> inputs(present.begin(), present.end());
    for (std::uint32_t step = 0; step < steps; ++step) {
      const bool is_known = std::all_of(inputs.begin(), inputs.end(), is_binary);
      if (!is_known || random() % 4 == 0) {
        for (Value& value : inputs) value = to_value(random() % 2 != 0);
      } else {
        Value& value = inputs[random() % inputs.size()];
        value = inverted(value);
      }
      walk.push_back(inputs);
    }
  }
  return walks;
}

}  // namespace

FaultSession::FaultSession(const FaultModel& model, const DiagnoseOptions& options, std::span<const Value> gates)
    : model_(&model), options_(options), start_(gates.begin(), gates.end()), misses_(model.faults.size(), 0),
      contradicted_by_(model.faults.size(), no_id), left_out_(model.places.size(), false) {
  std::vector<std::uint32_t> all(model.faults.size());
  for (std::uint32_t i = 0; i < all.size(); ++i) all[i] = i;
  make_batches(all);
}

void FaultSession::make_batches(std::span<const std::uint32_t> faults) {
  batches_.clear();
  batches_.reserve(faults.size() / faults_a_batch + 1);
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
    if (!start_.empty()) batch.kernel.power_up(start_);
    for (const auto& inputs : steps_) batch.kernel.apply(inputs);
    batches_.push_back(std::move(batch));
  }
}

/// Crossed-out lanes cost as much as others: when half are, the rest is packed anew and brought to the present
/// state.
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
  make_batches(left);
}

void FaultSession::apply(std::span<const Value> inputs) {
  steps_.emplace_back(inputs.begin(), inputs.end());
  for (Batch& batch : batches_) {
    if (is_set(options_.stop)) return;
    batch.kernel.apply(inputs);
  }
}

/// The values at a place. `seen_from` is where the places of `batch.seen` stand; places must ascend.
LaneWord FaultSession::word_at(const Batch& batch, const FaultModel& model, std::uint32_t place, std::size_t& seen_from) {
  LaneWord word = batch.kernel.word({model.places[place].net, false});
  while (seen_from < batch.seen.size() && batch.seen[seen_from].place < place) ++seen_from;
  for (; seen_from < batch.seen.size() && batch.seen[seen_from].place == place; ++seen_from) {
    const std::uint64_t lane = batch.seen[seen_from].lane;
    const LaneWord other = batch.kernel.word(batch.seen[seen_from].signal);
    word = {(word.may_be_one & ~lane) | (other.may_be_one & lane), (word.may_be_zero & ~lane) | (other.may_be_zero & lane)};
  }
  return without_z(word);
}

void FaultSession::observe(std::uint32_t place, Value value, Place source) {
  Observation observation{place, as_input(value), static_cast<std::uint32_t>(steps_.size()), source, Value::x};
  const auto index = static_cast<std::uint32_t>(observations_.size());
  for (Batch& batch : batches_) {
    std::size_t from = 0;
    const LaneWord word = word_at(batch, *model_, place, from);
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
  for (const Batch& batch : batches_) {
    const auto at = std::find(batch.faults.begin(), batch.faults.end(), fault);
    if (at == batch.faults.end()) continue;
    std::size_t from = 0;
    return word_at(batch, *model_, place, from).at(static_cast<unsigned>(at - batch.faults.begin()));
  }
  return Value::x;
}

Outlook FaultSession::look_ahead(Progress* progress) const {
  Outlook outlook;
  const std::vector<std::uint32_t> leaders = leading();
  if (leaders.empty()) return outlook;
  if (leaders.size() == 1) {
    outlook.groups.push_back({leaders, 0});
    return outlook;
  }
  std::vector<std::uint64_t> signature(model_->faults.size(), 0);
  std::vector<std::pair<const Batch*, std::uint64_t>> at_work;  // with the lanes that lead
  {
    std::size_t next = 0;
    for (const Batch& batch : batches_) {
      std::uint64_t lanes = 0;
      for (std::size_t i = 0; i < batch.faults.size(); ++i) {
        while (next < leaders.size() && leaders[next] < batch.faults[i]) ++next;
        if (next < leaders.size() && leaders[next] == batch.faults[i]) lanes |= std::uint64_t{1} << i;
      }
      if (lanes != 0) at_work.emplace_back(&batch, lanes);
    }
  }
  const std::vector<Value> unset(model_->network.input_count(), Value::x);
  const std::span<const Value> present = steps_.empty() ? std::span<const Value>(unset) : std::span<const Value>(steps_.back());
  // Fewer walks for many faults, and for many places, whose counts are kept.
  const std::size_t most_walks = std::clamp<std::size_t>(8'000'000 / (model_->places.size() * options_.walk_steps + 1), 1, options_.walks);
  const auto walk_count = static_cast<std::uint32_t>(std::clamp<std::size_t>(600 / at_work.size(), std::min<std::size_t>(3, most_walks), most_walks));
  const auto walks = make_walks(present, walk_count, options_.walk_steps, options_.seed);
  const std::size_t places = model_->places.size();
  struct Counts {
    std::uint32_t zeros = 0, ones = 0, unknown = 0;
  };
  // Look 0 of the first walk is the present state.
  const std::size_t looks = walks.size() * options_.walk_steps + 1;
  std::vector<Counts> counts(looks * places);
  start_progress(progress, "looking ahead", "words of faults", at_work.size());
  for (const auto& work : at_work) {
    const Batch* const batch = work.first;
    const std::uint64_t lanes = work.second;
    if (is_set(options_.stop)) return outlook;
    const auto look = [&](const Batch& at, std::size_t number) {
      std::size_t from = 0;
      for (std::uint32_t place = 0; place < places; ++place) {
        const LaneWord word = word_at(at, *model_, place, from);
        const LaneWord reference = as_reference(word);
        Counts& c = counts[number * places + place];
        c.ones += static_cast<std::uint32_t>(std::popcount(word.may_be_one & ~word.may_be_zero & lanes));
        c.zeros += static_cast<std::uint32_t>(std::popcount(word.may_be_zero & ~word.may_be_one & lanes));
        c.unknown += static_cast<std::uint32_t>(std::popcount(word.may_be_zero & word.may_be_one & lanes));
        const std::uint64_t key = (number * places + place) * 2;
        const auto add = [&](std::uint64_t differs, std::uint64_t plane) {
          if (differs == 0) return;
          const std::uint64_t summand = mix(key + plane + 1);
          for (; differs != 0; differs &= differs - 1) signature[at.faults[static_cast<std::size_t>(std::countr_zero(differs))]] ^= summand;
        };
        add((word.may_be_one ^ reference.may_be_one) & lanes, 0);
        add((word.may_be_zero ^ reference.may_be_zero) & lanes, 1);
      }
    };
    look(*batch, 0);
    std::size_t number = 1;
    for (const auto& walk : walks) {
      Batch copy = *batch;
      for (const auto& inputs : walk) {
        copy.kernel.apply(inputs);
        look(copy, number++);
      }
    }
    advance_progress(progress);
  }

  // Groups, in the order of their likeliest fault: kinds come in the order of what goes wrong most.
  std::unordered_map<std::uint64_t, std::size_t> group_of;
  for (const std::uint32_t fault : leaders) {
    const auto [at, is_new] = group_of.emplace(signature[fault], outlook.groups.size());
    if (is_new) outlook.groups.push_back({{}, signature[fault]});
    outlook.groups[at->second].faults.push_back(fault);
  }
  const auto likelier = [&](std::uint32_t a, std::uint32_t b) { return model_->faults[a].kind < model_->faults[b].kind; };
  for (FaultGroup& group : outlook.groups) std::stable_sort(group.faults.begin(), group.faults.end(), likelier);
  std::stable_sort(outlook.groups.begin(), outlook.groups.end(), [&](const FaultGroup& a, const FaultGroup& b) {
    return likelier(a.faults.front(), b.faults.front());
  });
  if (outlook.groups.size() < 2) return outlook;

  double best = 0;
  std::size_t best_look = 0;
  for (std::size_t number = 0; number < looks; ++number) {
    const std::size_t settings = number == 0 ? 0 : (number - 1) % options_.walk_steps + 1;
    for (std::uint32_t place = 0; place < places; ++place) {
      if (left_out_[place]) continue;
      const Counts& c = counts[number * places + place];
      const double bits = entropy(c.zeros, c.ones, c.unknown);
      if (bits <= 0) continue;
      const FaultPlace& where = model_->places[place];
      const double effort = 0.02 * static_cast<double>(settings) + (where.is_output ? 0 : where.is_pin ? 0.04 : 0.02);
      const double worth = bits / (1 + effort);
      if (worth <= best) continue;
      best = worth;
      best_look = number;
      outlook.next = NextLook{{}, place, c.zeros, c.ones, c.unknown, bits};
    }
  }
  if (outlook.next && best_look != 0) {
    const auto& walk = walks[(best_look - 1) / options_.walk_steps];
    const auto settings = static_cast<std::ptrdiff_t>((best_look - 1) % options_.walk_steps + 1);
    outlook.next->inputs.assign(walk.begin(), walk.begin() + settings);
  }
  return outlook;
}

}  // namespace settle
