// Characteristic tables: what the outputs become after one input change, from the stable states.
//
// 1. Steps (step_samples): every stable state is a step in which nothing changes, every judged change
//    of one input is one.
// 2. Which inputs act by their edges (edge_inputs), and which inner nets are needed to say what the
//    outputs become (stored_inner_nets).
// 3. A key is a vector of inputs after the step, and the edge input that changed or none. For each
//    key and output the entries that are true are found (EntryFinder), and of several the one that
//    is true most often among keys of the same kind is taken. Edges that contradict no step of the
//    level belong to the level; an edge for which the level's entry is true takes that.
// 4. Rows: first those of edges that do not do what the level alone would do, then levels. Rows are
//    matched first to last, so a - in a later row stands for anything else, edges included.
// Huffman 1954 for the step from stable state to stable state; the form is that of the function
// tables of the data books.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "analysis/merge_rows.h"
#include "analysis/next_entries.h"
#include "analysis/rest_proof.h"
#include "analysis/restless.h"
#include "analysis/restless_notes.h"
#include "analysis/step_samples.h"
#include "analysis/stored_nets.h"
#include "analysis/table_frame.h"
#include "analysis/table_notes.h"

namespace settle {
namespace {

using Kind = TableEntry::Kind;
using Entries = std::vector<TableEntry>;

/// Keys of one kind: no edge, or one edge of one input.
struct Plane {
  std::int32_t edge = -1;
  bool rises = false;
  std::vector<std::vector<std::uint32_t>> samples;  // by vector
  std::vector<std::vector<Entries>> options;        // by vector, then shown net
  std::vector<std::uint32_t> entry;                 // by vector: chosen, or any_entry
  std::vector<bool> as_level;                       // by vector: an edge that is part of the level
};

class TableMaker {
 public:
  TableMaker(const Circuit& circuit, const StateSpace& space, const TableOptions& options)
      : circuit_(circuit),
        space_(space),
        options_(options),
        table_(table_frame(circuit, options)),
        variables_(static_cast<unsigned>(table_.free.size())),
        vectors_(1u << variables_),
        merge_(options.merge) {}

  Table make() {
    table_.complete = space_.complete;
    table_.incomplete_reason = space_.incomplete_reason;
    // Stopped, it holds what all steps had to say up to then: nothing.
    if (is_stopped()) return std::move(table_);
    const StepSamples steps = step_samples(circuit_, space_, table_.free, options_.any_delay);
    WatchedNets nets(circuit_, space_, steps);
    std::vector<std::uint32_t> shown;
    for (const NetId output : circuit_.outputs()) shown.push_back(nets.watch(output));
    auto edges = edge_inputs(steps, nets, shown);
    const StoredNets stored = stored_inner_nets(circuit_, steps, nets, shown);
    std::vector<std::string> names = table_.outputs;
    for (const std::uint32_t inner : stored.inner) {
      shown.push_back(inner);
      table_.inner.push_back(circuit_.net_name(nets.net(inner)));
      names.push_back(table_.inner.back());
    }
    if (!stored.inner.empty()) {
      for (const std::uint32_t e : edge_inputs(steps, nets, shown)) edges.push_back(e);
      std::sort(edges.begin(), edges.end());
      edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
    }
    shown_ = shown.size();
    make_planes(steps, edges);
    absorb_edges(steps, nets, shown);
    leave_out_unjudged(steps);
    if (is_stopped()) return std::move(table_);
    find_options(EntryFinder(steps, nets, shown, names, stored.inner.size()));
    tell_restless(nets, shown);
    choose();
    if (merge_ && row_estimate() > many_rows) use_input_names();
    make_rows();
    if (is_stopped()) {
      table_.rows.clear();
      return std::move(table_);
    }
    limit_rows(table_, options_.row_limit);
    add_notes(stored.enough);
    return std::move(table_);
  }

 private:
  static constexpr std::size_t many_rows = 24;

  bool is_stopped() {
    if (!is_set(options_.stop)) return false;
    table_.complete = false;
    if (table_.incomplete_reason.empty()) table_.incomplete_reason = "stopped before the rows were made";
    return true;
  }

