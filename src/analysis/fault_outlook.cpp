// What the leading faults would do next, and the look that splits them best.
//
// Faults are told apart by walks: from the present state, seeded sequences of input settings, mostly of one
// input at a time, and every place is looked at after each. The leading faults are packed into words of their
// own for that, since every lane that is not asked for costs a second evaluation of what its fault stands on.
// Few places move at a setting, so all that is kept of a walk is what changes. A fault's signature is the sum
// (in GF(2)) of a random number for each look at which it begins or ceases to differ from the intended
// circuit; equal signatures are taken for equal behaviour (wrong once in 2^64). Counts of answers are kept as
// differences from the look before. The next look is that with the largest entropy of the answer, less a
// little for each setting, and for a pin that must be probed; where no answer has changed, the look before
// was the better one. Cost: walks x settings x (a run to rest + places that move) a word.
#include <algorithm>
#include <bit>
#include <cmath>
#include <random>
#include <unordered_map>

#include "analysis/fault_lanes.h"
#include "settle/diagnose.h"
#include "sim/mix.h"

namespace settle {
namespace {

/// All lanes as the last one.
LaneWord as_reference(LaneWord w) {
  const auto spread = [](std::uint64_t bits) {
    return (bits >> reference_lane & 1) != 0 ? ~std::uint64_t{0} : 0;
  };
  return {spread(w.may_be_one), spread(w.may_be_zero)};
}

/// Where lanes differ from the last one, by plane.
LaneWord difference_from_reference(LaneWord w) {
  const LaneWord reference = as_reference(w);
  return {w.may_be_one ^ reference.may_be_one, w.may_be_zero ^ reference.may_be_zero};
}

/// Faults that give each answer, or how many more than at the look before.
struct AnswerCounts {
  std::int32_t zeros = 0, ones = 0, unknown = 0;
  bool is_new = false;  // something has changed since the look before

  void add(LaneWord word, std::uint64_t lanes, std::int32_t sign) {
    ones += sign * std::popcount(word.may_be_one & ~word.may_be_zero & lanes);
    zeros += sign * std::popcount(word.may_be_zero & ~word.may_be_one & lanes);
    unknown += sign * std::popcount(word.may_be_zero & word.may_be_one & lanes);
  }
  void add(const AnswerCounts& other) {
    zeros += other.zeros;
    ones += other.ones;
    unknown += other.unknown;
  }
};

/// The entropy of answers that `all` faults give, with each logarithm taken once.
class AnswerEntropy {
 public:
  explicit AnswerEntropy(std::size_t all) : all_(static_cast<double>(all)), terms_(all + 1, -1) {}

  double bits(const AnswerCounts& c) {
    double sum = 0;
    for (const std::int32_t n : {c.zeros, c.ones, c.unknown}) {
      if (n != 0) sum += term(static_cast<std::size_t>(n));
    }
    return sum;
  }

 private:
  double term(std::size_t n) {
    if (terms_[n] < 0)
      terms_[n] = std::abs(static_cast<double>(n) / all_ * std::log2(static_cast<double>(n) / all_));
    return terms_[n];
  }
  double all_;
  std::vector<double> terms_;  // below 0: not yet known
};

using Walk = std::vector<std::vector<Value>>;

/// Sequences of input settings from the present one.
std::vector<Walk> make_walks(std::span<const Value> present, std::uint32_t count, std::uint32_t steps,
                             std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<Walk> walks(present.empty() ? 0 : count);
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

/// The places that show a net in the intended circuit.
struct PlacesOfNets {
  std::vector<std::uint32_t> start, places;

  explicit PlacesOfNets(const FaultModel& model)
      : start(model.network.net_count() + 1, 0), places(model.places.size()) {
    for (const FaultPlace& place : model.places) ++start[place.net + 1];
    for (std::size_t net = 1; net < start.size(); ++net) start[net] += start[net - 1];
    std::vector<std::uint32_t> at(start.begin(), start.end() - 1);
    for (std::uint32_t place = 0; place < model.places.size(); ++place)
      places[at[model.places[place].net]++] = place;
  }
};

}  // namespace

/// One word of faults on its walks, and what all places show.
class FaultSession::Watch {
 public:
  /// All must outlive it.
  Watch(const Batch& batch, const FaultModel& model, const PlacesOfNets& places_of)
      : model_(model), places_of_(places_of), start_(batch), at_(batch), is_stale_(model.places.size(), 0) {
    for (const Batch::Seen& seen : batch.seen) elsewhere_.push_back({seen.signal, seen.place});
    std::sort(elsewhere_.begin(), elsewhere_.end(),
              [](const Elsewhere& a, const Elsewhere& b) { return key(a.signal) < key(b.signal); });
    has_elsewhere_.assign((std::size_t{model.network.net_count()} + model.network.driver_count()) * 2, 0);
    for (const Elsewhere& e : elsewhere_) has_elsewhere_[key(e.signal)] = 1;
    for (std::uint32_t place = 0; place < model.places.size(); ++place)
      first_.push_back(word_at(at_, model, place));
    words_ = first_;
  }

