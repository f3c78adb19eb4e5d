// Circuit -> chips: count the gates of each kind, let place_program.h choose packages and ways, then give
// each gate its way and its place.
//
// Gates in loops get their own kind before other gates do, and gates of one loop stay together: loops go
// into chips largest first, each into the fullest chip that has room for all of it (best fit decreasing),
// and only what fits nowhere is split. That decides wire lengths, never the number of chips.
// Cost: linear in gates, times the chips for the best fit of loops.
#include "settle/wiring.h"

#include <algorithm>
#include <charconv>
#include <deque>
#include <map>

#include <fmt/format.h>

#include "parts/board_text.h"
#include "parts/place_program.h"
#include "parts/wiring_finish.h"

namespace settle {
namespace {

/// A gate of a package that is asked for, with its nets.
struct Request {
  WiredGate gate;
  std::uint32_t loop = no_id;
};

class WiringPlanner {
 public:
  WiringPlanner(const Circuit& circuit, const std::vector<GateWish>& wishes, const Catalogue& catalogue,
                const WiringOptions& options, Diagnostics& diagnostics)
      : c_(circuit), wishes_(wishes), catalogue_(catalogue), diagnostics_(diagnostics) {
    w_.options = options;
  }

  std::optional<Wiring> run() {
    const auto errors = diagnostics_.error_count();
    if (!choose_packages()) return {};
    name_nets();
    read_wishes();
    if (diagnostics_.error_count() != errors) return {};
    count_gates();
    choose_named_parts();
    if (diagnostics_.error_count() != errors) return {};
    report_impossible();
    if (diagnostics_.error_count() != errors) return {};
    auto answer = solve_places(problem_);
    if (!answer) {
      diagnostics_.error({}, "the places asked for leave no solution");
      return {};
    }
    w_.lower_bound = answer->lower_bound;
    w_.is_fewest = answer->is_fewest;
    compare_with_none(answer->total);
    build_gates(*answer);
    make_chips(*answer);
    return std::move(w_);
  }

 private:
  struct Named {
    std::string name;
    std::map<std::uint32_t, GateId> gates;  // by position in the package, from 0
  };

  bool is_bipolar() const {
    const auto families = built_in_electrics();
    const FamilyElectrics* electrics = find_electrics(families, w_.options.family);
    return electrics != nullptr && electrics->bipolar;
  }

  /// Kinds of package: first those of the family, others are added as gates ask for them.
  bool choose_packages() {
    bipolar_ = is_bipolar();
    for (const Part& part : catalogue_.parts()) {
      if (part.is_made_in(w_.options.family) && part.output != Part::Output::open_collector)
        add_package(part, w_.options.family, true);
    }
    if (!problem_.packages.empty()) return true;
    std::string families;
    for (const Part& part : catalogue_.parts()) {
      for (const auto& family : part.families) {
        if (families.find("'" + family + "'") == std::string::npos)
          families += (families.empty() ? "'" : ", '") + family + "'";
      }
    }
    diagnostics_.error({}, fmt::format("there is no part of family '{}'", w_.options.family),
                       "the families are " + families);
    return false;
  }

  std::uint32_t add_package(const Part& part, const std::string& family, bool is_general) {
    problem_.packages.push_back({{part.kind, static_cast<std::uint32_t>(part.fan_in())},
                                 static_cast<std::uint32_t>(part.gates.size()),
                                 is_general,
                                 0});
    families_.push_back(family);
    w_.parts.push_back(part);
    return static_cast<std::uint32_t>(w_.parts.size()) - 1;
  }

  void name_nets() {
    w_.nets = {{"0", no_id}, {"1", no_id}};
    net_of_.assign(c_.net_count(), no_id);
    net_of_[c_.const_zero()] = ground_net;
    net_of_[c_.const_one()] = supply_net;
    for (NetId net = 0; net < c_.input_count(); ++net) w_.inputs.push_back(net_at(net));
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) net_at(c_.visible_net(gate));
    for (const NetId net : c_.outputs()) w_.outputs.push_back(net_at(net));
  }

  WireNetId net_at(NetId net) {
    if (net_of_[net] == no_id) {
      net_of_[net] = static_cast<WireNetId>(w_.nets.size());
      std::string name = c_.net_name(net);
      if (name.empty()) name = c_.is_gate_output(net) ? c_.gate_name(c_.gate_of(net)) + " (open)" : "(open)";
      w_.nets.push_back({std::move(name), net});
    }
    return net_of_[net];
  }

