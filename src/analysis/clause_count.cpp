// Idea: decide a variable, propagate, and see whether the open clauses now fall into parts without a
// common open variable: their counts multiply, the counts of the two values add. Parts met before
// (equal clauses but for the numbers of the variables) are looked up. So a register whose read line is
// free costs two parts: read = 0 and read = 1 for one cell. R. Bayardo, J. Pehoushek, "Counting models
// using connected components", AAAI 2000; T. Sang and others, "Combining component caching and clause
// learning for effective model counting", SAT 2004 (both from memory; no learning here).
//
// Invariant: the frames on the stack are nested parts; each has its decision assigned, and all
// variables outside the innermost part keep their values while it is counted.
// Cost: exponential in the worst case; every step costs time in proportion to its part.
#include "analysis/clause_count.h"

#include <algorithm>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "analysis/clause_search.h"

namespace settle {
namespace {

constexpr std::uint8_t open = 2;
constexpr std::size_t most_cached_bytes = std::size_t{1} << 27;

class Counter {
 public:
  Counter(const ClauseSet& clauses, std::uint64_t work, const std::atomic<bool>* stop)
      : clauses_(clauses),
        search_(clauses, {}),
        work_(work),
        stop_(stop),
        occurs_(clauses.variable_count()),
        seen_(clauses.variable_count(), 0),
        clause_seen_(clauses.size(), 0),
        local_(clauses.variable_count(), 0) {
    for (std::uint32_t i = 0; i < clauses.size(); ++i) {
      for (const Literal literal : clauses.clause(i)) occurs_[variable_of(literal)].push_back(i);
    }
  }

  std::optional<BigCount> run() {
    if (!search_.propagate_all()) return BigCount(0);
    Frame& top = stack_.emplace_back();
    std::vector<std::uint32_t> all;
    for (std::uint32_t v = 1; v < clauses_.variable_count(); ++v) all.push_back(v);
    top.values_left = 0;
    split(all, top);
    for (;;) {
      Frame& frame = stack_.back();
      if (!frame.parts.empty() && !frame.product.is_zero()) {
        if (search_.assignments() > work_ || is_stopped()) return std::nullopt;
        begin(std::move(frame.parts.back()));  // may move `frame`
        continue;
      }
      frame.sum += frame.product;
      if (frame.values_left > 0) {
        search_.undo(frame.mark);
        try_value(frame, --frame.values_left == 0);
        continue;
      }
      search_.undo(frame.mark);
      const BigCount sum = std::move(frame.sum);
      if (stack_.size() == 1) return sum;
      remember(std::move(frame.key), sum);
      stack_.pop_back();
      stack_.back().product *= sum;
    }
  }

 private:
  struct Part {
    std::vector<std::uint32_t> variables, clauses;  // open ones, ascending
  };
  struct Frame {
    Part part;
    std::string key;
    std::uint32_t decision = 0, mark = 0;
    int values_left = 2;
    BigCount sum = 0, product = 1;  // of the values done; of the parts done under the present one
    std::vector<Part> parts;        // still to be counted under the present value
  };

  bool is_stopped() const { return stop_ != nullptr && stop_->load(std::memory_order_relaxed); }

  bool is_satisfied(std::uint32_t clause) const {
    for (const Literal literal : clauses_.clause(clause)) {
      if (search_.value(literal) == 1) return true;
    }
    return false;
  }

  // Counts a part by looking it up, or opens a frame for it.
  void begin(Part part) {
    stack_.back().parts.pop_back();
    std::string key = key_of(part);
    if (const auto known = cache_.find(key); known != cache_.end()) {
      stack_.back().product *= known->second;
      return;
    }
    Frame& frame = stack_.emplace_back();
    frame.part = std::move(part);
    frame.key = std::move(key);
    frame.mark = search_.mark();
    std::size_t most = 0;
    for (const std::uint32_t v : frame.part.variables) {
      std::size_t uses = 0;
      for (const std::uint32_t clause : occurs_[v]) uses += is_satisfied(clause) ? 0 : 1;
      if (uses <= most) continue;
      most = uses;
      frame.decision = v;
    }
    frame.values_left = 1;
    try_value(frame, false);
  }

  void try_value(Frame& frame, bool value) {
    frame.parts.clear();
    frame.product = 1;
    if (search_.assume(literal_of(frame.decision, value))) {
      split(frame.part.variables, frame);
    } else {
      frame.product = 0;
    }
  }

  // The connected parts of what is open among `variables`; free variables count twice at once.
  void split(const std::vector<std::uint32_t>& variables, Frame& frame) {
    ++epoch_;
    for (const std::uint32_t root : variables) {
      if (search_.value(literal_of(root)) != open || seen_[root] == epoch_) continue;
      Part part;
      seen_[root] = epoch_;
      part.variables.push_back(root);
      for (std::size_t next = 0; next < part.variables.size(); ++next) {
        for (const std::uint32_t clause : occurs_[part.variables[next]]) {
          if (clause_seen_[clause] == epoch_) continue;
          clause_seen_[clause] = epoch_;
          if (is_satisfied(clause)) continue;
          part.clauses.push_back(clause);
          for (const Literal literal : clauses_.clause(clause)) {
            const std::uint32_t v = variable_of(literal);
            if (search_.value(literal) != open || seen_[v] == epoch_) continue;
            seen_[v] = epoch_;
            part.variables.push_back(v);
          }
        }
      }
      if (part.clauses.empty()) {
        frame.product *= 2;
        continue;
      }
      std::sort(part.variables.begin(), part.variables.end());
      std::sort(part.clauses.begin(), part.clauses.end());
      frame.parts.push_back(std::move(part));
    }
  }

  std::string key_of(const Part& part) {
    for (std::uint32_t i = 0; i < part.variables.size(); ++i) local_[part.variables[i]] = i + 1;
    std::string key;
    const auto append = [&key](std::uint32_t number) {
      for (; number >= 128; number >>= 7) key += static_cast<char>(number | 128u);
      key += static_cast<char>(number);
    };
    for (const std::uint32_t clause : part.clauses) {
      for (const Literal literal : clauses_.clause(clause)) {
        if (search_.value(literal) == open) append(2 * local_[variable_of(literal)] + (literal & 1u));
      }
      append(0);
    }
    return key;
  }

  void remember(std::string key, const BigCount& count) {
    cached_bytes_ += key.size() + 64;
    if (cached_bytes_ > most_cached_bytes) {
      cache_.clear();
      cached_bytes_ = key.size() + 64;
    }
    cache_.emplace(std::move(key), count);
  }

  const ClauseSet& clauses_;
  ClauseSearch search_;
  const std::uint64_t work_;
  const std::atomic<bool>* stop_;
  std::vector<std::vector<std::uint32_t>> occurs_;  // by variable: its clauses
  std::uint32_t epoch_ = 0;
  std::vector<std::uint32_t> seen_, clause_seen_;  // epoch of the last visit
  std::vector<std::uint32_t> local_;               // by variable: number in the part in hand
  std::vector<Frame> stack_;
  std::unordered_map<std::string, BigCount> cache_;
  std::size_t cached_bytes_ = 0;
};

}  // namespace

std::optional<BigCount> count_assignments(const ClauseSet& clauses, std::uint64_t work,
                                          const std::atomic<bool>* stop) {
  return Counter(clauses, work, stop).run();
}

}  // namespace settle
