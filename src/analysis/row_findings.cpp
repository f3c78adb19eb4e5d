// Findings about storage cells in a row: what is true of each cell alone need not be of the two.
#include "analysis/row_findings.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/findings.h"

namespace settle {
namespace {

bool is_clocked_core(CellCore core) { return core >= CellCore::d && core <= CellCore::clocked_logic; }

class RowFindings {
 public:
  RowFindings(const StudiedParts& in, Explanation& result) : in_(in), result_(result) {}

  // Two cells in a row on one clock: does the second take in what the first had before the edge?
  void run() {
    std::map<NetId, std::uint32_t> owner;
    std::map<std::uint32_t, std::size_t> instance_of;  // by part
    for (std::size_t i = 0; i < in_.instance_part.size(); ++i) {
      const std::uint32_t p = in_.instance_part[i];
      instance_of.emplace(p, i);
      for (const NetId net : in_.parts[p].observed) owner.emplace(net, p);
    }
    std::map<std::pair<std::uint32_t, std::uint32_t>, bool> tried;  // by studies
    for (std::size_t i = 0; i < in_.instance_part.size(); ++i) {
      const std::uint32_t second = in_.instance_part[i];
      if (is_set(in_.options.stop)) return;
      for (const NetId net : in_.parts[second].inputs) {
        const auto first = owner.find(net);
        if (first == owner.end() || first->second == second) continue;
        add_open_row(instance_of.at(first->second), i);
        if (!tried.emplace(std::pair(in_.study_of[first->second], in_.study_of[second]), true).second)
          continue;
        judge_neighbours(first->second, second, in_.instances[i]);
      }
    }
  }

 private:
  // A latch whose data is the output of another that listens at the same time: it is open all the way.
  void add_open_row(std::size_t first, std::size_t second) {
    const ExplainedCell &from = in_.instances[first].facts, &to = in_.instances[second].facts;
    if (from.core != CellCore::transparent || to.core != CellCore::transparent) return;
    const auto gates = [](const ExplainedCell& cell) {
      std::vector<std::pair<std::string, bool>> names;
      for (const InputRole& role : cell.inputs) {
        if (role.role == "gate") names.emplace_back(role.input, role.active_high);
      }
      return names;
    };
    if (gates(from).size() != 1 || gates(from) != gates(to)) return;
    const bool told =
        std::any_of(result_.findings.begin(), result_.findings.end(),
                    [](const ExplainFinding& f) { return f.kind == ExplainFinding::Kind::neighbours; });
    if (told) return;
    ExplainFinding finding;
    finding.kind = ExplainFinding::Kind::neighbours;
    finding.is_warning = true;
    finding.inputs = {gates(from)[0].first};
    finding.cell = in_.instances[second].cell;
    finding.about = to.output;
    finding.message = fmt::format(
        "latches in a row, as {} and {}, listen at the same time: while {} is {} the data runs through all "
        "of "
        "them, so that they hold the same bit and are no shift register.",
        from.output, to.output, gates(from)[0].first, gates(from)[0].second ? 1 : 0);
    result_.findings.push_back(std::move(finding));
  }

