#include "analysis/sat_solver.h"

#include <algorithm>
#include <cadical.hpp>
#include <limits>

namespace settle {
namespace {

class Stopper : public CaDiCaL::Terminator {
 public:
  bool terminate() override { return stop != nullptr && stop->load(std::memory_order_relaxed); }
  const std::atomic<bool>* stop = nullptr;
};

}  // namespace

// The solver holds on to the stopper until it is gone.
struct SatSolver::Work {
  Stopper stopper;
  CaDiCaL::Solver solver;
  std::uint32_t variables = 1;

  // The solver counts variables from 1 and knows no constants.
  static int number(Literal literal) {
    const int variable = static_cast<int>(variable_of(literal));
    return (literal & 1u) != 0 ? -variable : variable;
  }
};

SatSolver::SatSolver(Purpose purpose) : work_(std::make_unique<Work>()) {
  // Entangled gates take two thirds of the time so; measured by tests/bench/bench_stable_states.cpp.
  if (purpose == Purpose::listing) work_->solver.configure("sat");
  work_->solver.set("quiet", 1);
  work_->solver.connect_terminator(&work_->stopper);
}
SatSolver::~SatSolver() {
  if (work_) work_->solver.disconnect_terminator();
}
SatSolver::SatSolver(SatSolver&&) noexcept = default;

void SatSolver::add(const ClauseSet& clauses) {
  work_->variables = std::max(work_->variables, clauses.variable_count());
  for (std::uint32_t i = 0; i < clauses.size(); ++i) add(clauses.clause(i));
}

void SatSolver::add(std::span<const Literal> clause) {
  if (std::find(clause.begin(), clause.end(), literal_true) != clause.end()) return;
  for (const Literal literal : clause) {
    if (literal != literal_false) work_->solver.add(Work::number(literal));
  }
  work_->solver.add(0);
}

SatSolver::Answer SatSolver::solve(std::span<const Literal> assumed, std::uint64_t conflicts,
                                   const std::atomic<bool>* stop) {
  for (const Literal literal : assumed) {
    if (literal == literal_false) return Answer::no;
  }
  work_->stopper.stop = stop;
  for (const Literal literal : assumed) {
    if (literal != literal_true) work_->solver.assume(Work::number(literal));
  }
  if (conflicts != 0) {
    const auto most = std::min<std::uint64_t>(conflicts, std::numeric_limits<int>::max());
    work_->solver.limit("conflicts", static_cast<int>(most));
  }
  switch (work_->solver.solve()) {
    case 10: return Answer::yes;
    case 20: return Answer::no;
    default: return Answer::unknown;
  }
}

bool SatSolver::value(Literal literal) {
  if (variable_of(literal) == 0) return literal == literal_true;
  const int number = Work::number(literal_of(variable_of(literal)));
  const bool variable_is_one = work_->solver.val(number) > 0;
  return variable_is_one != ((literal & 1u) != 0);
}

bool SatSolver::took_part(Literal assumed) {
  return variable_of(assumed) == 0 || work_->solver.failed(Work::number(assumed));
}

}  // namespace settle
