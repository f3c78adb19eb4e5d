// An integer programme over kinds of gates, not over gates, so that its size depends on the variety of the
// circuit only and a register of a thousand bits is as easy as one of eight:
//
//   x[c][w]  gates of class c built in way w      y[p]  packages of kind p      u[p]  gates used of them
//   z[n][p]  named chip n is a package of kind p
//
//   class c      sum of x[c][w] - what other ways ask of c = number of gates of the circuit in c
//   function f   sum of u[p] over packages of gates f = sum of x over direct ways that use f
//   package p    size * y[p] + free gates of the named chips >= u[p] + gates asked for in p
//   chip n       sum of z[n][p] = 1
//
// First sum of y as small as possible, then, with that many, the least cost of replacements. A way that asks
// for other classes may meet them in any way, so chains of replacements need no variables of their own; a
// circle of replacements would only add gates. Solved by GLPK (branch and bound); the result is checked in
// whole numbers. When time runs out, or its arithmetic fails, the best of its solution and of the greedy one
// counts, and the relaxation without whole numbers gives the lower bound.
#include "parts/place_program.h"

#include <glpk.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <numeric>

namespace settle {

bool is_direct(const Way& way) { return way.level != Substitute::full && !way.reduces; }

namespace {

constexpr std::uint64_t no_cost = ~std::uint64_t{0} >> 2;

std::uint64_t cost_of(const Way& way) {
  if (way.reduces) return 1;
  if (way.level == Substitute::none) return 0;
  return way.level == Substitute::tied ? 2 : 3 * way.gates.size();
}

/// Classes of a problem with all that their ways ask for.
struct Closure {
  std::vector<ClassPlan> classes;
  std::vector<std::uint64_t> demand;                          // by class
  std::vector<std::vector<std::vector<std::uint32_t>>> asks;  // by class and way: classes, one entry a gate
  std::vector<std::uint64_t> least;  // cost of the cheapest way to build it, no_cost: none
};

std::vector<GateNeed> general_gates(const PlaceProblem& problem) {
  std::vector<GateNeed> gates;
  for (const auto& package : problem.packages) {
    if (package.is_general && std::find(gates.begin(), gates.end(), package.gate) == gates.end())
      gates.push_back(package.gate);
  }
  return gates;
}

Closure closure_of(const PlaceProblem& problem) {
  const auto gates = general_gates(problem);
  Closure result;
  std::map<PlaceClass, std::uint32_t> number;
  const auto class_of = [&](const PlaceClass& gate) {
    const auto [entry, is_new] = number.emplace(gate, static_cast<std::uint32_t>(result.classes.size()));
    if (is_new) {
      result.classes.push_back({gate, {}, {}});
      result.demand.push_back(0);
    }
    return entry->second;
  };
  for (const auto& demand : problem.demands) result.demand[class_of(demand.gate)] += demand.count;
  for (std::uint32_t c = 0; c < result.classes.size(); ++c) {
    const PlaceClass gate = result.classes[c].gate;
    auto ways = ways_of(gate.need, gates, problem.level);
    if (problem.level >= Substitute::tied && gate.reduced != gate.need) {
      Way way{Substitute::tied, {{gate.reduced, {}}}, "", true};
      ways.push_back(std::move(way));
    }
    std::stable_sort(ways.begin(), ways.end(),
                     [](const Way& a, const Way& b) { return cost_of(a) < cost_of(b); });
    result.asks.emplace_back(ways.size());
    for (std::size_t w = 0; w < ways.size(); ++w) {
      if (is_direct(ways[w])) continue;
      for (const WayGate& asked : ways[w].gates)
        result.asks[c][w].push_back(class_of({asked.need, asked.need}));
    }
    result.classes[c].ways = std::move(ways);
  }
  // Least costs, until nothing changes: costs only fall, and a path has no class twice.
  result.least.assign(result.classes.size(), no_cost);
  for (bool changed = true; changed;) {
    changed = false;
    for (std::size_t c = 0; c < result.classes.size(); ++c) {
      for (std::size_t w = 0; w < result.classes[c].ways.size(); ++w) {
        std::uint64_t cost = cost_of(result.classes[c].ways[w]) + 1;
        for (const auto asked : result.asks[c][w]) cost = std::min(no_cost, cost + result.least[asked]);
        if (cost < result.least[c]) {
          result.least[c] = cost;
          changed = true;
        }
      }
    }
  }
  return result;
}

struct ProblemDeleted {
  void operator()(glp_prob* problem) const { glp_delete_prob(problem); }
};

class Programme {
 public:
  Programme(const PlaceProblem& problem, const Closure& closure)
      : p_(problem), c_(closure), program_(glp_create_prob()) {
    glp_term_out(GLP_OFF);
    add_columns();
    add_rows();
  }

