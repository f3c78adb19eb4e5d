// Circuit -> chips: count the gates of each kind (place_plan.h), let place_program.h choose packages and
// ways, then give each gate its way and its place.
//
// Gates in loops get their own kind before other gates do, and gates of one loop stay together: loops go
// into chips largest first, each into the fullest chip that has room for all of it (best fit decreasing),
// and only what fits nowhere is split. That decides wire lengths, never the number of chips.
// Cost: linear in gates.
#include "settle/wiring.h"

#include <algorithm>
#include <deque>
#include <map>

#include <fmt/format.h>

#include "parts/board_text.h"
#include "parts/place_plan.h"
#include "parts/wiring_finish.h"

namespace settle {
namespace {

/// A gate of a package that is asked for, with its nets.
struct Request {
  WiredGate gate;
  std::uint32_t loop = no_id;
};

class ChipBuilder {
 public:
  ChipBuilder(const Circuit& circuit, const PlacePlan& plan, Wiring& wiring)
      : c_(circuit), plan_(plan), w_(wiring) {}

  void run(const PlaceAnswer& answer) {
    w_.lower_bound = answer.lower_bound;
    w_.is_fewest = answer.is_fewest;
    compare_with_none(answer.total);
    build_gates(answer);
    make_chips(answer);
  }

 private:
  void compare_with_none(std::uint64_t total) {
    if (plan_.problem().level == Substitute::none) {
      w_.chips_without_replacement = total;
      return;
    }
    // Named chips and wishes may need replacements themselves.
    PlaceProblem plain = plan_.problem();
    plain.level = Substitute::none;
    if (!impossible_needs(plain).empty()) return;
    if (const auto answer = solve_places(plain)) w_.chips_without_replacement = answer->total;
  }

  /// A gate still to be built: of the circuit, or a part of one.
  struct Open {
    PlaceClass gate;
    std::vector<WireNetId> inputs;
    WireNetId output = no_id;
    GateId origin = no_id;
    bool is_result = true;
    bool is_replacement = false;
  };

  void build_gates(const PlaceAnswer& answer) {
    std::map<PlaceClass, std::pair<const ClassPlan*, std::vector<std::uint64_t>>> plans;
    for (const ClassPlan& plan : answer.classes) plans.emplace(plan.gate, std::pair(&plan, plan.counts));
    w_.functions_checked = true;
    std::deque<Open> queue;
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) place_asked(gate);
    for (const auto& [gate, members] : plan_.members()) {
      for (const GateId g : members)
        queue.push_back({gate, plan_.nets_into(g), plan_.net_at(c_.visible_net(g)), g, true, false});
    }
    while (!queue.empty()) {
      Open open = std::move(queue.front());
      queue.pop_front();
      auto& [plan, counts] = plans.at(open.gate);
      const auto way = static_cast<std::size_t>(
          std::find_if(counts.begin(), counts.end(), [](std::uint64_t n) { return n > 0; }) - counts.begin());
      counts[way]--;
      follow(plan->ways[way], std::move(open), queue);
    }
  }

  /// Gates that ask for a part or a place.
  void place_asked(GateId gate) {
    if (is_pull(c_.kind(gate))) {
      w_.pulls.push_back({gate, plan_.net_at(c_.visible_net(gate)), c_.kind(gate) == GateKind::pullup, 0});
      return;
    }
    if (const std::uint32_t package = plan_.asked_package(gate); package != no_id) {
      asked_.push_back({package, {direct_gate(gate, package), c_.loop_of(gate)}});
    }
  }

  WiredGate direct_gate(GateId gate, std::uint32_t package) {
    const Way way = *plan_.single_way(gate, package);
    Open open{
        plan_.class_of(gate), plan_.nets_into(gate), plan_.net_at(c_.visible_net(gate)), gate, true, false};
    if (way.reduces) without_repeats(open.gate.need, open.inputs);
    return gate_of(way, open, way.level != Substitute::none || way.reduces);
  }

  WiredGate gate_of(const Way& way, const Open& open, bool is_replacement) {
    WiredGate gate;
    gate.gate = open.origin;
    gate.is_result = open.is_result;
    gate.is_replacement = open.is_replacement || is_replacement;
    gate.output = open.output;
    const GateKind kind = way.gates.front().need.kind;
    for (const int from : way.gates.front().inputs) {
      // A bipolar input at 1 wants a resistor to the supply; joined to another input of its gate it wants
      // nothing.
      const bool join =
          plan_.is_bipolar() && from == WayGate::one && (kind == GateKind::and_ || kind == GateKind::nand);
      gate.inputs.push_back(net_from(join ? 0 : from, open, {}));
    }
    if (way.reduces) record(open, fmt::format("as the {} that it is", text_of(open.gate.reduced)));
    if (way.level != Substitute::none) {
      record(open, way.text);
      check_function(way, way.reduces ? open.gate.reduced : open.gate.need);
    }
    return gate;
  }