  void read_wishes() {
    asked_package_.assign(c_.gate_count(), no_id);
    named_of_.assign(c_.gate_count(), no_id);
    for (GateId gate = 0; gate < c_.gate_count() && !diagnostics_.is_full(); ++gate) {
      const GateWish& wish = wishes_[gate];
      if (is_pull(c_.kind(gate))) continue;
      if (!wish.part.empty()) asked_package_[gate] = package_named(gate, wish.part);
      if (!wish.place.empty()) read_place(gate, wish.place);
    }
  }

  /// The kind of package that a gate asks for, or no_id after an error.
  std::uint32_t package_named(GateId gate, std::string_view text) {
    const auto known = package_of_text_.find(std::string(text));
    if (known != package_of_text_.end()) return known->second;
    const Place place = c_.gate_place(gate);
    const auto number = part_number_from(text);
    const Part* part = number ? catalogue_.find(number->number) : nullptr;
    std::uint32_t package = no_id;
    if (part == nullptr) {
      std::vector<std::string_view> numbers;
      for (const Part& p : catalogue_.parts()) numbers.push_back(p.number);
      const auto nearest = nearest_name(number ? number->number : text, numbers);
      diagnostics_.error(
          place, fmt::format("gate '{}' asks for part '{}', which is unknown", c_.gate_name(gate), text),
          nearest.empty() ? "--parts FILE adds parts"
                          : fmt::format("did you mean {}? --parts FILE adds parts", nearest));
    } else {
      const std::string family = number->family.empty() ? w_.options.family : number->family;
      for (std::uint32_t p = 0; p < w_.parts.size(); ++p) {
        if (w_.parts[p].number == part->number && families_[p] == family) package = p;
      }
      // A maker may offer what our list does not say: the pins are the same in all families.
      if (package == no_id) package = add_package(*part, family, false);
    }
    package_of_text_[std::string(text)] = package;
    return package;
  }

  void read_place(GateId gate, std::string_view text) {
    const Place place = c_.gate_place(gate);
    const auto dot = text.rfind('.');
    unsigned position = 0;
    const char* const end = text.data() + text.size();
    const bool good = dot != std::string_view::npos && dot > 0 &&
                      std::from_chars(text.data() + dot + 1, end, position).ptr == end && position > 0 &&
                      dot + 1 < text.size();
    if (!good) {
      diagnostics_.error(place, fmt::format("'{}' is no place", text),
                         "chip and number of the gate in it, as in U1.2");
      return;
    }
    const std::string name(text.substr(0, dot));
    const auto [entry, is_new] = named_number_.emplace(name, static_cast<std::uint32_t>(named_.size()));
    if (is_new) named_.push_back({name, {}});
    named_of_[gate] = entry->second;
    const auto [taken, is_free] = named_[entry->second].gates.emplace(position - 1, gate);
    if (!is_free) {
      diagnostics_.error(place,
                         fmt::format("place '{}' is asked for twice: by '{}' and by '{}'", text,
                                     c_.gate_name(taken->second), c_.gate_name(gate)),
                         "a cell that is used twice cannot have places inside");
    }
  }

  GateNeed need_of(GateId gate) const {
    GateNeed need{c_.kind(gate), static_cast<std::uint32_t>(c_.fan_in(gate).size())};
    if (need.inputs == 1 && need.kind >= GateKind::and_ && need.kind <= GateKind::xnor) {
      need.kind = need.kind == GateKind::nand || need.kind == GateKind::nor || need.kind == GateKind::xnor
                      ? GateKind::not_
                      : GateKind::buf;
    }
    return need;
  }

  std::vector<WireNetId> nets_into(GateId gate) {
    std::vector<WireNetId> nets;
    for (const NetId net : c_.fan_in(gate)) nets.push_back(net_at(net));
    return nets;
  }

  PlaceClass class_of(GateId gate) {
    const GateNeed need = need_of(gate);
    std::vector<WireNetId> nets = nets_into(gate);
    return {need, without_repeats(need, nets)};
  }

  /// The way in which one gate of this kind of package does what a gate needs; nothing: it cannot.
  std::optional<Way> single_way(GateId gate, std::uint32_t package) {
    const PlaceClass wanted = class_of(gate);
    const std::vector<GateNeed> only{problem_.packages[package].gate};
    for (const GateNeed& need : {wanted.need, wanted.reduced}) {
      for (Way& way : ways_of(need, only, std::min(w_.options.substitute, Substitute::tied))) {
        if (!is_direct(way)) continue;
        if (need != wanted.need && w_.options.substitute == Substitute::none) continue;
        way.reduces = need != wanted.need;
        return std::move(way);
      }
    }
    return {};
  }

