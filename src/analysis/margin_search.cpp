// Best first over orders of events: margin_orders.h says what an order is and which conditions on the delays
// it takes. The least spread d for which delays within 1-d .. 1+d of nominal meet the conditions is a linear
// programme; it never falls along an order. Orders with the least d go first, so the first wrong ending that
// comes out is one with the least d of all: no assignment within less ends wrong, for it would follow an
// order that is still waiting, with a larger d. A wrong ending is another stable state, or a state that comes
// again with everything due at the same intervals, which is one more condition on the delays.
//
// Conditions are strict ("before") but for ties. The least d is taken over the closed set, which is right as
// long as the strict conditions can be met at all: a second programme asks for that. Most children need
// neither: a point that their parent was found to allow is tried first.
//
// Programmes are solved in floating point; emptiness is confirmed, and the margin itself computed, by the
// exact simplex method.
#include "analysis/margin_search.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <deque>
#include <queue>
#include <tuple>

#include "analysis/margin_orders.h"
#include "analysis/margin_witness.h"

namespace settle {
namespace {

constexpr double tolerance = 1e-9;
constexpr double rounding = 1e-12;   // a spread such as 1/3 is no whole number of bits
constexpr double doubtful = 1e-5;    // slacks between these two are computed again, exactly
constexpr std::uint32_t deep = 400;  // orders longer than this go last among equals
constexpr std::size_t most_races = 6;
constexpr int quick_samples = 400, thorough_samples = 20'000;
constexpr std::uint64_t orders_for_races = 60;  // looked at after the margin is known

class MarginSearch {
 public:
  explicit MarginSearch(const MarginProblem& problem)
      : problem_(problem),
        explorer_(*problem.network, problem.nominal, problem.separate_edges),
        program_(explorer_.factors()) {}

  MarginResult run() {
    Node root;
    root.order = explorer_.start();
    root.inside.assign(explorer_.factors(), 1.0);
    root.nearest = root.inside;
    root.weighed = true;
    MarginResult sample;
    sample_margin(problem_, quick_samples, sample);
    limit_ = sample.most;
    push(std::move(root));
    std::uint64_t last = problem_.most_orders;
    while (!queue_.empty()) {
      const Waiting next = queue_.top();
      if (result_.complete && (next.bound > result_.most + tolerance || result_.races.size() >= most_races))
        break;
      if (result_.orders >= last || stopped() || !result_.known) break;
      queue_.pop();
      if (result_.complete && is_consequence(next.id)) continue;
      if (!weigh(next.id)) continue;
      if (nodes_[next.id].bound > next.bound + tolerance) {
        enqueue(next.id);
        continue;
      }
      ++result_.orders;
      if (!next.open) {
        take_ending(next.id);
        last = std::min(last, result_.orders + orders_for_races);
      } else if (!expand(next.id)) {
        stuck_ = std::min(stuck_, next.bound);
        if (!result_.complete && stuck_ <= next.bound) break;
      }
    }
    finish();
    return std::move(result_);
  }

 private:
  struct Node {
    OrderNode order;
    double bound = 0;  // before it is weighed: at least this
    bool weighed = false;
    std::vector<double> inside;   // factors that meet all rows strictly
    std::vector<double> nearest;  // factors with the least spread
  };
  struct Waiting {
    double bound;
    bool open;           // to be continued; else a wrong ending
    std::uint32_t rank;  // among equals, the lower first
    std::uint32_t id;
    bool operator<(const Waiting& other) const {  // the greatest comes out first
      return std::tuple(bound, open, rank, id) > std::tuple(other.bound, other.open, other.rank, other.id);
    }
  };

  bool stopped() const { return problem_.stop != nullptr && problem_.stop->load(std::memory_order_relaxed); }

  bool is_ending(const OrderNode& order) const { return order.pending.empty() || order.repeats; }