  /// The first word on a gate is the one that counts: what follows builds its parts.
  void record(const Open& open, const std::string& how) {
    replaced_.emplace(
        open.origin,
        Replacement{open.origin, fmt::format("{} {}", text_of(plan_.need_of(open.origin)), how), 0});
  }

  void check_function(const Way& way, const GateNeed& need) {
    if (!has_function(way, need)) w_.functions_checked = false;
  }

  WireNetId net_from(int from, const Open& open, const std::vector<WireNetId>& steps) const {
    if (from == WayGate::zero) return ground_net;
    if (from == WayGate::one) return supply_net;
    if (from >= WayGate::first_step) return steps[static_cast<std::size_t>(from - WayGate::first_step)];
    return open.inputs[static_cast<std::size_t>(from)];
  }

  void follow(const Way& way, Open open, std::deque<Open>& queue) {
    if (way.reduces) {
      const GateNeed reduced = without_repeats(open.gate.need, open.inputs);
      open.gate = {reduced, reduced};
      open.is_replacement = true;
      record(open, fmt::format("as the {} that it is", text_of(reduced)));
      queue.push_front(std::move(open));
      return;
    }
    if (is_direct(way)) {
      requests_[way.gates.front().need].push_back(
          {gate_of(way, open, way.level != Substitute::none), c_.loop_of(open.origin)});
      return;
    }
    check_function(way, open.gate.need);
    record(open, way.text);
    std::vector<WireNetId> steps;
    for (std::size_t g = 0; g < way.gates.size(); ++g) {
      const bool last = g + 1 == way.gates.size();
      Open part{
          {way.gates[g].need, way.gates[g].need}, {}, open.output, open.origin, open.is_result && last, true};
      for (const int from : way.gates[g].inputs) part.inputs.push_back(net_from(from, open, steps));
      if (!last) {
        part.output = static_cast<WireNetId>(w_.nets.size());
        w_.nets.push_back(
            {fmt::format("{}.{}", c_.gate_name(open.origin), ++inner_count_[open.origin]), no_id});
      }
      steps.push_back(part.output);
      queue.push_back(std::move(part));
    }
  }

  // --- chips

  struct ChipSlots {
    std::uint32_t chip = 0;
    std::vector<std::uint32_t> free;  // positions, last one first
  };

  void make_chips(const PlaceAnswer& answer) {
    std::vector<std::vector<ChipSlots>> by_package(w_.parts.size());
    std::vector<WiredChip> chips;
    const auto add_chip = [&](std::string name, std::uint32_t package) -> WiredChip& {
      WiredChip chip;
      chip.name = std::move(name);
      chip.number = w_.parts[package].number;
      chip.family = plan_.family(package);
      chip.part = package;
      chip.gates.resize(w_.parts[package].gates.size());
      chips.push_back(std::move(chip));
      return chips.back();
    };
    for (std::size_t n = 0; n < plan_.named().size(); ++n) {
      WiredChip& chip = add_chip(plan_.named()[n].name, answer.named[n]);
      for (const auto& [position, gate] : plan_.named()[n].gates)
        chip.gates[position] = direct_gate(gate, answer.named[n]);
    }
    for (std::uint32_t package = 0; package < w_.parts.size(); ++package) {
      for (std::uint64_t i = 0; i < answer.chips[package]; ++i) add_chip({}, package);
    }
    // Named chips first: they are there anyway.
    for (std::uint32_t c = 0; c < chips.size(); ++c) {
      ChipSlots slots{c, {}};
      for (auto g = chips[c].gates.size(); g > 0; --g) {
        if (chips[c].gates[g - 1].gate == no_id) slots.free.push_back(static_cast<std::uint32_t>(g - 1));
      }
      by_package[chips[c].part].push_back(std::move(slots));
    }
    std::vector<std::vector<Request>> asked(w_.parts.size());
    for (auto& [package, request] : asked_) asked[package].push_back(std::move(request));
    for (std::uint32_t package = 0; package < w_.parts.size(); ++package)
      pack(asked[package], {&by_package[package]}, chips);
    for (auto& [need, requests] : requests_) {
      std::vector<std::vector<ChipSlots>*> choice;
      for (std::uint32_t package = 0; package < w_.parts.size(); ++package) {
        if (plan_.problem().packages[package].is_general && plan_.problem().packages[package].gate == need)
          choice.push_back(&by_package[package]);
      }
      pack(requests, choice, chips);
    }
    name_chips(std::move(chips));
    keep_used_parts();
    for (const WiredChip& chip : w_.chips) {
      for (const WiredGate& gate : chip.gates) {
        const auto found = replaced_.find(gate.gate);
        if (gate.gate != no_id && found != replaced_.end()) found->second.gates++;
      }
    }
    for (auto& [gate, replacement] : replaced_) w_.replacements.push_back(std::move(replacement));
  }