  /// The bound of the relaxation, or nothing when it has no solution.
  std::optional<std::uint64_t> bound() {
    glp_smcp options;
    glp_init_smcp(&options);
    options.msg_lev = GLP_MSG_OFF;
    options.presolve = GLP_ON;
    if (glp_simplex(program_.get(), &options) != 0 || glp_get_status(program_.get()) != GLP_OPT) return {};
    return static_cast<std::uint64_t>(std::ceil(glp_get_obj_val(program_.get()) - 1e-6));
  }

  /// Fewest packages, then the cheapest ways with so many. `is_proved`: the first is the optimum.
  std::optional<PlaceAnswer> solve(bool& is_proved) {
    int status = branch_and_bound();
    is_proved = status == GLP_OPT;
    if (status != GLP_OPT && status != GLP_FEAS) return {};
    auto best = read();
    if (!best) {
      is_proved = false;
      return {};
    }
    std::uint64_t packages = std::accumulate(best->chips.begin(), best->chips.end(), std::uint64_t{0});
    const int row = glp_add_rows(program_.get(), 1);
    std::vector<int> columns{0};
    std::vector<double> ones{0};
    for (const int column : y_) {
      columns.push_back(column);
      ones.push_back(1);
      glp_set_obj_coef(program_.get(), column, 0);
    }
    glp_set_mat_row(program_.get(), row, static_cast<int>(y_.size()), columns.data(), ones.data());
    glp_set_row_bnds(program_.get(), row, GLP_UP, 0, static_cast<double>(packages));
    for (std::size_t c = 0; c < x_.size(); ++c) {
      for (std::size_t w = 0; w < x_[c].size(); ++w) {
        if (x_[c][w] != 0)
          glp_set_obj_coef(program_.get(), x_[c][w], static_cast<double>(cost_of(c_.classes[c].ways[w])));
      }
    }
    for (std::size_t n = 0; n < z_.size(); ++n) {
      for (std::size_t i = 0; i < z_[n].size(); ++i)
        glp_set_obj_coef(program_.get(), z_[n][i], 2.0 * p_.named[n].replaced[i]);
    }
    status = branch_and_bound();
    if (status != GLP_OPT && status != GLP_FEAS) return best;
    auto cheapest = read();
    return cheapest ? cheapest : best;
  }

 private:
  int add_column(bool whole, double upper = 0) {
    const int column = glp_add_cols(program_.get(), 1);
    glp_set_col_kind(program_.get(), column, whole ? GLP_IV : GLP_CV);
    glp_set_col_bnds(program_.get(), column, upper > 0 ? GLP_DB : GLP_LO, 0, upper);
    return column;
  }

  void add_columns() {
    for (std::size_t p = 0; p < p_.packages.size(); ++p) {
      y_.push_back(add_column(true));
      u_.push_back(p_.packages[p].is_general ? add_column(false) : 0);
      glp_set_obj_coef(program_.get(), y_.back(), 1);
    }
    for (std::size_t c = 0; c < c_.classes.size(); ++c) {
      x_.emplace_back();
      for (std::size_t w = 0; w < c_.classes[c].ways.size(); ++w) {
        const auto& asks = c_.asks[c][w];
        const bool possible =
            std::all_of(asks.begin(), asks.end(), [&](std::uint32_t a) { return c_.least[a] < no_cost; });
        x_.back().push_back(possible ? add_column(true) : 0);
      }
    }
    for (const auto& chip : p_.named) {
      z_.emplace_back();
      for (std::size_t i = 0; i < chip.packages.size(); ++i) z_.back().push_back(add_column(true, 1));
    }
  }

  void entry(int column, double value) { row_[column] += value; }
  void end_row(int kind, double bound) {
    std::vector<int> columns{0};
    std::vector<double> values{0};
    for (const auto& [column, value] : row_) {
      if (value == 0) continue;
      columns.push_back(column);
      values.push_back(value);
    }
    row_.clear();
    const int row = glp_add_rows(program_.get(), 1);
    glp_set_mat_row(program_.get(), row, static_cast<int>(columns.size()) - 1, columns.data(), values.data());
    glp_set_row_bnds(program_.get(), row, kind, bound, bound);
  }

