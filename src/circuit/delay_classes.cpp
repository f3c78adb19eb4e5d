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

const Attributes* DelayClasses::delay_of(const Statement& statement) const {
  if (statement.attributes == Connection::no_select) return nullptr;
  const auto& attributes = netlist_.attributes[statement.attributes];
  return attributes.has_delay ? &attributes : nullptr;
}

void DelayClasses::look_at(std::uint32_t cell, const CellPlan& plan) {
  const auto file = netlist_.cells[cell].place.file;
  for (const auto& planned : plan.statements) {
    const auto& statement = netlist_.statements[planned.statement];
    if (!is_gate(statement)) continue;
    const auto* delay = delay_of(statement);
    if (delay == nullptr) {
      // A pull never changes, so it needs no delay.
      if (!first_without_.exists() && !is_pull(static_cast<GateKind>(statement.builtin))) {
        first_without_ = {file, statement.name_offset};
        without_name_ = statement.name;
      }
    } else if (delay->unit == TimeUnit::none) {
      if (!first_bare_.exists()) first_bare_ = {file, delay->offset};
    } else {
      if (!first_physical_.exists()) first_physical_ = {file, delay->offset};
      tick_ = finer(tick_, delay->unit);
    }
  }
}

void DelayClasses::choose_tick() {
  if (tick_ == TimeUnit::none) return;
  tick_ = finer(tick_, finest_);
  if (first_bare_.exists()) {
    diagnostics_.error(first_bare_, "a delay in units among delays in physical time",
                       "give all gates a unit such as ns");
  }
  if (first_without_.exists()) {
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

void DelayClasses::assign(std::uint32_t cell, CellPlan& plan) {
  const auto file = netlist_.cells[cell].place.file;
  for (auto& planned : plan.statements) {
    const auto& statement = netlist_.statements[planned.statement];
    const auto* written = is_gate(statement) ? delay_of(statement) : nullptr;
    if (written == nullptr) continue;
    GateDelay delay{written->rise, written->fall};
    if (!scale(delay.rise, written->unit) || !scale(delay.fall, written->unit)) {
      diagnostics_.error({file, written->offset},
                         fmt::format("this delay is too long to count in {}",
                                     tick_ == TimeUnit::none ? "units" : name_of(tick_)));
      continue;
    }
    const auto [entry, is_new] = class_of_.try_emplace(delay, static_cast<std::uint16_t>(classes_.size()));
    if (is_new) {
      if (classes_.size() == most_classes) {
        diagnostics_.error({file, written->offset},
                           fmt::format("more than {} different delays", most_classes));
        class_of_.erase(entry);
        return;
      }
      classes_.push_back(delay);
    }
    planned.delay = entry->second;
  }
}

}  // namespace settle