  void make_planes(const StepSamples& steps, const std::vector<std::uint32_t>& edges) {
    planes_.resize(1 + 2 * edges.size());
    for (std::size_t i = 0; i < edges.size(); ++i) {
      planes_[1 + 2 * i].edge = planes_[2 + 2 * i].edge = static_cast<std::int32_t>(edges[i]);
      planes_[1 + 2 * i].rises = true;
    }
    for (Plane& plane : planes_) {
      plane.samples.resize(vectors_);
      plane.as_level.resize(vectors_, false);
    }
    for (std::uint32_t i = 0; i < steps.samples.size(); ++i) {
      const StepSample& sample = steps.samples[i];
      const auto at = std::find(edges.begin(), edges.end(), static_cast<std::uint32_t>(sample.changed));
      std::size_t plane = 0;
      if (sample.changed >= 0 && at != edges.end()) {
        plane = 1 + 2 * static_cast<std::size_t>(at - edges.begin());
        if ((sample.vector & bit_of(sample.changed)) == 0) ++plane;
      }
      planes_[plane].samples[sample.vector].push_back(i);
    }
  }

  /// Edges that do what the level does are part of the level: no step contradicts, neither in what
  /// the outputs show nor with the inner nets.
  void absorb_edges(const StepSamples& steps, const WatchedNets& nets,
                    const std::vector<std::uint32_t>& shown) {
    struct View {
      std::vector<std::uint32_t> before, after;       // numbers by state, by sample
      std::map<std::uint32_t, std::uint32_t> result;  // at one vector
    };
    const std::span<const std::uint32_t> all(shown), outputs = all.first(table_.outputs.size());
    std::vector<View> views;
    views.push_back({nets.signatures(outputs), nets.results(outputs), {}});
    if (all.size() != outputs.size()) views.push_back({nets.signatures(all), nets.results(all), {}});
    const auto is_loose = [&](std::uint32_t i) {
      const StepSample& sample = steps.samples[i];
      return sample.loose != no_state && std::any_of(shown.begin(), shown.end(), [&](std::uint32_t w) {
               return nets.after(w, sample) >= Kind::indeterminate;
             });
    };
    const auto note = [&](std::uint32_t i) {
      for (View& view : views) view.result.try_emplace(view.before[steps.samples[i].from], view.after[i]);
    };
    const auto agrees = [&](std::uint32_t i) {
      return std::all_of(views.begin(), views.end(), [&](const View& view) {
        const auto at = view.result.find(view.before[steps.samples[i].from]);
        return at == view.result.end() || at->second == view.after[i];
      });
    };
    for (std::uint32_t v = 0; v < vectors_; ++v) {
      auto& level = planes_[0].samples[v];
      for (View& view : views) view.result.clear();
      for (const std::uint32_t i : level) note(i);
      bool loose = !level.empty() && is_loose(level.front());
      for (std::size_t p = 1; p < planes_.size(); ++p) {
        auto& edge = planes_[p].samples[v];
        if (edge.empty()) continue;
        if (level.empty()) loose = is_loose(edge.front());
        if (!std::all_of(edge.begin(), edge.end(),
                         [&](std::uint32_t i) { return is_loose(i) == loose && agrees(i); })) {
          continue;
        }
        for (const std::uint32_t i : edge) note(i);
        level.insert(level.end(), edge.begin(), edge.end());
        edge.clear();
        planes_[p].as_level[v] = true;
      }
    }
  }

  /// Where some step of one input was not judged, nothing is claimed, and rows are not merged.
  void leave_out_unjudged(const StepSamples& steps) {
    if (space_.complete) return;
    std::vector<std::uint32_t> states(vectors_, 0);
    for (const StableState& s : space_.stable) ++states[free_part(s.inputs, space_.input_bits, table_.free)];
    for (std::uint32_t v = 0; v < vectors_; ++v) {
      std::uint32_t expected = states[v];
      for (unsigned i = 0; i < variables_; ++i) expected += states[v ^ 1u << i];
      if (steps.of(v).size() == expected && !space_.transitions.empty()) continue;
      for (Plane& plane : planes_) plane.samples[v].clear();
      merge_ = false;
    }
  }

  std::uint32_t bit_of(std::int32_t input) const {
    return 1u << (variables_ - 1 - static_cast<unsigned>(input));
  }

  void find_options(const EntryFinder& finder) {
    for (Plane& plane : planes_) {
      plane.options.resize(vectors_);
      for (std::uint32_t v = 0; v < vectors_; ++v) {
        if (plane.samples[v].empty()) continue;
        for (std::size_t k = 0; k < shown_; ++k)
          plane.options[v].push_back(finder.options(plane.samples[v], k));
      }
    }
  }

