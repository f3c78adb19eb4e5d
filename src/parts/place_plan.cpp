// Wishes and kinds of gates become an integer programme; what cannot be met is told with the place of the
// gate. Linear in the gates, but for the messages.
#include "parts/place_plan.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

#include "parts/unlisted_family.h"

namespace settle {

bool PlacePlan::make() {
  const auto errors = diagnostics_.error_count();
  const auto is_good = [&] { return diagnostics_.error_count() == errors; };
  if (!choose_packages()) return false;
  name_nets();
  // An input that nothing drives has a net too.
  for (GateId gate = 0; gate < c_.gate_count(); ++gate) {
    for (const NetId net : c_.fan_in(gate)) name_net(net);
  }
  read_wishes();
  if (!is_good()) return false;
  count_gates();
  choose_named_parts();
  if (!is_good()) return false;
  report_impossible();
  return is_good();
}

/// Kinds of package: first those of the family, others are added as gates ask for them.
bool PlacePlan::choose_packages() {
  const auto electrics = built_in_electrics();
  const FamilyElectrics* own = find_electrics(electrics, w_.options.family);
  bipolar_ = own != nullptr && own->bipolar;
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

std::uint32_t PlacePlan::add_package(const Part& part, const std::string& family, bool is_general) {
  problem_.packages.push_back({{part.kind, static_cast<std::uint32_t>(part.fan_in())},
                               static_cast<std::uint32_t>(part.gates.size()),
                               is_general,
                               0});
  families_.push_back(family);
  w_.parts.push_back(part);
  return static_cast<std::uint32_t>(w_.parts.size()) - 1;
}

void PlacePlan::name_nets() {
  w_.nets = {{"0", no_id}, {"1", no_id}};
  net_of_.assign(c_.net_count(), no_id);
  net_of_[c_.const_zero()] = ground_net;
  net_of_[c_.const_one()] = supply_net;
  for (NetId net = 0; net < c_.input_count(); ++net) w_.inputs.push_back(name_net(net));
  for (GateId gate = 0; gate < c_.gate_count(); ++gate) name_net(c_.visible_net(gate));
  for (const NetId net : c_.outputs()) w_.outputs.push_back(name_net(net));
}

WireNetId PlacePlan::name_net(NetId net) {
  if (net_of_[net] == no_id) {
    net_of_[net] = static_cast<WireNetId>(w_.nets.size());
    std::string name = c_.net_name(net);
    if (name.empty()) name = c_.is_gate_output(net) ? c_.gate_name(c_.gate_of(net)) + " (open)" : "(open)";
    w_.nets.push_back({std::move(name), net});
  }
  return net_of_[net];
}

void PlacePlan::read_wishes() {
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
std::uint32_t PlacePlan::package_named(GateId gate, std::string_view text) {
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
    // A maker may offer what our list does not say: the pins are mostly the same in all families.
    if (is_unlisted(*part, number->family)) {
      diagnostics_.warning(place, "unlisted-family",
                           fmt::format("gate '{}' asks for {}", c_.gate_name(gate), unlisted_text(*part, text, family)),
                           std::string(unlisted_hint));
    }
    if (package == no_id) package = add_package(*part, family, false);
  }
  package_of_text_[std::string(text)] = package;
  return package;
}

void PlacePlan::read_place(GateId gate, std::string_view text) {
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

GateNeed PlacePlan::need_of(GateId gate) const {
  GateNeed need{c_.kind(gate), static_cast<std::uint32_t>(c_.fan_in(gate).size())};
  if (need.inputs == 1 && need.kind >= GateKind::and_ && need.kind <= GateKind::xnor) {
    need.kind = need.kind == GateKind::nand || need.kind == GateKind::nor || need.kind == GateKind::xnor
                    ? GateKind::not_
                    : GateKind::buf;
  }
  return need;
}

std::vector<WireNetId> PlacePlan::nets_into(GateId gate) const {
  std::vector<WireNetId> nets;
  for (const NetId net : c_.fan_in(gate)) nets.push_back(net_at(net));
  return nets;
}

PlaceClass PlacePlan::class_of(GateId gate) const {
  const GateNeed need = need_of(gate);
  std::vector<WireNetId> nets = nets_into(gate);
  return {need, without_repeats(need, nets)};
}

std::optional<Way> PlacePlan::single_way(GateId gate, std::uint32_t package) const {
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

void PlacePlan::count_gates() {
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
  problem_.steps = w_.options.place_steps;
}

void PlacePlan::report_misfit(GateId gate, std::uint32_t package) {
  const Part& part = w_.parts[package];
  diagnostics_.error(
      c_.gate_place(gate),
      fmt::format("gate '{}' is a {}, part '{}' has {} gates", c_.gate_name(gate), text_of(need_of(gate)),
                  part_number_text(part.number, families_[package]),
                  text_of(problem_.packages[package].gate)),
      w_.options.substitute == Substitute::none ? "--substitute tied allows joined inputs" : "");
}

void PlacePlan::choose_named_parts() {
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
                        std::all_of(chip.gates.begin(), chip.gates.end(),
                                    [&](const auto& g) { return single_way(g.second, package).has_value(); });
      if (!fits) continue;
      choice.packages.push_back(package);
      choice.replaced.push_back(
          static_cast<std::uint32_t>(std::count_if(chip.gates.begin(), chip.gates.end(), [&](const auto& g) {
            return need_of(g.second) != problem_.packages[package].gate;
          })));
    }
    if (choice.packages.empty()) report_unfit_chip(chip, asked);
    problem_.named.push_back(std::move(choice));
  }
}

std::string PlacePlan::part_of(std::uint32_t package) const {
  return part_number_text(w_.parts[package].number, families_[package]);
}

void PlacePlan::report_unfit_chip(const Named& chip, std::uint32_t asked) {
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

void PlacePlan::report_impossible() {
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

}  // namespace settle
