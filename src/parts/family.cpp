// Looking things up in a family library, and the delays of gates.
#include "settle/family.h"

#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "settle/catalogue.h"

namespace settle {
namespace {

using Kinds = std::span<const GateKind>;

/// What a gate kind is made from, in the order of likeness, itself first.
Kinds likeness(GateKind kind) {
  using enum GateKind;
  static constexpr GateKind bufs[] = {buf, and_, or_, bufif1, bufif0};
  static constexpr GateKind nots[] = {not_, nand, nor};
  static constexpr GateKind ands[] = {and_, or_};
  static constexpr GateKind nands[] = {nand, nor, not_};
  static constexpr GateKind ors[] = {or_, and_};
  static constexpr GateKind nors[] = {nor, nand, not_};
  static constexpr GateKind xors[] = {xor_, xnor};
  static constexpr GateKind xnors[] = {xnor, xor_};
  static constexpr GateKind low[] = {bufif0, bufif1, buf};
  static constexpr GateKind high[] = {bufif1, bufif0, buf};
  static constexpr GateKind not_low[] = {notif0, notif1, bufif0, bufif1, not_};
  static constexpr GateKind not_high[] = {notif1, notif0, bufif1, bufif0, not_};
  switch (kind) {
    case buf: return bufs;
    case not_: return nots;
    case and_: return ands;
    case nand: return nands;
    case or_: return ors;
    case nor: return nors;
    case xor_: return xors;
    case xnor: return xnors;
    case bufif0: return low;
    case bufif1: return high;
    case notif0: return not_low;
    case notif1: return not_high;
    case pullup:
    case pulldown: break;
  }
  return bufs;
}

/// "an and of 2 inputs", "a not".
std::string described(GateKind kind, std::uint32_t inputs) {
  const std::string_view name = name_of(kind);
  const std::string_view article = name[0] == 'a' || name[0] == 'o' || name[0] == 'x' ? "an" : "a";
  return fmt::format("{} {}{}", article, name,
                     is_three_state(kind) || inputs < 2 ? "" : fmt::format(" of {} inputs", inputs));
}

bool same_letters(std::string_view a, std::string_view b) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [&](char x, char y) { return lower(x) == lower(y); });
}

DelayTriple triple(const EdgeFigures& edge) { return {edge.min.ps, edge.typ.ps, edge.max.ps}; }

/// The gate that a kind with one input amounts to.
GateKind with_inputs(GateKind kind, std::uint32_t inputs) {
  if (inputs != 1) return kind;
  switch (kind) {
    case GateKind::nand:
    case GateKind::nor:
    case GateKind::xnor: return GateKind::not_;
    case GateKind::and_:
    case GateKind::or_:
    case GateKind::xor_: return GateKind::buf;
    default: return kind;
  }
}

}  // namespace

GateDelay GateFigures::delay() const { return {triple(rise), triple(fall)}; }

const GateFigures* Family::find(std::string_view number) const {
  const auto found =
      std::find_if(gates.begin(), gates.end(), [&](const GateFigures& g) { return g.number == number; });
  return found == gates.end() ? nullptr : &*found;
}

const GateFigures& Family::nearest(GateKind kind, std::uint32_t inputs) const {
  for (const GateKind like : likeness(kind)) {
    const GateFigures* best = nullptr;
    // As many inputs or the next more; failing that as many as there are.
    const auto rank = [&](const GateFigures& g) {
      return g.inputs >= inputs ? std::pair(0u, g.inputs - inputs) : std::pair(1u, inputs - g.inputs);
    };
    for (const GateFigures& g : gates) {
      if (g.kind == like && (best == nullptr || rank(g) < rank(*best))) best = &g;
    }
    if (best != nullptr) return *best;
  }
  return gates.front();
}

const Family* FamilyLibrary::find(std::string_view name) const {
  for (const Family& family : families) {
    if (same_letters(family.name, name)) return &family;
    for (const auto& alias : family.aliases) {
      if (same_letters(alias, name)) return &family;
    }
  }
  return nullptr;
}

std::string FamilyLibrary::names() const {
  std::string list;
  for (std::size_t i = 0; i < families.size(); ++i) {
    list += fmt::format("{}{}", i == 0 ? "" : i + 1 == families.size() ? " and " : ", ", families[i].name);
  }
  return list;
}

const GateFigures* FamilyLibrary::gate_of(std::string_view number) const {
  for (const Family& family : families) {
    if (const GateFigures* gate = family.find(number)) return gate;
  }
  return nullptr;
}

// A spare input of an AND or NAND is tied high, of an OR or NOR low, of an XOR either way: high turns it
// into an inverter. A NAND or NOR with its inputs joined is an inverter, an AND or OR a buffer.
bool fits(const GateFigures& part, GateKind kind, std::uint32_t inputs) {
  using enum GateKind;
  const GateKind wanted = with_inputs(kind, inputs);
  const GateKind given = part.kind;
  if (wanted == not_) return given == not_ || given == nand || given == nor || given == xor_ || given == xnor;
  if (wanted == buf) {
    return given == buf || given == and_ || given == or_ || given == xor_ || given == xnor ||
           given == bufif0 || given == bufif1;
  }
  return wanted == given && inputs <= part.inputs;
}

std::string FamilyDelays::misfit(GateKind kind, std::uint32_t inputs, std::string_view part) const {
  const auto number = part_number_from(part);
  const GateFigures* known = number ? library_.gate_of(number->number) : nullptr;
  if (known == nullptr || fits(*known, kind, inputs)) return {};
  return fmt::format("part '{}' is {}, the gate {}", part, described(known->kind, known->inputs),
                     described(kind, inputs));
}

const Family* FamilyDelays::family_of(std::string_view part, std::string& number, std::string& error) const {
  const auto named = part_number_from(part);
  if (!named) {
    error = fmt::format("'{}' is not the name of a 74 or 4000 series part", part);
    return nullptr;
  }
  number = named->number;
  if (named->family.empty()) return &family_;
  // Without buffers they are faster, and no figures tell how much.
  const bool is_unbuffered = named->family == "4000B" && part.find("UB") != std::string_view::npos;
  const Family* family = is_unbuffered ? nullptr : library_.find(named->family);
  if (family == nullptr) {
    error = fmt::format("there are no delays of family '{}' for part '{}'",
                        is_unbuffered ? "4000UB" : named->family, part);
  }
  return family;
}

DelaySource::Answer FamilyDelays::delay_of(GateKind kind, std::uint32_t inputs, std::string_view part) const {
  Answer answer;
  const Family* family = &family_;
  if (!part.empty()) {
    std::string number;
    family = family_of(part, number, answer.error);
    if (family == nullptr) {
      answer.hint = fmt::format("the families are {}; --families FILE adds more, and a {{delay=...}} of the gate comes first",
                                library_.names());
      return answer;
    }
    if (const GateFigures* exact = family->find(number)) {
      answer.delay = exact->delay();
      return answer;
    }
  } else if (only_with_parts_) {
    answer.note = fmt::format("gates that name no part get the delays of family {}", family->name);
  }
  const GateFigures& figures = family->nearest(kind, inputs);
  answer.delay = figures.delay();
  const bool is_same = figures.kind == kind && figures.inputs >= inputs;
  const bool is_spare = with_inputs(kind, inputs) == figures.kind;
  if (part.empty() && (is_same || is_spare)) return answer;
  answer.note = fmt::format("family {} has no figures for {}; it gets those of {}, {}", family->name,
                            part.empty() ? described(kind, inputs) : fmt::format("'{}'", part), figures.part,
                            described(figures.kind, figures.inputs));
  return answer;
}

}  // namespace settle
