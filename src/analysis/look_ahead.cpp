// Before each choice both values of some variables are tried: a value that meets a contradiction is
// refuted, what both values bring holds anyway, and of the rest the variable is chosen whose values
// make the most clauses short, by the product of both. On clauses that hang together like those of
// random circuits the tree becomes some ten times smaller than the number of conflicts of a solver
// with learning, whose clauses are long there and of little use. Sources: C. M. Li, Anbulagan,
// "Heuristics based on unit propagation for satisfiability problems", IJCAI 1997; M. Heule, H. van
// Maaren, "Look-ahead based SAT solvers", Handbook of Satisfiability (2009), chapter 5.
//
// A relation's state changes with each value by a weight, which is dear to take back; so each trial has
// states of its own, copied at once.
//
// Invariants: levels_[level_] lists all relations that do not hold whatever comes, among others; between
// calls of look_ahead() the trail is closed under propagation.
#include "analysis/look_ahead.h"

#include <algorithm>
#include <bit>
#include <numeric>

namespace settle {
namespace {

constexpr std::uint8_t unknown = 2;
// Measured on 16 circuits of 800 random gates; half or twice of each is 0 to 20 % slower.
constexpr std::size_t full_choices = 3;  // choices for which all variables are tried, repeatedly
constexpr int most_repeats = 10;
constexpr std::size_t few = 24;  // variables tried for a later choice
constexpr double shrunk = 0.8;   // share of open variables at which a level is worth building

}  // namespace

LookAheadSearch::LookAheadSearch(const ClauseSet& clauses)
    : clauses_(&clauses),
      relations_(clauses),
      values_(clauses.variable_count(), unknown),
      result_(2 * clauses.variable_count()),
      trail_(clauses.variable_count()),
      weights_(clauses.variable_count(), 0),
      seen_(2 * clauses.variable_count(), 0) {
  values_[0] = 1;
}

bool LookAheadSearch::set(Literal literal) {
  const auto value = static_cast<std::uint8_t>((literal & 1u) ^ 1u);
  std::uint8_t& now = values_[variable_of(literal)];
  if (now != unknown) return now == value;
  now = value;
  trail_[size_++] = variable_of(literal);
  return true;
}

// The states of relations are kept apart.
void LookAheadSearch::forget(std::size_t mark) {
  while (size_ > mark) values_[trail_[--size_]] = unknown;
  head_ = size_;
}

bool LookAheadSearch::start() {
  if (clauses_->contradicts()) return false;
  const std::uint32_t variables = clauses_->variable_count();
  Level& level = levels_.emplace_back();
  // Counting sort of relations by variable, and of wide clauses by literal.
  std::vector<std::uint32_t> counts(variables, 0);
  for (const auto& relation : relations_.all()) {
    for (const std::uint32_t v : relation.variable) ++counts[v];
  }
  counts[0] = 0;
  level.from.assign(variables, 0);
  std::exclusive_scan(counts.begin(), counts.end(), level.from.begin(), 0u);
  level.to = level.from;
  for (std::uint32_t v = 1; v < variables; ++v) level.open.push_back(v);
  level.pins.assign(level.to.back() + counts.back(), Pin(0, 0, 0));
  for (std::uint32_t i = 0; i < relations_.all().size(); ++i) {
    const auto& relation = relations_.all()[i];
    std::uint32_t weight = 1, state = 0;
    for (const std::uint32_t v : relation.variable) {
      if (v != 0) level.pins[level.to[v]++] = Pin(i, relation.table, weight);
      state += weight * values_[v];
      weight *= 3;
    }
    states_.push_back(static_cast<std::uint8_t>(state));
  }
  trial_states_ = states_;
  wide_from_.assign(2 * variables + 1, 0);
  for (std::uint32_t i = 0; i < relations_.wide_count(); ++i) {
    for (const Literal literal : relations_.wide_clause(i)) ++wide_from_[literal + 1];
  }
  std::partial_sum(wide_from_.begin(), wide_from_.end(), wide_from_.begin());
  wide_of_.resize(wide_from_.back());
  std::vector<std::uint32_t> at = wide_from_;
  for (std::uint32_t i = 0; i < relations_.wide_count(); ++i) {
    for (const Literal literal : relations_.wide_clause(i)) wide_of_[at[literal]++] = i;
  }
  for (std::uint32_t i = 0; i < clauses_->size(); ++i) {
    const auto clause = clauses_->clause(i);
    if (clause.size() == 1 && !set(clause[0])) return false;
  }
  return propagate(states_.data());
}

// Adds to worth_ what becomes narrower. Members are kept in variables of the loop: a compiler must
// otherwise expect that each value written changes them.
bool LookAheadSearch::propagate(std::uint8_t* states) {
  const Level& level = levels_[level_];
  const std::uint32_t *const from = level.from.data(), *const to = level.to.data();
  const Pin* const pins = level.pins.data();
  const Relations::Relation* const relations = relations_.all().data();
  const Relations::Table* const tables = relations_.tables();
  const bool has_wide = relations_.wide_count() != 0;
  std::uint8_t* const values = values_.data();
  std::uint32_t* const trail = trail_.data();
  std::size_t size = size_, head = head_;
  std::uint64_t worth = worth_;
  bool possible = true;
  while (possible && head < size) {
    const std::uint32_t variable = trail[head++];
    const std::uint32_t zero = values[variable] ^ 1u;
    for (std::uint32_t i = from[variable], end = to[variable]; i < end; ++i) {
      const Pin pin = pins[i];
      const std::uint32_t state = states[pin.relation()] - (pin.weight() << zero);  // 2 becomes 1 or 0
      states[pin.relation()] = static_cast<std::uint8_t>(state);
      const Relations::Entry entry = tables[pin.table()][state];
      worth += entry.worth();
      if (!entry.acts()) continue;
      possible = !entry.is_impossible();
      // A pin that is forced may have got its value before, waiting to be propagated.
      for (std::uint32_t forced = entry.forced(); forced != 0; forced &= forced - 1) {
        const int bit = std::countr_zero(forced);
        const std::uint32_t other = relations[pin.relation()].variable[static_cast<std::size_t>(bit)];
        const auto value = static_cast<std::uint8_t>(entry.values() >> bit & 1u);
        if (values[other] == unknown) {
          values[other] = value;
          trail[size++] = other;
        } else {
          possible &= values[other] == value;
        }
      }
      if (!possible) break;
    }
    if (has_wide && possible) {
      const Literal now_false = literal_of(variable, values[variable] == 0);
      for (std::uint32_t i = wide_from_[now_false]; possible && i < wide_from_[now_false + 1]; ++i) {
        std::uint32_t left = 0;
        Literal last = no_literal;
        for (const Literal literal : relations_.wide_clause(wide_of_[i])) {
          const std::uint8_t value = values[variable_of(literal)];
          if (value == unknown) {
            last = literal;
            if (++left > 1) break;
          } else if ((value ^ (literal & 1u)) != 0) {
            left = 2;
            break;
          }
        }
        possible = left != 0;
        if (left != 1) continue;
        values[variable_of(last)] = static_cast<std::uint8_t>((last & 1u) ^ 1u);
        trail[size++] = variable_of(last);
      }
    }
  }
  assignments_ += size - size_ + 1;
  size_ = size;
  head_ = head;
  worth_ = worth;
  return possible;
}

bool LookAheadSearch::turn_back() {
  while (!choices_.empty()) {
    SearchChoice& choice = choices_.back();
    forget(choice.trail);
    const auto kept = kept_states_.end() - static_cast<std::ptrdiff_t>(states_.size());
    std::copy(kept, kept_states_.end(), states_.begin());
    level_ = choice.position;
    if (!choice.second) {
      choice.second = true;
      choice.literal = opposite(choice.literal);
      return true;
    }
    choices_.pop_back();
    kept_states_.resize(kept_states_.size() - states_.size());
  }
  return false;
}

bool LookAheadSearch::holds_anyway(const Pin& pin) const {
  return relations_.tables()[pin.table()][states_[pin.relation()]].is_satisfied();
}

// Lists without what holds already: worth making when much does.
void LookAheadSearch::renew_level() {
  const std::size_t open = values_.size() - 1 - size_;
  if (static_cast<double>(open) > shrunk * static_cast<double>(levels_[level_].open.size())) return;
  ++level_;
  if (level_ == levels_.size()) levels_.emplace_back();
  const Level& larger = levels_[level_ - 1];
  Level& level = levels_[level_];
  level.open.clear();
  level.pins.clear();
  level.from.resize(values_.size());
  level.to.resize(values_.size());
  for (const std::uint32_t v : larger.open) {
    if (values_[v] != unknown) continue;
    level.open.push_back(v);
    level.from[v] = static_cast<std::uint32_t>(level.pins.size());
    for (std::uint32_t i = larger.from[v]; i < larger.to[v]; ++i) {
      if (!holds_anyway(larger.pins[i])) level.pins.push_back(larger.pins[i]);
    }
    level.to[v] = static_cast<std::uint32_t>(level.pins.size());
  }
}

void LookAheadSearch::list_candidates() {
  candidates_.clear();
  for (const std::uint32_t v : levels_[level_].open) {
    if (values_[v] == unknown) candidates_.push_back(v);
  }
  if (choices_.size() < full_choices || candidates_.size() <= few) return;
  const auto more = [this](std::uint32_t a, std::uint32_t b) {
    return weights_[a] != weights_[b] ? weights_[a] > weights_[b] : a < b;
  };
  std::nth_element(candidates_.begin(), candidates_.begin() + few, candidates_.end(), more);
  candidates_.resize(few);
}

LookAheadSearch::Trial LookAheadSearch::try_out(Literal literal) {
  worth_ = 1;
  std::copy(states_.begin(), states_.end(), trial_states_.begin());
  const bool possible = set(literal) && propagate(trial_states_.data());
  return {possible, worth_};
}

// False: nothing is possible here. Else chosen_ is open and to be tried, or all variables have values.
bool LookAheadSearch::look_ahead() {
  std::vector<Literal> common;
  for (int repeats = choices_.size() < full_choices ? most_repeats : 1; repeats > 0; --repeats) {
    list_candidates();
    double best = -1;
    bool changed = false;
    chosen_ = no_literal;
    for (const std::uint32_t v : candidates_) {
      const Literal literal = literal_of(v);
      if (values_[v] != unknown) continue;
      const std::size_t mark = size_;
      const Trial one = try_out(literal);
      ++trials_;
      for (std::size_t i = mark; one.possible && i < size_; ++i) seen_[literal_now(trail_[i])] = trials_;
      forget(mark);
      const Trial zero = try_out(opposite(literal));
      common.clear();
      for (std::size_t i = mark; zero.possible && i < size_; ++i) {
        if (seen_[literal_now(trail_[i])] == trials_) common.push_back(literal_now(trail_[i]));
      }
      forget(mark);
      if (!one.possible && !zero.possible) return false;
      if (one.possible != zero.possible) {
        common.assign(1, one.possible ? literal : opposite(literal));
      } else {
        weights_[v] = static_cast<double>(one.worth) * static_cast<double>(zero.worth);
        if (weights_[v] > best) {
          best = weights_[v];
          chosen_ = literal;
        }
      }
      for (const Literal certain : common) {
        changed |= values_[variable_of(certain)] == unknown;
        if (!assume(certain)) return false;
      }
    }
    if (!changed) break;
  }
  if (chosen_ != no_literal && values_[variable_of(chosen_)] == unknown) return true;
  // The best one got its value later: the next best one.
  chosen_ = no_literal;
  for (const std::uint32_t v : levels_[level_].open) {
    if (values_[v] != unknown) continue;
    if (chosen_ == no_literal || weights_[v] > weights_[variable_of(chosen_)]) chosen_ = literal_of(v);
  }
  return true;
}

LookAheadSearch::Outcome LookAheadSearch::next(std::uint64_t budget) {
  const std::uint64_t most = assignments_ + budget;
  bool possible = true;
  if (phase_ == Phase::over) return Outcome::exhausted;
  if (phase_ == Phase::fresh) possible = start();
  if (phase_ == Phase::at_result) possible = false;
  phase_ = Phase::deciding;
  for (;;) {
    while (!possible) {
      if (!turn_back()) {
        phase_ = Phase::over;
        return Outcome::exhausted;
      }
      possible = assume(choices_.back().literal);
    }
    if (!is_complete()) {
      if (assignments_ > most) return Outcome::gave_up;
      renew_level();
      possible = look_ahead();
      if (!possible) continue;
    }
    if (is_complete()) {
      phase_ = Phase::at_result;
      for (Literal literal = 0; literal < result_.size(); ++literal)
        result_[literal] = static_cast<std::uint8_t>(values_[variable_of(literal)] ^ (literal & 1u));
      return Outcome::found;
    }
    kept_states_.insert(kept_states_.end(), states_.begin(), states_.end());
    choices_.push_back({static_cast<std::uint32_t>(size_), level_, chosen_, false});
    possible = assume(chosen_);
  }
}

std::vector<std::vector<Literal>> LookAheadSearch::searched() const {
  if (phase_ == Phase::over) return {{}};
  return searched_clauses(choices_);
}

}  // namespace settle