  void add_rows() {
    std::vector<std::vector<std::pair<int, double>>> asked(c_.classes.size());
    for (std::size_t c = 0; c < x_.size(); ++c) {
      for (std::size_t w = 0; w < x_[c].size(); ++w) {
        for (const auto a : c_.asks[c][w]) {
          if (x_[c][w] != 0) asked[a].emplace_back(x_[c][w], -1);
        }
      }
    }
    for (std::size_t c = 0; c < x_.size(); ++c) {
      for (const int column : x_[c]) {
        if (column != 0) entry(column, 1);
      }
      for (const auto& [column, value] : asked[c]) entry(column, value);
      end_row(GLP_FX, static_cast<double>(c_.demand[c]));
    }
    for (const GateNeed& function : general_gates(p_)) {
      for (std::size_t p = 0; p < u_.size(); ++p) {
        if (u_[p] != 0 && p_.packages[p].gate == function) entry(u_[p], 1);
      }
      for (std::size_t c = 0; c < x_.size(); ++c) {
        for (std::size_t w = 0; w < x_[c].size(); ++w) {
          const Way& way = c_.classes[c].ways[w];
          if (x_[c][w] != 0 && is_direct(way) && way.gates.front().need == function) entry(x_[c][w], -1);
        }
      }
      end_row(GLP_FX, 0);
    }
    for (std::size_t p = 0; p < y_.size(); ++p) {
      entry(y_[p], p_.packages[p].gates);
      if (u_[p] != 0) entry(u_[p], -1);
      for (std::size_t n = 0; n < z_.size(); ++n) {
        for (std::size_t i = 0; i < z_[n].size(); ++i) {
          if (p_.named[n].packages[i] == p)
            entry(z_[n][i], static_cast<double>(p_.packages[p].gates) - p_.named[n].gates);
        }
      }
      end_row(GLP_LO, static_cast<double>(p_.packages[p].asked_for));
    }
    for (const auto& chip : z_) {
      for (const int column : chip) entry(column, 1);
      end_row(GLP_FX, 1);
    }
  }

  int branch_and_bound() {
    glp_iocp options;
    glp_init_iocp(&options);
    options.msg_lev = GLP_MSG_OFF;
    options.presolve = GLP_ON;
    // Cuts prove the bound where branching alone goes through all ways to fill the same chips.
    options.mir_cuts = GLP_ON;
    options.gmi_cuts = GLP_ON;
    options.cov_cuts = GLP_ON;
    // A limit in time would give different answers on different machines.
    std::uint64_t left = p_.steps;
    options.cb_func = [](glp_tree* tree, void* info) {
      if (glp_ios_reason(tree) != GLP_IROWGEN) return;  // once after each relaxation
      auto& steps = *static_cast<std::uint64_t*>(info);
      if (steps == 0) glp_ios_terminate(tree);
      else --steps;
    };
    options.cb_info = &left;
    glp_intopt(program_.get(), &options);
    return glp_mip_status(program_.get());
  }

  std::uint64_t value(int column) const {
    return column == 0 ? 0
                       : static_cast<std::uint64_t>(
                             std::llround(std::max(0.0, glp_mip_col_val(program_.get(), column))));
  }

  /// The solution in whole numbers; nothing when they do not add up.
  std::optional<PlaceAnswer> read() const {
    PlaceAnswer answer;
    answer.classes = c_.classes;
    std::vector<std::uint64_t> asked = c_.demand;
    std::map<GateNeed, std::uint64_t> used;
    for (std::size_t c = 0; c < x_.size(); ++c) {
      for (std::size_t w = 0; w < x_[c].size(); ++w) {
        const std::uint64_t count = value(x_[c][w]);
        answer.classes[c].counts.push_back(count);
        for (const auto a : c_.asks[c][w]) asked[a] += count;
        const Way& way = c_.classes[c].ways[w];
        if (is_direct(way)) used[way.gates.front().need] += count;
      }
    }
    for (std::size_t c = 0; c < x_.size(); ++c) {
      const auto& counts = answer.classes[c].counts;
      if (std::accumulate(counts.begin(), counts.end(), std::uint64_t{0}) != asked[c]) return {};
    }
    for (std::size_t n = 0; n < z_.size(); ++n) {
      answer.named.push_back(no_id);
      for (std::size_t i = 0; i < z_[n].size(); ++i) {
        if (value(z_[n][i]) == 1) answer.named.back() = p_.named[n].packages[i];
      }
      if (answer.named.back() == no_id) return {};
    }
    std::map<GateNeed, std::uint64_t> room;
    for (std::size_t p = 0; p < y_.size(); ++p) {
      answer.chips.push_back(value(y_[p]));
      std::uint64_t gates = answer.chips.back() * p_.packages[p].gates;
      for (std::size_t n = 0; n < z_.size(); ++n) {
        if (answer.named[n] == p) gates += p_.packages[p].gates - p_.named[n].gates;
      }
      if (gates < p_.packages[p].asked_for) return {};
      if (p_.packages[p].is_general) room[p_.packages[p].gate] += gates - p_.packages[p].asked_for;
    }
    for (const auto& [function, count] : used) {
      if (count > room[function]) return {};
    }
    answer.total = std::accumulate(answer.chips.begin(), answer.chips.end(), std::uint64_t{p_.named.size()});
    return answer;
  }