  VectorIndex whole_vector(std::uint32_t v) const {
    VectorIndex result = 0;
    for (std::size_t i = 0; i < table_.held.size(); ++i) result = result << 1 | VectorIndex{table_.held[i] == Value::one};
    for (unsigned i = 0; i < variables_; ++i) {
      if ((v >> (variables_ - 1 - i) & 1u) != 0) result |= VectorIndex{1} << (table_.held.size() - 1 - table_.free[i]);
    }
    return result;
  }

  std::vector<Value> levels_of(std::uint32_t v) const {
    std::vector<Value> result = table_.held;
    for (unsigned i = 0; i < variables_; ++i) result[table_.free[i]] = to_value((v >> (variables_ - 1 - i) & 1u) != 0);
    return result;
  }

  /// Where the circuit never rests, what is certain from every state; and where no step from a stable
  /// state leads, what else can be said.
  void tell_restless(const WatchedNets& nets, std::span<const std::uint32_t> shown) {
    told_as_restless_.assign(function_words(variables_), 0);
    if (!space_.complete || space_.never_stable.empty()) return;
    RestProof proof(circuit_, options_.any_delay);
    for (std::uint32_t v = 0; v < vectors_; ++v) {
      if (is_set(options_.stop)) return;
      if (!space_.swings_with(whole_vector(v))) continue;
      const auto what = restless_nets(circuit_, proof, levels_of(v));
      bool told = false;
      for (Plane& plane : planes_) {
        told |= plane.as_level[v];
        for (std::size_t k = 0; k < plane.options[v].size(); ++k) {
          told = true;
          const TableEntry entry = restless_entry(what[nets.net(shown[k])]);
          if (entry.kind <= Kind::one) plane.options[v][k].assign(1, entry);
        }
      }
      if (told) continue;
      told_as_restless_[v >> 6] |= std::uint64_t{1} << (v & 63);
      for (const std::uint32_t watched : shown) planes_[0].options[v].push_back({restless_entry(what[nets.net(watched)])});
    }
  }

  static TableEntry restless_entry(RestlessNet what) {
    switch (what) {
      case RestlessNet::zero: return {Kind::zero, {}};
      case RestlessNet::one: return {Kind::one, {}};
      case RestlessNet::oscillates: return {Kind::oscillation, {}};
      case RestlessNet::varies: break;
    }
    return {Kind::expression, {}};
  }

  std::uint32_t intern(const Entries& entries) {
    const auto [at, added] = numbers_.try_emplace(entries, static_cast<std::uint32_t>(numbers_.size()));
    if (added) table_.entries.push_back(entries);
    return at->second;
  }

  void choose() {
    numbers_.clear();
    table_.entries.clear();
    for (Plane& plane : planes_) {
      const bool is_edge = plane.edge >= 0;
      // How many keys of the plane an entry would suit, for each shown net.
      std::vector<std::map<TableEntry, std::uint32_t>> suits(shown_);
      for (const auto& options : plane.options) {
        for (std::size_t k = 0; k < options.size(); ++k) {
          for (const TableEntry& entry : options[k]) ++suits[k][entry];
        }
      }
      plane.entry.assign(vectors_, any_entry);
      for (std::uint32_t v = 0; v < vectors_; ++v) {
        if (plane.as_level[v]) plane.entry[v] = planes_[0].entry[v];
        if (plane.options[v].empty()) continue;
        Entries chosen;
        for (std::size_t k = 0; k < shown_; ++k) {
          const Entries& options = plane.options[v][k];
          const TableEntry* best = &options.front();
          for (const TableEntry& entry : options) {
            if (suits[k][entry] > suits[k][*best]) best = &entry;
          }
          // What the level does, if that is true of the edge as well.
          if (is_edge && planes_[0].entry[v] != any_entry) {
            const TableEntry& level = table_.entries[planes_[0].entry[v]][k];
            const auto same = std::find(options.begin(), options.end(), level);
            if (same != options.end()) best = &*same;
          }
          chosen.push_back(*best);
        }
        plane.entry[v] = intern(chosen);
      }
    }
  }

  std::size_t row_estimate() { return merged(planes_[0]).size(); }