  void push(Node&& node) {
    nodes_.push_back(std::move(node));
    enqueue(static_cast<std::uint32_t>(nodes_.size() - 1));
  }
  void enqueue(std::uint32_t id) {
    const Node& node = nodes_[id];
    const std::uint32_t depth = node.order.depth;
    queue_.push({std::round(node.bound * 1e12) / 1e12, !is_ending(node.order),
                 depth < deep ? deep - depth : depth, id});
  }

  // All conditions of an order; `events` receives, for each row of the programme, where it is from.
  void load(const OrderNode& last, std::vector<const OrderRow*>* events = nullptr) {
    program_.clear();
    for (const OrderNode* at = &last;; at = &nodes_[at->parent].order) {
      for (const OrderRow& row : at->rows) {
        const std::size_t before = program_.rows().size();
        program_.add(row.row);
        if (events != nullptr && program_.rows().size() != before) events->push_back(&row);
      }
      if (at->parent == no_event) break;
    }
  }

  static bool meets(const std::vector<OrderRow>& rows, const std::vector<double>& point, bool strictly) {
    return std::all_of(rows.begin(), rows.end(), [&](const OrderRow& row) {
      const double value = value_of(row.row.form, point);
      return row.row.equal ? std::abs(value) < 1e-12 : strictly ? value > 1e-6 : value > -1e-12;
    });
  }

  // Computes bound and points; false when no delays allow the order, or only with more spread than is of
  // interest.
  bool weigh(std::uint32_t id) {
    Node& node = nodes_[id];
    if (node.weighed) return true;
    node.weighed = true;
    const Node& parent = nodes_[node.order.parent];
    const std::vector<OrderRow>& rows = node.order.rows;
    bool loaded = false;
    const auto load_once = [&] {
      if (!loaded) load(node.order);
      loaded = true;
    };
    if (meets(rows, parent.inside, true)) {
      node.inside = parent.inside;
    } else {
      load_once();
      if (program_.contradicts_itself()) return false;
      ProgramPoint point = program_.widest();
      if (point.found && point.slack > tolerance && point.slack < doubtful) point = program_.widest(true);
      if (!point.found || point.slack < tolerance) return false;
      node.inside = std::move(point.factors);
    }
    if (meets(rows, parent.nearest, false)) {
      node.nearest = parent.nearest;
    } else {
      load_once();
      ProgramPoint point = program_.least_spread();
      if (!point.found) point = program_.least_spread(true);
      if (!point.found) return false;
      node.bound = std::max(node.bound, point.spread);
      node.nearest = std::move(point.factors);
    }
    return node.bound < 1 - tolerance && node.bound <= limit_ + tolerance;
  }

  bool expand(std::uint32_t id) {
    if (repeats(id)) return true;
    children_.clear();
    if (!explorer_.expand(nodes_[id].order, id, std::min(limit_ + tolerance, 1.0), children_)) return false;
    for (OrderNode& order : children_) {
      if (order.pending.empty() && order.state == problem_.right) continue;
      if (problem_.network->meets_unknown(order.state)) {
        result_.known = false;
        return true;
      }
      add(std::move(order), nodes_[id].bound);
    }
    return true;
  }

  void add(OrderNode&& order, double bound) {
    Node node;
    node.bound = bound;
    for (const OrderRow& row : order.rows) node.bound = std::max(node.bound, least_spread_of(row.row));
    node.order = std::move(order);
    push(std::move(node));
  }