  const std::vector<LaneWord>& words() const { return words_; }

  /// Back to the present state.
  void go_back() {
    at_.kernel = start_.kernel;
    words_ = first_;
  }

  /// Tells `tell(place, before, now)` for each place that shows other values after this setting.
  template <typename Tell>
  void apply(std::span<const Value> inputs, const Tell& tell) {
    at_.kernel.apply(inputs);
    for (const SignalRef signal : at_.kernel.moved()) {
      if (!signal.is_driver) {
        for (std::uint32_t i = places_of_.start[signal.index]; i < places_of_.start[signal.index + 1]; ++i)
          mark(places_of_.places[i]);
      }
      if (has_elsewhere_[key(signal)] == 0) continue;
      auto e = std::lower_bound(elsewhere_.begin(), elsewhere_.end(), key(signal),
                                [](const Elsewhere& a, std::size_t b) { return key(a.signal) < b; });
      for (; e != elsewhere_.end() && e->signal == signal; ++e) mark(e->place);
    }
    for (const std::uint32_t place : stale_) {
      is_stale_[place] = 0;
      const LaneWord word = word_at(at_, model_, place);
      if (word == words_[place]) continue;
      tell(place, words_[place], word);
      words_[place] = word;
    }
    stale_.clear();
  }

 private:
  struct Elsewhere {  // a place that shows another signal for some fault
    SignalRef signal;
    std::uint32_t place;
  };
  static std::size_t key(SignalRef signal) {
    return std::size_t{signal.index} * 2 + (signal.is_driver ? 1 : 0);
  }

  void mark(std::uint32_t place) {
    if (is_stale_[place] != 0) return;
    is_stale_[place] = 1;
    stale_.push_back(place);
  }

