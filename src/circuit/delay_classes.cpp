// A circuit is either in unit delays (bare numbers, or none at all) or in physical ones. The tick
// of a physical circuit is the finest unit that its gates or the stimulus use, so every delay
// comes out whole. Gates share delays, so each keeps the 16-bit number of its class only.
#include "circuit/delay_classes.h"

#include <fmt/format.h>

#include <algorithm>

#include "settle/time.h"

namespace settle {
namespace {

constexpr std::size_t most_classes = 65536;
constexpr std::uint64_t longest = std::uint64_t{1} << 62;

bool is_gate(const Statement& statement) { return statement.builtin >= 0; }

TimeUnit finer(TimeUnit a, TimeUnit b) {
  if (a == TimeUnit::none) return b;
  if (b == TimeUnit::none) return a;
  return std::min(a, b);  // listed from fs up
}

}  // namespace

std::size_t DelayClasses::Hash::operator()(const GateDelay& delay) const {
  std::uint64_t h = 0;
  for (const auto part :
       {delay.rise.min, delay.rise.typ, delay.rise.max, delay.fall.min, delay.fall.typ, delay.fall.max}) {
    h = (h ^ part) * 0x9e3779b97f4a7c15u;
    h ^= h >> 29;
  }
  return h;
}

const Attributes* DelayClasses::attributes_of(const Statement& statement) const {
  if (statement.attributes == Connection::no_select) return nullptr;
  return &netlist_.attributes[statement.attributes];
}

void DelayClasses::look_at(std::uint32_t cell, const CellPlan& plan) {
  const auto file = netlist_.cells[cell].place.file;
  for (const auto& planned : plan.statements) {
    const auto& statement = netlist_.statements[planned.statement];
    if (!is_gate(statement)) continue;
    const auto* written = attributes_of(statement);
    if (written != nullptr && !written->part.empty()) has_parts_ = true;
    if (written == nullptr || !written->has_delay) {
      // A pull never changes, so it needs no delay.
      if (!first_without_.exists() && !is_pull(static_cast<GateKind>(statement.builtin))) {
        first_without_ = {file, statement.name_offset};
        without_name_ = statement.name;
      }
    } else if (written->unit == TimeUnit::none) {
      if (!first_bare_.exists()) first_bare_ = {file, written->offset};
    } else {
      tick_ = finer(tick_, written->unit);
    }
  }
}

void DelayClasses::choose_tick() {
  if (source_ != nullptr && source_->needs_parts() && (!has_parts_ || first_bare_.exists())) source_ = nullptr;
  if (source_ != nullptr && first_without_.exists()) tick_ = finer(tick_, TimeUnit::ps);
  if (tick_ == TimeUnit::none) return;
  tick_ = finer(tick_, finest_);
  if (first_bare_.exists()) {
    diagnostics_.error(first_bare_, "a delay in units among delays in physical time",
                       "give all gates a unit such as ns");
  }
  if (first_without_.exists() && source_ == nullptr) {
    diagnostics_.warning(first_without_, "mixed-delays",
                         fmt::format("gate '{}' has no delay, other gates have one; it gets 1 {}",
                                     netlist_.symbols->text(without_name_), name_of(tick_)),
                         "give all gates a delay, or none");
  }
}

bool DelayClasses::scale(DelayTriple& triple, TimeUnit unit) const {
  std::uint64_t factor = 1;
  for (auto step = static_cast<int>(tick_); step < static_cast<int>(unit) && tick_ != TimeUnit::none;
       ++step) {
    factor *= 1000;
  }
  for (auto* value : {&triple.min, &triple.typ, &triple.max}) {
    if (*value > longest / factor) return false;
    *value *= factor;
  }
  return true;
}

std::uint16_t DelayClasses::class_of(const GateDelay& delay, Place place) {
  const auto [entry, is_new] = class_of_.try_emplace(delay, static_cast<std::uint16_t>(classes_.size()));
  if (is_new) {
    if (classes_.size() == most_classes) {
      diagnostics_.error(place, fmt::format("more than {} different delays", most_classes));
      class_of_.erase(entry);
      return 0;
    }
    classes_.push_back(delay);
  }
  return entry->second;
}

// Physical figures, so that a tick is at most a picosecond.
void DelayClasses::take_from_source(Place place, const Statement& statement, PlanStatement& planned) {
  const auto kind = static_cast<GateKind>(statement.builtin);
  const auto* written = attributes_of(statement);
  const std::string_view part = written == nullptr ? std::string_view() : written->part;
  if (auto misfit = source_->misfit(kind, statement.inputs, part); !misfit.empty()) {
    diagnostics_.error(place, std::move(misfit), "name a part of this function, or none");
    return;
  }
  if (written != nullptr && written->has_delay) return;
  auto answer = source_->delay_of(kind, statement.inputs, part);
  if (!answer.delay) {
    diagnostics_.error(place, std::move(answer.error), std::move(answer.hint));
    return;
  }
  if (!answer.note.empty() && noted_.insert(answer.note).second) {
    diagnostics_.note(place, "similar-part", std::move(answer.note));
  }
  GateDelay delay = *answer.delay;
  if (scale(delay.rise, TimeUnit::ps) && scale(delay.fall, TimeUnit::ps)) planned.delay = class_of(delay, place);
}

void DelayClasses::assign(std::uint32_t cell, CellPlan& plan) {
  const auto file = netlist_.cells[cell].place.file;
  for (auto& planned : plan.statements) {
    const auto& statement = netlist_.statements[planned.statement];
    if (!is_gate(statement) || diagnostics_.is_full()) continue;
    const auto* written = attributes_of(statement);
    if (source_ != nullptr && !is_pull(static_cast<GateKind>(statement.builtin))) {
      const bool has_place = written != nullptr && written->offset != 0;
      take_from_source({file, has_place ? written->offset : statement.name_offset}, statement, planned);
    }
    if (written == nullptr || !written->has_delay) continue;
    GateDelay delay{written->rise, written->fall};
    if (!scale(delay.rise, written->unit) || !scale(delay.fall, written->unit)) {
      diagnostics_.error({file, written->offset},
                         fmt::format("this delay is too long to count in {}",
                                     tick_ == TimeUnit::none ? "units" : name_of(tick_)));
      continue;
    }
    planned.delay = class_of(delay, {file, written->offset});
  }
}

}  // namespace settle