  // Adds endings in which the node is where its order was before. True: it is so for all delays of the node.
  bool repeats(std::uint32_t id) {
    const auto same_gates = [](const OrderNode& a, const OrderNode& b) {
      return a.state == b.state &&
             std::equal(a.pending.begin(), a.pending.end(), b.pending.begin(), b.pending.end(),
                        [](const auto& p, const auto& q) { return p.gate == q.gate; });
    };
    for (std::uint32_t at = nodes_[id].order.parent; at != no_event; at = nodes_[at].order.parent) {
      if (!same_gates(nodes_[at].order, nodes_[id].order)) continue;
      OrderNode ending;
      ending.state = nodes_[id].order.state;
      ending.parent = id;
      ending.depth = nodes_[id].order.depth + 1;
      ending.repeats = true;
      ending.rows = explorer_.repetition(nodes_[at].order, nodes_[id].order);
      const bool always = ending.rows.empty();
      const bool possible = std::all_of(ending.rows.begin(), ending.rows.end(), [](const OrderRow& row) {
        return std::any_of(row.row.form.begin(), row.row.form.end(), [](std::int64_t c) { return c < 0; });
      });
      if (possible) add(std::move(ending), nodes_[id].bound);
      if (always) return true;
    }
    return false;
  }

  void take_ending(std::uint32_t id) {
    load(nodes_[id].order);
    const ProgramPoint exact = program_.least_spread(true);
    if (!result_.complete) {
      result_.complete = true;
      result_.least = result_.most = exact.found ? exact.spread : nodes_[id].bound;
    }
    if (!result_.fails_at) {
      const ProgramPoint at = program_.widest(result_.most + rounding, true);
      result_.fails_at = at.found && at.slack > tolerance;
      if (result_.fails_at) result_.scale = 0;  // a witness at the margin itself is better
    }
    if (result_.scale == 0) find_witness_delays(problem_, program_, result_.most, result_);
    add_races(id);
  }

  // Gates of the events that lead to an event, first to last.
  std::vector<std::uint32_t> path_to(std::uint32_t event) const {
    std::vector<std::uint32_t> path;
    for (; event != no_event; event = explorer_.event(event).cause) path.push_back(event);
    std::reverse(path.begin(), path.end());
    return path;
  }

  static std::int64_t nominal(const TimeForm& form) {
    std::int64_t sum = 0;
    for (const std::int64_t c : form) sum += c;
    return sum;
  }

  PathRace race_of(const OrderRow& row) const {
    PathRace race;
    race.tie = row.row.equal;
    if (row.earlier == no_event) {
      for (std::size_t k = 0; k < row.row.form.size(); ++k) {
        const std::int64_t c = row.row.form[k];
        (c > 0 ? race.faster_time : race.slower_time) += std::abs(c);
        if (c != 0)
          (c > 0 ? race.faster : race.slower)
              .push_back(static_cast<std::uint32_t>(problem_.separate_edges ? k / 2 : k));
      }
    } else {
      std::vector<std::uint32_t> first = path_to(row.earlier), second = path_to(row.later);
      std::size_t common = 0;
      while (common < first.size() && common < second.size() && first[common] == second[common]) ++common;
      const std::int64_t before = common == 0 ? 0 : nominal(explorer_.event(first[common - 1]).due);
      race.slower_time = nominal(explorer_.event(row.earlier).due) - before;
      race.faster_time = nominal(explorer_.event(row.later).due) - before;
      for (std::size_t i = common; i < first.size(); ++i)
        race.slower.push_back(explorer_.event(first[i]).gate);
      for (std::size_t i = common; i < second.size(); ++i)
        race.faster.push_back(explorer_.event(second[i]).gate);
    }
    if (race.tie && race.slower_time < race.faster_time) {
      std::swap(race.slower, race.faster);
      std::swap(race.slower_time, race.faster_time);
    }
    return race;
  }

  static bool meets_nominal(const OrderRow& row) {
    const std::int64_t value = nominal(row.row.form);
    return row.row.equal ? value == 0 : value > 0;
  }

  // A condition that takes the whole spread by itself, and what hangs on it.
  OrderMatter decides(const OrderRow& row) const {
    if (meets_nominal(row) || least_spread_of(row.row) < result_.most - tolerance)
      return OrderMatter::nothing;
    return explorer_.matter(row);
  }