  void count_gates() {
    std::map<PlaceClass, std::vector<GateId>> classes;
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) {
      if (is_pull(c_.kind(gate)) || named_of_[gate] != no_id) continue;
      if (const std::uint32_t package = asked_package_[gate]; package != no_id) {
        if (single_way(gate, package)) {
          problem_.packages[package].asked_for++;
        } else {
          report_misfit(gate, package);
        }
        continue;
      }
      classes[class_of(gate)].push_back(gate);
    }
    // Gates in loops come first: they get the cheapest ways.
    for (auto& [gate, members] : classes) {
      std::stable_partition(members.begin(), members.end(), [&](GateId g) { return c_.loop_of(g) != no_id; });
      problem_.demands.push_back({gate, members.size()});
    }
    members_ = std::move(classes);
    problem_.level = w_.options.substitute;
  }

  void report_misfit(GateId gate, std::uint32_t package) {
    const Part& part = w_.parts[package];
    diagnostics_.error(
        c_.gate_place(gate),
        fmt::format("gate '{}' is a {}, part '{}' has {} gates", c_.gate_name(gate), text_of(need_of(gate)),
                    part_number_text(part.number, families_[package]),
                    text_of(problem_.packages[package].gate)),
        w_.options.substitute == Substitute::none ? "--substitute tied allows joined inputs" : "");
  }

  void choose_named_parts() {
    for (const Named& chip : named_) {
      PlaceProblem::NamedChip choice;
      choice.gates = static_cast<std::uint32_t>(chip.gates.size());
      std::uint32_t asked = no_id;
      for (const auto& [position, gate] : chip.gates) {
        if (asked_package_[gate] == no_id) continue;
        if (asked == no_id) asked = asked_package_[gate];
        if (asked != asked_package_[gate]) {
          diagnostics_.error(c_.gate_place(gate), fmt::format("chip '{}' would be a {} and a {}", chip.name,
                                                              part_of(asked), part_of(asked_package_[gate])));
        }
      }
      for (std::uint32_t package = 0; package < problem_.packages.size(); ++package) {
        if (asked == no_id ? !problem_.packages[package].is_general : package != asked) continue;
        const bool fits = chip.gates.rbegin()->first < problem_.packages[package].gates &&
                          std::all_of(chip.gates.begin(), chip.gates.end(), [&](const auto& g) {
                            return single_way(g.second, package).has_value();
                          });
        if (fits) choice.packages.push_back(package);
      }
      if (choice.packages.empty()) report_unfit_chip(chip, asked);
      problem_.named.push_back(std::move(choice));
    }
  }

  std::string part_of(std::uint32_t package) const {
    return part_number_text(w_.parts[package].number, families_[package]);
  }

  void report_unfit_chip(const Named& chip, std::uint32_t asked) {
    std::string gates;
    for (const auto& [position, gate] : chip.gates) {
      gates += fmt::format("{}'{}' ({}.{}, {})", gates.empty() ? "" : ", ", c_.gate_name(gate), chip.name,
                           position + 1, text_of(need_of(gate)));
    }
    diagnostics_.error(c_.gate_place(chip.gates.begin()->second),
                       asked == no_id
                           ? fmt::format("no part of family {} holds all that is to be in chip '{}': {}",
                                         w_.options.family, chip.name, gates)
                           : fmt::format("a {} does not hold what is to be in chip '{}': {}", part_of(asked),
                                         chip.name, gates));
  }

  void report_impossible() {
    for (const GateNeed& need : impossible_needs(problem_)) {
      PlaceProblem wider = problem_;
      std::string hint = "split the gate in the netlist, or add a part with --parts FILE";
      for (const Substitute level : {Substitute::tied, Substitute::full}) {
        if (level <= problem_.level) continue;
        wider.level = level;
        const auto still = impossible_needs(wider);
        if (std::find(still.begin(), still.end(), need) != still.end()) continue;
        hint = fmt::format("--substitute {} builds it from {}", name_of(level),
                           level == Substitute::tied ? "another gate" : "several gates");
        break;
      }
      for (const auto& [gate, members] : members_) {
        if (gate.need != need) continue;
        diagnostics_.error(
            c_.gate_place(members.front()),
            fmt::format("no part of family {} has a {}: gate '{}'{}", w_.options.family, text_of(need),
                        c_.gate_name(members.front()),
                        members.size() == 1 ? "" : fmt::format(" and {} more", members.size() - 1)),
            hint);
        break;
      }
    }
  }