  const PlaceProblem& p_;
  const Closure& c_;
  std::unique_ptr<glp_prob, ProblemDeleted> program_;
  std::vector<int> y_, u_;  // by package; 0: no such column
  std::vector<std::vector<int>> x_, z_;
  std::map<int, double> row_;  // under construction
};

/// Every gate in its cheapest way, named chips as their first kind: always there, seldom the fewest.
PlaceAnswer greedy(const PlaceProblem& problem, const Closure& closure) {
  PlaceAnswer answer;
  answer.classes = closure.classes;
  for (ClassPlan& plan : answer.classes) plan.counts.assign(plan.ways.size(), 0);
  std::map<GateNeed, std::uint64_t> used;
  std::vector<std::pair<std::uint32_t, std::uint64_t>> open;
  for (std::uint32_t c = 0; c < closure.demand.size(); ++c) {
    if (closure.demand[c] > 0) open.emplace_back(c, closure.demand[c]);
  }
  while (!open.empty()) {
    const auto [c, count] = open.back();
    open.pop_back();
    const auto& ways = closure.classes[c].ways;
    for (std::size_t w = 0; w < ways.size(); ++w) {
      std::uint64_t cost = cost_of(ways[w]) + 1;
      for (const auto asked : closure.asks[c][w]) cost = std::min(no_cost, cost + closure.least[asked]);
      if (cost != closure.least[c]) continue;
      answer.classes[c].counts[w] += count;
      for (const auto asked : closure.asks[c][w]) open.emplace_back(asked, count);
      if (is_direct(ways[w])) used[ways[w].gates.front().need] += count;
      break;
    }
  }
  answer.chips.assign(problem.packages.size(), 0);
  for (const auto& chip : problem.named) answer.named.push_back(chip.packages.front());
  for (std::size_t p = 0; p < problem.packages.size(); ++p) {
    const auto& package = problem.packages[p];
    std::uint64_t room = 0;
    for (std::size_t n = 0; n < problem.named.size(); ++n) {
      if (answer.named[n] == p) room += package.gates - problem.named[n].gates;
    }
    std::uint64_t wanted = package.asked_for;
    if (package.is_general) wanted += std::exchange(used[package.gate], 0);
    if (wanted > room) answer.chips[p] = (wanted - room + package.gates - 1) / package.gates;
  }
  answer.total =
      std::accumulate(answer.chips.begin(), answer.chips.end(), std::uint64_t{problem.named.size()});
  return answer;
}

}  // namespace

std::vector<GateNeed> impossible_needs(const PlaceProblem& problem) {
  const Closure closure = closure_of(problem);
  std::vector<GateNeed> result;
  for (std::size_t c = 0; c < closure.classes.size(); ++c) {
    if (closure.demand[c] > 0 && closure.least[c] == no_cost) result.push_back(closure.classes[c].gate.need);
  }
  return result;
}

std::optional<PlaceAnswer> solve_places(const PlaceProblem& problem) {
  const Closure closure = closure_of(problem);
  Programme programme(problem, closure);
  const auto bound = programme.bound();
  bool is_proved = false;
  auto answer = programme.solve(is_proved);
  PlaceAnswer simple = greedy(problem, closure);
  if (!answer || simple.total < answer->total) answer = std::move(simple);
  answer->lower_bound = is_proved ? answer->total : bound ? *bound + problem.named.size() : 0;
  answer->is_fewest = answer->total == answer->lower_bound;
  return answer;
}

}  // namespace settle