  void judge_neighbours(std::uint32_t first, std::uint32_t second, const CellInstance& instance) {
    CircuitPart both = in_.parts[first];
    const CircuitPart& next = in_.parts[second];
    both.gates.insert(both.gates.end(), next.gates.begin(), next.gates.end());
    std::sort(both.gates.begin(), both.gates.end());
    both.gates.erase(std::unique(both.gates.begin(), both.gates.end()), both.gates.end());
    for (const NetId net : next.inputs) {
      const auto known = [&](const std::vector<NetId>& nets) {
        return std::find(nets.begin(), nets.end(), net) != nets.end();
      };
      if (!known(both.inputs) && !known(both.observed)) both.inputs.push_back(net);
    }
    both.observed.insert(both.observed.end(), next.observed.begin(), next.observed.end());
    if (both.inputs.size() + both.observed.size() > most_behaviour_variables) return;
    CellStudy pair;
    pair.circuit = extract_part(in_.circuit, both);
    pair.observed = pair.circuit.outputs();
    pair.output_count = static_cast<std::uint32_t>(pair.observed.size());
    StateSpaceOptions options;
    options.any_delay = in_.options.any_delay;
    options.stable_limit = in_.options.stable_limit;
    options.transition_limit = in_.options.transition_limit;
    options.input_limit = in_.options.input_limit;
    options.single_changes_only = true;
    options.stop = in_.options.stop;
    pair.space = explore(pair.circuit, options);
    if (!pair.space.complete) return;
    pair.behaviour = behaviour_of(pair.circuit, pair.space, pair.observed, in_.options.stop);
    for (unsigned i = 0; i < pair.circuit.input_count(); ++i)
      pair.input_names.push_back(pair.circuit.net_name(i));
    for (const NetId net : pair.observed) pair.observed_names.push_back(pair.circuit.net_name(net));
    pair.rules.resize(pair.observed.size());
    add_step_findings(pair, in_.options);
    // What one of the cells does alone is told there.
    const auto races = ExplainFinding::Kind::delay_dependent;
    if (has_kind(in_.study_of[second], races)) return;
    if (has_kind(in_.study_of[first], races)) {
      add_race_of_second(pair, first, second, instance);
      return;
    }
    for (ExplainFinding& finding : pair.findings) {
      if (finding.kind != races) continue;
      finding.kind = ExplainFinding::Kind::neighbours;
      finding.cell = instance.cell;
      finding.about = instance.facts.output;
      finding.message = fmt::format(
          "cells in a row, as {} and {}, are a race of their own: the second must have taken in the old "
          "value before the new one of the first reaches it. {}",
          in_.circuit.net_name(in_.parts[first].observed[0]), in_.circuit.net_name(next.observed[0]),
          capital(finding.message));
      const auto told = std::find_if(result_.findings.begin(), result_.findings.end(),
                                     [&](const ExplainFinding& f) { return f.kind == finding.kind; });
      if (told == result_.findings.end()) {
        result_.findings.push_back(std::move(finding));
      } else if (finding.slow_factor != 0 &&
                 (told->slow_factor == 0 || finding.slow_factor < told->slow_factor)) {
        *told = std::move(finding);
      }
    }
  }
  // The first races by itself, so that the steps are its own as well: only that the second one races, too, is new.
  void add_race_of_second(const CellStudy& pair, std::uint32_t first, std::uint32_t second, const CellInstance& instance) {
    const CircuitPart& next = in_.parts[second];
    ExplainFinding finding;
    std::set<std::string> inputs, moments;
    for (const Transition& step : pair.space.transitions) {
      if (!step.judged || step.verdict != Verdict::delay_dependent) continue;
      bool races = false;
      for (const GateId gate : step.racing) {
        const std::string name = pair.circuit.gate_name(gate);
        const bool own = std::any_of(next.gates.begin(), next.gates.end(),
                                     [&](GateId g) { return in_.circuit.gate_name(g) == name; });
        if (!own) continue;
        races = true;
        if (std::find(finding.gates.begin(), finding.gates.end(), name) == finding.gates.end()) finding.gates.push_back(name);
      }
      const VectorIndex changed = pair.space.stable[step.from].inputs ^ step.inputs;
      for (unsigned i = 0; i < pair.circuit.input_count() && races; ++i) {
        if ((changed & pair.behaviour.input_bit(i)) == 0) continue;
        const bool up = pair.behaviour.input_at(step.inputs, i);
        inputs.insert(pair.input_names[i]);
        moments.insert(pair.input_names[i] + (up ? " rises" : " falls"));
      }
    }
    if (finding.gates.empty()) return;
    finding.kind = ExplainFinding::Kind::neighbours;
    finding.inputs.assign(inputs.begin(), inputs.end());
    finding.cell = instance.cell;
    finding.about = instance.facts.output;
    finding.message =
        fmt::format("cells in a row, as {} and {}, are a race of their own: the second must have taken in the old "
                    "value before the new one of the first reaches it. When {}, {} race there. With equal "
                    "gates all is well.",
                    source_of(first, second), in_.circuit.net_name(next.observed[0]), listed({moments.begin(), moments.end()}, " or "),
                    listed(finding.gates));
    const bool told = std::any_of(result_.findings.begin(), result_.findings.end(),
                                  [&](const ExplainFinding& f) { return f.kind == finding.kind; });
    if (!told) result_.findings.push_back(std::move(finding));
  }
  // The net of the first part that the second one reads.
  std::string source_of(std::uint32_t first, std::uint32_t second) const {
    const auto& nets = in_.parts[first].observed;
    const auto read = std::find_if(nets.begin(), nets.end(), [&](NetId net) {
      const auto& inputs = in_.parts[second].inputs;
      return std::find(inputs.begin(), inputs.end(), net) != inputs.end();
    });
    return in_.circuit.net_name(read == nets.end() ? nets[0] : *read);
  }
  bool has_kind(std::uint32_t study, ExplainFinding::Kind kind) const {
    const auto& findings = in_.studies[study].findings;
    return std::any_of(findings.begin(), findings.end(),
                       [&](const ExplainFinding& f) { return f.kind == kind; });
  }
  static std::string capital(std::string text) {
    if (text.starts_with("when")) text[0] = 'W';
    return text;
  }

  const StudiedParts& in_;
  Explanation& result_;
};

}  // namespace

bool leave_out_own_clock(ExplainFinding& finding, const CellInstance& cell,
                         const std::vector<CellInstance>& instances) {
  if (finding.moment.empty() || !is_clocked_core(cell.facts.core) || finding.inputs.size() < 2) return false;
  const std::string clock = finding.inputs.back();
  const std::size_t before = finding.resting.size();
  std::erase_if(finding.resting, [&](const std::string& name) {
    return std::any_of(instances.begin(), instances.end(), [&](const CellInstance& other) {
      const bool gives =
          std::find(other.observed.begin(), other.observed.end(), name) != other.observed.end();
      return gives && &other != &cell && is_clocked_core(other.facts.core) &&
             std::any_of(other.facts.inputs.begin(), other.facts.inputs.end(),
                         [&](const InputRole& role) { return role.role == "clock" && role.input == clock; });
    });
  });
  if (finding.resting.size() != before) word_timing_rule(finding, clock);
  return finding.resting.empty() && finding.released.empty();
}

void add_row_findings(const StudiedParts& studied, Explanation& result) {
  RowFindings(studied, result).run();
}

}  // namespace settle