  // The step of a wrong order at which it takes the spread that it takes: what follows is a consequence. The
  // first such step with a condition that decides, most of all one that calls a change off; else the first.
  std::uint32_t decisive_step(std::uint32_t ending) const {
    std::uint32_t decisive = ending;
    OrderMatter found = OrderMatter::nothing;
    for (std::uint32_t at = ending; at != no_event; at = nodes_[at].order.parent) {
      if (nodes_[at].bound < result_.most - tolerance) break;
      OrderMatter here = OrderMatter::nothing;
      for (const OrderRow& row : nodes_[at].order.rows) here = std::max(here, decides(row));
      const bool departs = !std::all_of(nodes_[at].order.rows.begin(), nodes_[at].order.rows.end(),
                                        [](const OrderRow& row) { return meets_nominal(row); });
      if (here < found || (here == OrderMatter::nothing && !departs)) continue;
      decisive = at;
      found = here;
    }
    return decisive;
  }

  bool is_consequence(std::uint32_t id) const {
    for (; id != no_event; id = nodes_[id].order.parent) {
      if (std::find(decisive_.begin(), decisive_.end(), id) != decisive_.end()) return true;
    }
    return false;
  }

  // The conditions that decide there, else those that hold the spread up together and that nominal delays do
  // not meet.
  void add_races(std::uint32_t ending) {
    const std::uint32_t decisive = decisive_step(ending);
    if (std::find(decisive_.begin(), decisive_.end(), decisive) != decisive_.end()) return;
    decisive_.push_back(decisive);
    const auto& rows = nodes_[decisive].order.rows;
    std::vector<const OrderRow*> chosen;
    OrderMatter most = OrderMatter::excitation;
    for (const OrderRow& row : rows) most = std::max(most, decides(row));
    for (const OrderRow& row : rows) {
      if (decides(row) == most) chosen.push_back(&row);
    }
    if (chosen.empty()) {
      std::vector<const OrderRow*> origins;
      load(nodes_[decisive].order, &origins);
      const ProgramPoint exact = program_.least_spread(true);
      for (std::size_t i = 0; i < exact.weights.size(); ++i) {
        if (!meets_nominal(*origins[i]) && exact.weights[i] > tolerance) chosen.push_back(origins[i]);
      }
    }
    for (const OrderRow* row : chosen) {
      const PathRace race = race_of(*row);
      const auto same = std::find_if(result_.races.begin(), result_.races.end(), [&race](const PathRace& r) {
        return r.faster == race.faster && r.slower == race.slower;
      });
      if (same == result_.races.end()) {
        result_.races.push_back(race);
      } else {
        same->tie = same->tie && race.tie;
      }
    }
  }

  void finish() {
    if (!result_.known) {
      result_.complete = false;
      return;
    }
    if (result_.complete) return;
    if (queue_.empty() && stuck_ > 1) {
      result_.complete = true;  // every order ends right
      result_.least = result_.most = 1;
      return;
    }
    result_.least = std::min(stuck_, queue_.empty() ? 1.0 : queue_.top().bound);
    result_.most = 1;
    while (!queue_.empty()) {
      const Waiting next = queue_.top();
      queue_.pop();
      if (next.open || !weigh(next.id)) continue;
      result_.most = nodes_[next.id].bound;
      load(nodes_[next.id].order);
      find_witness_delays(problem_, program_, next.bound, result_);
      break;
    }
    sample_margin(problem_, thorough_samples, result_);
  }

  const MarginProblem& problem_;
  OrderExplorer explorer_;
  OrderProgram program_;
  std::deque<Node> nodes_;
  std::priority_queue<Waiting> queue_;
  std::vector<OrderNode> children_;
  std::vector<std::uint32_t> decisive_;  // steps of the wrong orders so far
  double limit_ = 1;                     // the least spread of a wrong ending so far
  double stuck_ = 2;                     // the least spread of an order that could not be continued
  MarginResult result_;
};

}  // namespace

MarginResult find_margin(const MarginProblem& problem) { return MarginSearch(problem).run(); }

}  // namespace settle
