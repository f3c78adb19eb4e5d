// Depth-first search with unit propagation: M. Davis, G. Logemann, D. Loveland, "A machine program for
// theorem-proving", Commun. ACM 5 (1962); two watched literals a clause: M. Moskewicz et al., "Chaff",
// DAC 2001. No learning: on circuits that fall apart into small loops there is nothing to learn, and
// steps from one state to the next stay at a few assignments. Where there is much to learn, the caller
// gives up and asks a SAT solver for the rest.
//
// Invariants: between calls of propagate() each clause watches two literals that are not false, or one
// that is true, or has been refused; trail_ is the assignment in order of time; for each choice the
// part of the tree before it is searched through.
#include "analysis/clause_search.h"

#include <utility>

namespace settle {
namespace {

constexpr std::uint8_t unknown = 2;

}  // namespace

ClauseSearch::ClauseSearch(const ClauseSet& clauses, std::span<const std::uint32_t> order)
    : clauses_(&clauses),
      literals_(clauses.literals()),
      watches_(2 * clauses.variable_count()),
      values_(2 * clauses.variable_count(), unknown),
      order_(order.begin(), order.end()) {
  values_[literal_true] = 1;
  values_[literal_false] = 0;
  std::vector<bool> listed(clauses.variable_count(), false);
  listed[0] = true;
  for (const std::uint32_t variable : order_) listed[variable] = true;
  for (std::uint32_t variable = 1; variable < clauses.variable_count(); ++variable) {
    if (!listed[variable]) order_.push_back(variable);
  }
  for (std::uint32_t i = 0; i < clauses.size(); ++i) {
    const auto clause = clauses.clause(i);
    if (clause.size() < 2) continue;
    watches_[clause[0]].push_back({i, clause[1]});
    watches_[clause[1]].push_back({i, clause[0]});
  }
}

void ClauseSearch::assign(Literal literal) {
  values_[literal] = 1;
  values_[opposite(literal)] = 0;
  trail_.push_back(literal);
  ++assignments_;
}

bool ClauseSearch::propagate_all() {
  phase_ = Phase::deciding;
  if (clauses_->contradicts()) return false;
  for (std::uint32_t i = 0; i < clauses_->size(); ++i) {
    const auto clause = clauses_->clause(i);
    if (clause.size() != 1 || values_[clause[0]] == 1) continue;
    if (values_[clause[0]] == 0) return false;
    assign(clause[0]);
  }
  return propagate();
}

bool ClauseSearch::propagate() {
  while (head_ < trail_.size()) {
    const Literal now_false = opposite(trail_[head_++]);
    auto& watches = watches_[now_false];
    std::size_t kept = 0;
    for (std::size_t i = 0; i < watches.size(); ++i) {
      const Watch watch = watches[i];
      if (values_[watch.other] == 1) {
        watches[kept++] = watch;
        continue;
      }
      const std::uint32_t first = clauses_->starts()[watch.clause];
      const std::uint32_t size = clauses_->starts()[watch.clause + 1] - first;
      Literal* const literals = literals_.data() + first;
      if (literals[0] == now_false) std::swap(literals[0], literals[1]);
      const Literal other = literals[0];
      bool moved = false;
      if (values_[other] != 1) {
        for (std::uint32_t k = 2; k < size && !moved; ++k) {
          if (values_[literals[k]] == 0) continue;
          std::swap(literals[1], literals[k]);
          watches_[literals[1]].push_back({watch.clause, other});
          moved = true;
        }
      }
      if (moved) continue;
      watches[kept++] = {watch.clause, other};
      if (values_[other] == 1) continue;
      if (values_[other] == 0) {
        for (++i; i < watches.size(); ++i) watches[kept++] = watches[i];
        watches.resize(kept);
        return false;
      }
      assign(other);
    }
    watches.resize(kept);
  }
  return true;
}

bool ClauseSearch::assume(Literal literal) {
  assign(literal);
  return propagate();
}

void ClauseSearch::undo(std::uint32_t mark) {
  while (trail_.size() > mark) {
    values_[trail_.back()] = unknown;
    values_[opposite(trail_.back())] = unknown;
    trail_.pop_back();
  }
  head_ = trail_.size();
}

// Undoes the last choice that has a value left to try, and moves it on to that value.
bool ClauseSearch::turn_back() {
  while (!choices_.empty()) {
    SearchChoice& choice = choices_.back();
    undo(choice.trail);
    position_ = choice.position;
    if (!choice.second) {
      choice.second = true;
      choice.literal = opposite(choice.literal);
      assign(choice.literal);
      return true;
    }
    choices_.pop_back();
  }
  return false;
}

ClauseSearch::Outcome ClauseSearch::next(std::uint64_t budget) {
  const std::uint64_t most = assignments_ + budget;
  bool consistent = true;
  if (phase_ == Phase::over) return Outcome::exhausted;
  if (phase_ == Phase::fresh) consistent = propagate_all();
  if (phase_ == Phase::at_result) {
    phase_ = Phase::deciding;
    consistent = turn_back() && propagate();
    if (choices_.empty()) {
      phase_ = Phase::over;
      return Outcome::exhausted;
    }
  }
  for (;;) {
    while (!consistent) {
      if (!turn_back()) {
        phase_ = Phase::over;
        return Outcome::exhausted;
      }
      consistent = propagate();
    }
    if (trail_.size() + 1 == clauses_->variable_count()) {
      phase_ = Phase::at_result;
      return Outcome::found;
    }
    if (assignments_ > most) return Outcome::gave_up;
    while (values_[literal_of(order_[position_])] != unknown) ++position_;
    const Literal literal = literal_of(order_[position_], false);
    choices_.push_back({static_cast<std::uint32_t>(trail_.size()), position_, literal, false});
    assign(literal);
    consistent = propagate();
  }
}

std::vector<std::vector<Literal>> ClauseSearch::searched() const {
  if (phase_ == Phase::over) return {{}};
  return searched_clauses(choices_);
}

}  // namespace settle
