// What the questions of a diagnosis make of all faults at once.
#pragma once

#include <algorithm>
#include <compare>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "settle/board.h"
#include "settle/diagnose.h"
#include "settle/formats.h"
#include "settle/wired_board.h"

namespace settle::testing {

/// A circuit on a bench with its faults.
struct Subject {
  Circuit circuit;
  FaultModel model;
  bool has_chips = false;
};

/// A netlist as it is (chips), or on the chips that `settle wire` takes.
inline Subject on_bench(const std::string& file, FileReader& disk, bool with_chips = true) {
  Sources sources;
  Diagnostics diagnostics;
  ReadOptions read;
  const Catalogue catalogue = built_in_catalogue();
  read.place_chips = [&](Netlist& netlist, const Sources&, Diagnostics& messages) { place_chips(netlist, catalogue, messages); };
  Netlist tree;
  auto circuit = load_any_circuit(file, disk, read, {}, sources, diagnostics, &tree);
  const Board board = board_of(tree, *circuit, catalogue);
  if (!board.chips.empty()) {
    FaultModel model = board_faults(*circuit, board, catalogue, {});
    return {*std::move(circuit), std::move(model), true};
  }
  if (with_chips) {
    WiringOptions options;
    options.prove = false;
    const auto wiring = wire_circuit(*circuit, wishes_of(tree, *circuit, diagnostics), catalogue, options, diagnostics);
    if (auto wired = wiring ? wired_board(*circuit, *wiring, catalogue) : std::nullopt) {
      FaultModel model = board_faults(wired->circuit, wired->board, catalogue, {});
      return {std::move(wired->circuit), std::move(model), true};
    }
  }
  FaultModel model = gate_faults(*circuit, {});
  return {*std::move(circuit), std::move(model), false};
}

inline Subject example_on_bench(const std::string& file) {
  DiskReader disk;
  return on_bench(SETTLE_SOURCE_DIR "/examples/" + file, disk);
}

/// Leaves every n-th fault, and none.
inline void thin_out(FaultModel& model, std::size_t n) {
  std::vector<Fault> kept;
  for (std::size_t i = 0; i < model.faults.size(); i += n) kept.push_back(std::move(model.faults[i]));
  model.faults = std::move(kept);
}

/// All faults go down the tree of questions, each to the answer that it would give; a leaf is a group.
struct QuestionTree {
  std::size_t leaves = 0, faults = 0;
  std::size_t longest = 0;
  double questions = 0;   ///< on average over the faults
  bool is_sound = true;   ///< each fault that would answer so led on, and no other; leaves are single groups
};

inline QuestionTree ask_all(const FaultModel& model, const DiagnoseOptions& options) {
  struct Node {
    FaultSession session;
    std::size_t depth;
  };
  QuestionTree tree;
  double sum = 0;
  std::vector<Node> nodes;
  nodes.push_back({FaultSession(model, options), 0});
  while (!nodes.empty()) {
    Node node = std::move(nodes.back());
    nodes.pop_back();
    const Outlook outlook = node.session.look_ahead();
    const auto leading = node.session.leading();
    if (!outlook.next) {
      tree.is_sound = tree.is_sound && outlook.groups.size() == 1;
      ++tree.leaves;
      tree.faults += leading.size();
      tree.longest = std::max(tree.longest, node.depth);
      sum += static_cast<double>(node.depth * leading.size());
      continue;
    }
    const NextLook& next = *outlook.next;
    for (const auto& inputs : next.inputs) node.session.apply(inputs);
    std::size_t below = 0;
    for (const auto& [value, count] : {std::pair(Value::zero, next.zeros), std::pair(Value::one, next.ones), std::pair(Value::x, next.unknown)}) {
      if (count == 0) continue;
      Node child{node.session, node.depth + 1};
      child.session.observe(next.place, value);
      const auto left = child.session.leading();
      tree.is_sound = tree.is_sound && left.size() == count && std::includes(leading.begin(), leading.end(), left.begin(), left.end());
      below += left.size();
      nodes.push_back(std::move(child));
    }
    tree.is_sound = tree.is_sound && below == leading.size();
  }
  tree.questions = sum / static_cast<double>(tree.faults);
  return tree;
}

/// Faults that are not in the first group at the end, when each circuit tells all that it does at ten settings, and
/// then answers the questions that are left. What the faulty circuits do is simulated once, a lane each, and
/// circuits that have told the same so far share a session.
inline std::vector<std::uint32_t> faults_not_found(const FaultModel& model, const DiagnoseOptions& options) {
  constexpr std::uint64_t bits = 0x2545f4914f6cdd1d;  // settings that mean nothing
  const auto faults = static_cast<std::uint32_t>(model.faults.size()), places = static_cast<std::uint32_t>(model.places.size());
  struct Told {
    std::uint32_t place;
    Value value;
    auto operator<=>(const Told&) const = default;
  };
  using Story = std::vector<Told>;
  std::vector<std::vector<Value>> settings(10);
  std::vector<std::vector<Story>> did(settings.size(), std::vector<Story>(faults));  // by setting and fault
  FaultSession all(model, options);
  for (std::uint32_t i = 0; i < settings.size(); ++i) {
    for (std::uint32_t input = 0; input < model.network.input_count(); ++input)
      settings[i].push_back(to_value((bits >> (7 * input + 5 * i) % 61 & 1) != 0));
    all.apply(settings[i]);
    for (std::uint32_t fault = 0; fault < faults; ++fault) {
      for (std::uint32_t place = 0; place < places; ++place) did[i][fault].push_back({place, all.predicted(fault, place)});
    }
  }
  struct Node {
    std::shared_ptr<const FaultSession> before;
    Story told;                         // since then
    std::vector<std::uint32_t> faults;  // that told this
    std::size_t settings;
  };
  std::vector<std::uint32_t> lost;
  std::vector<Node> nodes{{std::make_shared<const FaultSession>(model, options), {}, {}, 0}};
  for (std::uint32_t fault = 0; fault < faults; ++fault) nodes[0].faults.push_back(fault);
  while (!nodes.empty()) {
    Node node = std::move(nodes.back());
    nodes.pop_back();
    auto session = std::make_shared<FaultSession>(*node.before);
    node.before.reset();
    for (const Told& told : node.told) session->observe(told.place, told.value);
    std::map<Story, std::vector<std::uint32_t>> next;
    if (node.settings < settings.size()) {
      session->apply(settings[node.settings]);
      for (const std::uint32_t fault : node.faults) next[did[node.settings][fault]].push_back(fault);
      ++node.settings;
    } else {
      const Outlook outlook = session->look_ahead();
      const std::vector<std::uint32_t> first = outlook.groups.empty() ? std::vector<std::uint32_t>() : outlook.groups.front().faults;
      if (outlook.next) {
        for (const auto& inputs : outlook.next->inputs) session->apply(inputs);
      }
      for (const std::uint32_t fault : node.faults) {
        // Each explains all that it told without a doubt, and goes on telling until one group is left.
        if (session->misses(fault) != 0) lost.push_back(fault);
        else if (outlook.next) next[{{outlook.next->place, session->predicted(fault, outlook.next->place)}}].push_back(fault);
        else if (std::find(first.begin(), first.end(), fault) == first.end()) lost.push_back(fault);
      }
    }
    for (auto& [told, by] : next) nodes.push_back({session, told, std::move(by), node.settings});
  }
  return lost;
}

}  // namespace settle::testing