  const FaultModel& model_;
  const PlacesOfNets& places_of_;
  const Batch& start_;
  Batch at_;
  std::vector<Elsewhere> elsewhere_;         // by signal
  std::vector<std::uint8_t> has_elsewhere_;  // by key of signal
  std::vector<LaneWord> first_, words_;      // by place
  std::vector<std::uint32_t> stale_;
  std::vector<std::uint8_t> is_stale_;  // by place
};

Outlook FaultSession::look_ahead(Progress* progress) const {
  Outlook outlook;
  const std::vector<std::uint32_t> leaders = leading();
  if (leaders.empty()) return outlook;
  if (leaders.size() == 1) {
    outlook.groups.push_back({leaders, 0});
    return outlook;
  }
  // The words that hold a leader, unless there is more in them: then words of leaders only.
  std::size_t words_at_work = 0, lanes_at_work = 0;
  {
    std::size_t next = 0;
    for (const Batch& batch : batches_) {
      while (next < leaders.size() && leaders[next] < batch.faults.front()) ++next;
      if (next == leaders.size() || leaders[next] > batch.faults.back()) continue;
      ++words_at_work;
      lanes_at_work += batch.faults.size();
    }
  }
  const bool is_packed = words_at_work == batches_.size() && lanes_at_work == leaders.size();
  const std::vector<Batch> packed = is_packed ? std::vector<Batch>() : batches_of(leaders);
  const std::vector<Batch>& at_work = is_packed ? batches_ : packed;

  const std::vector<Value> unset(model_->network.input_count(), Value::x);
  const std::span<const Value> present =
      steps_.empty() ? std::span<const Value>(unset) : std::span<const Value>(steps_.back());
  // Fewer walks for many faults, and for many places, whose counts are kept.
  const std::size_t most_walks = std::clamp<std::size_t>(
      8'000'000 / (model_->places.size() * options_.walk_steps + 1), 1, options_.walks);
  const auto walk_count = static_cast<std::uint32_t>(
      std::clamp<std::size_t>(600 / words_at_work, std::min<std::size_t>(3, most_walks), most_walks));
  const auto walks = make_walks(present, walk_count, options_.walk_steps, options_.seed);
  const std::size_t places = model_->places.size();
  const PlacesOfNets places_of(*model_);
  std::vector<std::uint64_t> signature(model_->faults.size(), 0);
  // Look 0 is the present state; the first look of each walk comes after it. `changes`: looks and places with
  // a difference from the look before.
  std::vector<AnswerCounts> counts((walks.size() * options_.walk_steps + 1) * places);
  std::vector<std::size_t> changes;
  start_progress(progress, "looking ahead", "words of faults", at_work.size());
  for (const Batch& batch : at_work) {
    if (is_set(options_.stop)) return outlook;
    const std::uint64_t lanes = batch.alive;
    Watch watch(batch, *model_, places_of);
    const auto sum_up = [&](std::size_t at, LaneWord toggles) {
      const auto add = [&](std::uint64_t faults, std::uint64_t plane) {
        if (faults == 0) return;
        const std::uint64_t summand = mix(std::uint64_t{at} * 2 + plane + 1);
        for (; faults != 0; faults &= faults - 1)
          signature[batch.faults[static_cast<std::size_t>(std::countr_zero(faults))]] ^= summand;
      };
      add(toggles.may_be_one & lanes, 0);
      add(toggles.may_be_zero & lanes, 1);
    };
    for (std::uint32_t place = 0; place < places; ++place) {
      counts[place].add(watch.words()[place], lanes, 1);
      sum_up(place, difference_from_reference(watch.words()[place]));
    }
    std::size_t first = places;  // of the counts of a look
    for (const Walk& walk : walks) {
      watch.go_back();
      for (const auto& inputs : walk) {
        watch.apply(inputs, [&](std::uint32_t place, LaneWord before, LaneWord now) {
          const std::size_t at = first + place;
          AnswerCounts& c = counts[at];
          c.add(now, lanes, 1);
          c.add(before, lanes, -1);
          if (!c.is_new) changes.push_back(at);
          c.is_new = true;
          const LaneWord was = difference_from_reference(before), is = difference_from_reference(now);
          sum_up(at, {was.may_be_one ^ is.may_be_one, was.may_be_zero ^ is.may_be_zero});
        });
        first += places;
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
  const auto likelier = [&](std::uint32_t a, std::uint32_t b) {
    return model_->faults[a].kind < model_->faults[b].kind;
  };
  for (FaultGroup& group : outlook.groups)
    std::stable_sort(group.faults.begin(), group.faults.end(), likelier);
  std::stable_sort(
      outlook.groups.begin(), outlook.groups.end(),
      [&](const FaultGroup& a, const FaultGroup& b) { return likelier(a.faults.front(), b.faults.front()); });
  if (outlook.groups.size() < 2) return outlook;

  AnswerEntropy entropy(leaders.size());
  double best = 0;
  std::size_t best_look = 0;
  const auto consider = [&](std::size_t look, std::uint32_t place, const AnswerCounts& c) {
    if (left_out_[place]) return;
    const double bits = entropy.bits(c);
    if (bits <= 0) return;
    const std::size_t settings = look == 0 ? 0 : (look - 1) % options_.walk_steps + 1;
    const FaultPlace& where = model_->places[place];
    const double effort = 0.02 * static_cast<double>(settings) + (where.is_output ? 0
                                                                  : where.is_pin  ? 0.04
                                                                                  : 0.02);
    const double worth = bits / (1 + effort);
    if (worth <= best) return;
    best = worth;
    best_look = look;
    const auto number = [](std::int32_t n) { return static_cast<std::uint32_t>(n); };
    outlook.next = NextLook{{}, place, number(c.zeros), number(c.ones), number(c.unknown), bits};
  };
  const std::vector<AnswerCounts> at_first(counts.begin(),
                                           counts.begin() + static_cast<std::ptrdiff_t>(places));
  for (std::uint32_t place = 0; place < places; ++place) consider(0, place, at_first[place]);
  std::sort(changes.begin(), changes.end());
  std::vector<AnswerCounts> now;
  std::size_t walk_of_now = walks.size();
  for (const std::size_t at : changes) {
    const std::size_t look = at / places, walk = (look - 1) / options_.walk_steps;
    const auto place = static_cast<std::uint32_t>(at % places);
    if (walk != walk_of_now) now = at_first;
    walk_of_now = walk;
    now[place].add(counts[at]);
    consider(look, place, now[place]);
  }
  if (outlook.next && best_look != 0) {
    const auto& walk = walks[(best_look - 1) / options_.walk_steps];
    const auto settings = static_cast<std::ptrdiff_t>((best_look - 1) % options_.walk_steps + 1);
    outlook.next->inputs.assign(walk.begin(), walk.begin() + settings);
  }
  return outlook;
}

}  // namespace settle