  /// Chips by the number of their free gates.
  class Rooms {
   public:
    explicit Rooms(const std::vector<std::vector<ChipSlots>*>& packages) {
      for (auto* list : packages) {
        for (ChipSlots& slots : *list) keep(slots, false);
      }
    }
    /// The fullest chip with room for so many, taken out; nullptr: there is none.
    ChipSlots* take(std::size_t count) {
      for (std::size_t free = count; free < by_free_.size(); ++free) {
        if (by_free_[free].empty()) continue;
        ChipSlots* slots = by_free_[free].front();
        by_free_[free].pop_front();
        return slots;
      }
      return nullptr;
    }
    void keep(ChipSlots& slots, bool first) {
      if (by_free_.size() <= slots.free.size()) by_free_.resize(slots.free.size() + 1);
      auto& list = by_free_[slots.free.size()];
      if (first)
        list.push_front(&slots);
      else
        list.push_back(&slots);
    }

   private:
    std::vector<std::deque<ChipSlots*>> by_free_;
  };

  void pack(std::vector<Request>& requests, const std::vector<std::vector<ChipSlots>*>& packages,
            std::vector<WiredChip>& chips) {
    Rooms rooms(packages);
    const auto put_all = [&](const std::vector<Request*>& group) {
      ChipSlots* slots = rooms.take(std::max<std::size_t>(group.size(), 1));
      if (slots == nullptr) return false;
      for (Request* request : group) {
        chips[slots->chip].gates[slots->free.back()] = std::move(request->gate);
        slots->free.pop_back();
      }
      rooms.keep(*slots, true);
      return true;
    };
    std::map<std::uint32_t, std::vector<Request*>> loops;
    std::vector<Request*> singles;
    for (Request& request : requests) {
      if (request.loop != no_id)
        loops[request.loop].push_back(&request);
      else
        singles.push_back(&request);
    }
    std::vector<std::vector<Request*>> groups;
    for (auto& [loop, group] : loops) groups.push_back(std::move(group));
    std::stable_sort(groups.begin(), groups.end(),
                     [](const auto& a, const auto& b) { return a.size() > b.size(); });
    std::vector<Request*> split;
    for (const auto& group : groups) {
      if (!put_all(group)) split.insert(split.end(), group.begin(), group.end());
    }
    for (const auto* list : {&split, &singles}) {
      for (Request* request : *list) put_all({request});
    }
  }

  void name_chips(std::vector<WiredChip> chips) {
    std::stable_sort(chips.begin(), chips.end(),
                     [](const WiredChip& a, const WiredChip& b) { return a.part < b.part; });
    unsigned number = 0;
    for (WiredChip& chip : chips) {
      if (!chip.name.empty()) continue;
      do {
        chip.name = fmt::format("U{}", ++number);
      } while (plan_.is_named(chip.name));
    }
    w_.chips = std::move(chips);
  }

  void keep_used_parts() {
    std::vector<Part> used;
    for (WiredChip& chip : w_.chips) {
      const auto found =
          std::find_if(used.begin(), used.end(), [&](const Part& p) { return p.number == chip.number; });
      const auto index = static_cast<std::size_t>(found - used.begin());
      if (found == used.end()) used.push_back(w_.parts[chip.part]);
      chip.part = index;
    }
    w_.parts = std::move(used);
  }

  const Circuit& c_;
  const PlacePlan& plan_;
  Wiring& w_;
  std::map<GateNeed, std::vector<Request>> requests_;
  std::vector<std::pair<std::uint32_t, Request>> asked_;
  std::map<GateId, unsigned> inner_count_;
  std::map<GateId, Replacement> replaced_;
};

}  // namespace

std::optional<Wiring> wire_circuit(const Circuit& circuit, const std::vector<GateWish>& wishes,
                                   const Catalogue& catalogue, const WiringOptions& options,
                                   Diagnostics& diagnostics) {
  Wiring built;
  built.options = options;
  PlacePlan plan(circuit, wishes, catalogue, built, diagnostics);
  if (!plan.make()) return {};
  const auto answer = solve_places(plan.problem());
  if (!answer) {
    diagnostics.error({}, "the places asked for leave no solution");
    return {};
  }
  ChipBuilder(circuit, plan, built).run(*answer);
  std::optional<Wiring> wiring(std::move(built));
  connect_pins(*wiring);
  if (!wiring->replacements.empty() && options.prove) {
    wiring->proof = prove_board(*wiring, circuit, options.compare);
    // Same truth tables, but not the same behaviour: where signals race, gates in a row matter.
    if (wiring->proof->answer == Comparison::Answer::different && options.substitute != Substitute::none) {
      WiringOptions less = options;
      less.substitute = options.substitute == Substitute::full ? Substitute::tied : Substitute::none;
      auto safer = wire_circuit(circuit, wishes, catalogue, less, diagnostics);
      if (safer) {
        safer->notes.insert(
            safer->notes.begin(),
            fmt::format(
                "with --substitute {} the board would behave differently where signals race, so {} was used",
                name_of(options.substitute), name_of(safer->options.substitute)));
      }
      return safer;
    }
  }
  order_wires(*wiring, circuit);
  check_loads(*wiring);
  return wiring;
}

}  // namespace settle
