// Wires with several drivers: which of them fight?
#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "circuit/complement_name.h"
#include "circuit/place_instances.h"

namespace settle {
namespace {

std::string where(const Sources& sources, Place place) {
  if (!place.exists() || place.file >= sources.count()) return "?";
  return fmt::format("{}:{}", sources.path(place.file), sources.locate(place).line);
}

/// "; nothing drives 'q_n': was one of them meant for it?" when one net of the cell stands out.
std::string meant_for(const Names& names, const NameRef& wire, const UndrivenNets& undriven) {
  const auto found = undriven.find(names.instances[wire.instance].cell);
  if (found == undriven.end()) return {};
  const auto& nets = found->second;
  auto net = std::find_if(nets.begin(), nets.end(), [&](const UndrivenNet& n) {
    return are_complements(names.symbols->text(n.name), names.symbols->text(wire.name));
  });
  if (net == nets.end() && nets.size() == 1) net = nets.begin();
  if (net == nets.end()) return {};
  return fmt::format("; nothing drives '{}': was one of them meant for it?", net->text);
}

}  // namespace

void check_shared_wires(const Sources& sources, const CircuitBuilder& builder, const UndrivenNets& undriven,
                        Diagnostics& diagnostics) {
  const auto& names = builder.names();
  // Pairs of statements already reported; a pair in many instances is one mistake.
  std::set<std::tuple<std::uint32_t, std::uint32_t, std::uint32_t, std::uint32_t>> reported;
  const auto is_new = [&](Place a, Place b) {
    return reported.insert({a.file, a.offset, b.file, b.offset}).second;
  };
  for (const auto& [wire, drivers] : builder.shared_wires()) {
    const auto is_strong = [&](GateId gate) { return is_push_pull(builder.kind_of(gate)); };
    const auto first = std::find_if(drivers.begin(), drivers.end(), is_strong);
    if (first == drivers.end()) continue;
    const auto second = std::find_if(first + 1, drivers.end(), is_strong);
    const bool is_error = second != drivers.end();
    // Without a second push-pull driver, the other one is the first three-state or pull driver.
    const auto other = is_error ? *second : first == drivers.begin() ? drivers[1] : drivers[0];
    const auto place = builder.place_of(other), first_place = builder.place_of(*first);
    if (!is_new(first_place, place)) continue;
    const auto& owner = builder.name_of_wire(wire);
    const auto net = names.join(owner);
    const auto gate = names.join(names.gates[*first]), rival = names.join(names.gates[other]);
    if (is_error) {
      diagnostics.error(
          place,
          fmt::format("contention: gates '{}' ({}) and '{}' both drive net '{}'", gate,
                      where(sources, first_place), rival, net),
          (names.gates[other].instance == owner.instance
               ? std::string()
               : fmt::format("they meet in cell '{}'; ", names.symbols->text(names.instances[owner.instance].cell))) +
              "only three-state and pull gates can share a net" + meant_for(names, owner, undriven));
    } else {
      diagnostics.warning(
          place, "mixed-drivers",
          fmt::format("'{}' drives net '{}' together with '{}' ({}), which never lets go of it", rival, net,
                      gate, where(sources, first_place)));
    }
  }
}

}  // namespace settle