  void compare_with_none(std::uint64_t total) {
    if (problem_.level == Substitute::none) {
      w_.chips_without_replacement = total;
      return;
    }
    // Named chips and wishes may need replacements themselves.
    PlaceProblem plain = problem_;
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
    for (const auto& [gate, members] : members_) {
      for (const GateId g : members)
        queue.push_back({gate, nets_into(g), net_at(c_.visible_net(g)), g, true, false});
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
      w_.pulls.push_back({gate, net_at(c_.visible_net(gate)), c_.kind(gate) == GateKind::pullup, 0});
      return;
    }
    if (named_of_[gate] == no_id && asked_package_[gate] != no_id) {
      asked_.push_back({asked_package_[gate], {direct_gate(gate, asked_package_[gate]), c_.loop_of(gate)}});
    }
  }

  WiredGate direct_gate(GateId gate, std::uint32_t package) {
    const Way way = *single_way(gate, package);
    Open open{class_of(gate), nets_into(gate), net_at(c_.visible_net(gate)), gate, true, false};
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
          bipolar_ && from == WayGate::one && (kind == GateKind::and_ || kind == GateKind::nand);
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
    replaced_.emplace(open.origin,
                      Replacement{open.origin, fmt::format("{} {}", text_of(need_of(open.origin)), how), 0});
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
      chip.family = families_[package];
      chip.part = package;
      chip.gates.resize(w_.parts[package].gates.size());
      chips.push_back(std::move(chip));
      return chips.back();
    };
    for (std::size_t n = 0; n < named_.size(); ++n) {
      WiredChip& chip = add_chip(named_[n].name, answer.named[n]);
      for (const auto& [position, gate] : named_[n].gates)
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
        if (problem_.packages[package].is_general && problem_.packages[package].gate == need)
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

  void pack(std::vector<Request>& requests, const std::vector<std::vector<ChipSlots>*>& packages,
            std::vector<WiredChip>& chips) {
    std::vector<ChipSlots*> slots;
    for (auto* list : packages) {
      for (ChipSlots& s : *list) slots.push_back(&s);
    }
    const auto put = [&](Request& request, ChipSlots& at) {
      chips[at.chip].gates[at.free.back()] = std::move(request.gate);
      at.free.pop_back();
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
    for (const auto& group : groups) {
      ChipSlots* best = nullptr;
      for (ChipSlots* s : slots) {
        if (s->free.size() >= group.size() && (best == nullptr || s->free.size() < best->free.size()))
          best = s;
      }
      if (best == nullptr) {
        singles.insert(singles.begin(), group.begin(), group.end());
        continue;
      }
      for (Request* request : group) put(*request, *best);
    }
    std::size_t at = 0;
    for (Request* request : singles) {
      while (slots[at]->free.empty()) ++at;
      put(*request, *slots[at]);
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
      } while (named_number_.contains(chip.name));
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
  const std::vector<GateWish>& wishes_;
  const Catalogue& catalogue_;
  Diagnostics& diagnostics_;
  Wiring w_;
  bool bipolar_ = false;
  PlaceProblem problem_;
  std::vector<std::string> families_;  // by kind of package
  std::vector<WireNetId> net_of_;      // by net of the circuit
  std::map<std::string, std::uint32_t> package_of_text_;
  std::vector<std::uint32_t> asked_package_, named_of_;  // by gate
  std::map<std::string, std::uint32_t> named_number_;
  std::vector<Named> named_;
  std::map<PlaceClass, std::vector<GateId>> members_;  // gates free to be placed
  std::map<GateNeed, std::vector<Request>> requests_;
  std::vector<std::pair<std::uint32_t, Request>> asked_;
  std::map<GateId, unsigned> inner_count_;
  std::map<GateId, Replacement> replaced_;
};

}  // namespace

std::optional<Wiring> wire_circuit(const Circuit& circuit, const std::vector<GateWish>& wishes,
                                   const Catalogue& catalogue, const WiringOptions& options,
                                   Diagnostics& diagnostics) {
  auto wiring = WiringPlanner(circuit, wishes, catalogue, options, diagnostics).run();
  if (!wiring) return {};
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
