// Inputs of a cell that another cell keeps opposite: at rest they are never at the same level, so what the
// cell does then is of no account. Cost: linear in the inputs of all parts but for the pairs of inputs from
// one cell.
#include "analysis/opposite_inputs.h"

#include <algorithm>
#include <unordered_map>

namespace settle {
namespace {

// The observed nets `a` and `b` are opposite in every state.
bool are_opposite(const CircuitPart& part, const Behaviour& behaviour, NetId a, NetId b) {
  const auto place = [&](NetId net) {
    return static_cast<unsigned>(std::find(part.observed.begin(), part.observed.end(), net) -
                                 part.observed.begin());
  };
  const unsigned o = place(a), e = place(b);
  return behaviour.is_usable && !behaviour.states.empty() &&
         std::all_of(behaviour.states.begin(), behaviour.states.end(), [&](const Behaviour::State& state) {
           return behaviour.observed_at(state.y, o) != behaviour.observed_at(state.y, e);
         });
}

}  // namespace

void find_opposite_inputs(const std::vector<CircuitPart>& parts, const std::vector<std::uint32_t>& study_of,
                          std::vector<CellStudy>& studies) {
  std::unordered_map<NetId, std::uint32_t> owner;
  for (std::uint32_t p = 0; p < parts.size(); ++p) {
    if (study_of[p] == no_id) continue;
    for (const NetId net : parts[p].observed) owner.emplace(net, p);
  }
  std::vector<bool> is_first(studies.size(), true);
  for (std::uint32_t p = 0; p < parts.size(); ++p) {
    if (study_of[p] == no_id) continue;
    const std::vector<NetId>& inputs = parts[p].inputs;
    std::vector<std::uint32_t> giver;
    for (const NetId net : inputs) {
      const auto found = owner.find(net);
      giver.push_back(found == owner.end() ? no_id : found->second);
    }
    std::vector<std::pair<unsigned, unsigned>> pairs;
    for (unsigned j = 0; j < inputs.size(); ++j) {
      for (unsigned i = 0; i < j; ++i) {
        if (giver[i] == no_id || giver[i] != giver[j]) continue;
        const CircuitPart& from = parts[giver[i]];
        if (are_opposite(from, studies[study_of[giver[i]]].behaviour, inputs[i], inputs[j]))
          pairs.emplace_back(i, j);
      }
    }
    // A pair counts where it is one for all equal cells.
    auto& known = studies[study_of[p]].opposite_inputs;
    if (is_first[study_of[p]]) known = pairs;
    is_first[study_of[p]] = false;
    std::erase_if(
        known, [&](const auto& pair) { return std::find(pairs.begin(), pairs.end(), pair) == pairs.end(); });
  }
}

void take_as_data(const CellStudy& study, ExplainedCell& facts) {
  if (facts.core != CellCore::gated_set_reset || facts.direct_controls != 0) return;
  InputRole *set = nullptr, *reset = nullptr, *gate = nullptr;
  for (InputRole& role : facts.inputs)
    (role.role == "set" ? set : role.role == "reset" ? reset : gate) = &role;
  if (facts.inputs.size() != 3 || set == nullptr || reset == nullptr || gate == nullptr) return;
  const bool opposite =
      std::any_of(study.opposite_inputs.begin(), study.opposite_inputs.end(), [&](const auto& pair) {
        const std::string &a = study.input_name(pair.first), &b = study.input_name(pair.second);
        return (a == set->input && b == reset->input) || (b == set->input && a == reset->input);
      });
  if (!opposite || set->active_high != reset->active_high) return;
  InputRole data{set->input, "data", set->active_high};
  const bool high = gate->active_high;
  facts.inputs = {*gate, std::move(data)};
  facts.core = CellCore::transparent;
  facts.set_dominates.reset();
  facts.kind = std::string("transparent latch") + (high ? "" : ", gate active low") +
               (facts.inputs[1].active_high ? "" : ", inverted output");
}

}  // namespace settle
