// Flow table (Huffman 1954; Unger 1969). The primitive table has a row for each stable state, and in
// each column the set of stable states that a step to those inputs can end in. Two rows merge when
// their entries agree in every column; an entry that is not specified (the step was not looked at)
// agrees with any. Rows of states with equal inputs disagree there, each having its own stable state,
// so that a row has at most one stable entry a column. On a fully specified table agreeing is an
// equivalence and the result the smallest table with this property; else rows are merged greedily,
// in the order of the states, each with the first row that it agrees with.
//
// Cost: states x columns, times rows where entries are free. Tables past a bound are not made.
#include "analysis/space_flow.h"

#include <algorithm>
#include <string>
#include <unordered_map>

namespace settle {
namespace {

constexpr std::uint64_t most_entries = 4'000'000;
constexpr std::uint64_t most_comparisons = 400'000'000;

struct Goal {  // where a row goes in a column
  const std::uint32_t* states = nullptr;
  std::uint32_t count = 0;
  bool may_cycle = false;
  bool specified = false;

  bool agrees(const Goal& other) const {
    if (!specified || !other.specified) return true;
    return may_cycle == other.may_cycle && std::equal(states, states + count, other.states, other.states + other.count);
  }
};

class FlowTableMaker {
 public:
  explicit FlowTableMaker(StateSpace& space) : space_(space), columns_(space.vectors.size()) {}

  void run() {
    const std::uint64_t states = space_.stable.size();
    if (states * columns_ > most_entries) return;
    free_entries_ = states * (columns_ - 1) != space_.transitions.size();
    for (const Transition& t : space_.transitions) free_entries_ = free_entries_ || !t.judged;
    if (free_entries_ && states * states * columns_ > most_comparisons) return;
    collect_goals();
    merge();
    write();
  }

 private:
  Goal* row_of(std::uint32_t state) { return goals_.data() + std::size_t{state} * columns_; }
  std::size_t column_of(VectorIndex inputs) const {
    return static_cast<std::size_t>(std::lower_bound(space_.vectors.begin(), space_.vectors.end(), inputs) -
                                    space_.vectors.begin());
  }

  void collect_goals() {
    const auto states = static_cast<std::uint32_t>(space_.stable.size());
    own_.resize(states);
    goals_.assign(std::size_t{states} * columns_, {});
    for (std::uint32_t s = 0; s < states; ++s) {
      own_[s] = s;
      row_of(s)[column_of(space_.stable[s].inputs)] = {&own_[s], 1, false, true};
    }
    for (const Transition& t : space_.transitions) {
      if (!t.judged) continue;
      row_of(t.from)[column_of(t.inputs)] = {t.to.data(), static_cast<std::uint32_t>(t.to.size()), t.may_cycle, true};
    }
  }

  std::string key_of(std::uint32_t state) {
    std::string key;
    for (std::size_t c = 0; c < columns_; ++c) {
      const Goal& goal = row_of(state)[c];
      key += goal.may_cycle ? 'c' : '-';
      key.append(reinterpret_cast<const char*>(&goal.count), sizeof goal.count);
      key.append(reinterpret_cast<const char*>(goal.states), goal.count * sizeof *goal.states);
    }
    return key;
  }

  void merge() {
    row_.assign(own_.size(), 0);
    std::unordered_map<std::string, std::uint32_t> by_key;
    for (std::uint32_t s = 0; s < own_.size(); ++s) {
      auto row = static_cast<std::uint32_t>(rows_.size());
      if (free_entries_) {
        row = 0;
        while (row < rows_.size() && !agrees(rows_[row], s)) ++row;
      } else {
        row = by_key.try_emplace(key_of(s), row).first->second;
      }
      if (row == rows_.size()) {
        rows_.emplace_back(row_of(s), row_of(s) + columns_);
      } else {
        for (std::size_t c = 0; c < columns_; ++c) {
          if (row_of(s)[c].specified) rows_[row][c] = row_of(s)[c];
        }
      }
      row_[s] = row;
    }
  }
  bool agrees(const std::vector<Goal>& row, std::uint32_t state) {
    for (std::size_t c = 0; c < columns_; ++c) {
      if (!row[c].agrees(row_of(state)[c])) return false;
    }
    return true;
  }

  void write() {
    FlowTable& flow = space_.flow;
    flow.columns = space_.vectors;
    flow.rows.assign(rows_.size(), std::vector<FlowTable::Entry>(columns_));
    for (std::size_t r = 0; r < rows_.size(); ++r) {
      for (std::size_t c = 0; c < columns_; ++c) {
        const Goal& goal = rows_[r][c];
        FlowTable::Entry& entry = flow.rows[r][c];
        entry.specified = goal.specified;
        entry.may_cycle = goal.may_cycle;
        for (std::uint32_t i = 0; i < goal.count; ++i) entry.rows.push_back(row_[goal.states[i]]);
        std::sort(entry.rows.begin(), entry.rows.end());
      }
    }
    for (std::uint32_t s = 0; s < own_.size(); ++s) {
      FlowTable::Entry& entry = flow.rows[row_[s]][column_of(space_.stable[s].inputs)];
      entry.stable = true;
      entry.state = s;
    }
  }

  StateSpace& space_;
  std::size_t columns_;
  bool free_entries_ = false;
  std::vector<std::uint32_t> own_;        // state s, for stable entries to point at
  std::vector<Goal> goals_;               // of the primitive table
  std::vector<std::vector<Goal>> rows_;   // merged
  std::vector<std::uint32_t> row_;        // by state
};

}  // namespace

void make_flow_table(StateSpace& space) { FlowTableMaker(space).run(); }

}  // namespace settle