  /// Where outputs follow inputs in many ways at once, as in a register, constants become names of
  /// inputs: one for each output, the one that agrees most often.
  void use_input_names() {
    const auto before = planes_;
    const std::size_t rows = row_estimate();
    for (std::size_t k = 0; k < table_.outputs.size(); ++k) {
      std::vector<std::uint32_t> agree(2 * variables_, 0);
      const auto each_constant = [&](const auto& visit) {
        for (Plane& plane : planes_) {
          for (std::uint32_t v = 0; v < vectors_; ++v) {
            if (plane.options[v].empty()) continue;
            Entries& options = plane.options[v][k];
            if (options.front().kind <= Kind::one) visit(v, options);
          }
        }
      };
      each_constant([&](std::uint32_t v, const Entries& options) {
        if (options.size() > 1) return;  // holds as well: says nothing
        for (unsigned i = 0; i < variables_; ++i) {
          const bool input = (v >> (variables_ - 1 - i) & 1u) != 0, value = options.front().kind == Kind::one;
          ++agree[2 * i + (input == value ? 0 : 1)];
        }
      });
      const auto best = static_cast<unsigned>(std::max_element(agree.begin(), agree.end()) - agree.begin());
      if (agree.empty() || agree[best] == 0) continue;
      each_constant([&](std::uint32_t v, Entries& options) {
        const bool input = (v >> (variables_ - 1 - best / 2) & 1u) != 0,
                   value = options.front().kind == Kind::one;
        if ((input == value) != (best % 2 == 0)) return;
        options.push_back(
            {Kind::expression, table_.inputs[table_.free[best / 2]] + (best % 2 == 0 ? "" : "'")});
      });
    }
    choose();
    if (row_estimate() < rows) return;
    planes_ = before;
    choose();
  }

  std::vector<MergedRow> merged(const Plane& plane) const {
    const auto entries = static_cast<std::uint32_t>(table_.entries.size());
    if (plane.edge < 0) return merge_rows(variables_, plane.entry, entries, {}, options_.stop);
    // Vectors with the input at the level before the edge copy the others, so that the products do
    // not contain it.
    const std::uint32_t bit = bit_of(plane.edge);
    std::vector<std::uint32_t> entry(vectors_);
    FunctionBits needed(function_words(variables_), 0);
    for (std::uint32_t v = 0; v < vectors_; ++v) {
      const std::uint32_t after = plane.rises ? v | bit : v & ~bit;
      entry[v] = plane.entry[after];
      if (entry[v] != any_entry && entry[v] != planes_[0].entry[after])
        needed[v >> 6] |= std::uint64_t{1} << (v & 63);
    }
    // Rows may speak of vectors whose level says the same, but only where that saves rows.
    auto rows = merge_rows(variables_, entry, entries, needed, options_.stop);
    for (std::uint32_t v = 0; v < vectors_; ++v) {
      const bool said_by_level = (needed[v >> 6] >> (v & 63) & 1) == 0 && entry[v] != any_entry;
      if (said_by_level) entry[v] = entries;
    }
    auto narrow = merge_rows(variables_, entry, entries + 1, needed, options_.stop);
    if (narrow.size() <= rows.size()) rows = std::move(narrow);
    for (MergedRow& row : rows) {
      row.cube.care |= bit;
      row.cube.value = plane.rises ? row.cube.value | bit : row.cube.value & ~bit;
    }
    return rows;
  }

  void make_rows() {
    for (std::size_t i = 1; i <= planes_.size(); ++i) {
      const Plane& plane = planes_[i % planes_.size()];  // levels last
      if (merge_) {
        for (const MergedRow& row : merged(plane)) table_.rows.push_back({row.cube, plane.edge, row.entry});
        continue;
      }
      for (std::uint32_t v = 0; v < vectors_; ++v) {
        const bool said_by_level = plane.edge >= 0 && plane.entry[v] == planes_[0].entry[v];
        if (plane.entry[v] != any_entry && !said_by_level)
          table_.rows.push_back({{vectors_ - 1, v}, plane.edge, plane.entry[v]});
      }
    }
  }

  void add_notes(bool enough) {
    if (!enough) {
      table_.notes.push_back({TableNote::Kind::inner_state,
                              {},
                              {},
                              {},
                              "what the outputs become depends on more inner state than the table shows"});
    }
    add_restless_notes(table_, circuit_, space_, options_, told_as_restless_);
    add_pulse_notes(table_, circuit_, space_);
    add_step_notes(table_, space_);
  }

  const Circuit& circuit_;
  const StateSpace& space_;
  const TableOptions& options_;
  Table table_;
  unsigned variables_;
  std::uint32_t vectors_;
  bool merge_;
  std::size_t shown_ = 0;
  std::vector<Plane> planes_;
  std::map<Entries, std::uint32_t> numbers_;
  FunctionBits told_as_restless_;                   // vectors with a row that no step leads to
};

}  // namespace

Table make_characteristic_table(const Circuit& circuit, const StateSpace& space,
                                const TableOptions& options) {
  return TableMaker(circuit, space, options).make();
}

}  // namespace settle
