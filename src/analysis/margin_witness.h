// Whole delays for an order of events, and delays found by trial.
#pragma once

#include "analysis/margin_program.h"
#include "analysis/margin_search.h"

namespace settle {

/// These delays end elsewhere than in the right state, or never rest.
bool ends_wrong(const MarginProblem& problem, const GateTimes& times);

/// Whole delays, within as little more than `spread` as it takes, that meet the rows of the programme and end
/// wrong; put into `result`. Nothing is put there when none are found.
void find_witness_delays(const MarginProblem& problem, const OrderProgram& program, double spread,
                         MarginResult& result);

/// Tries delays at random, at the ends of their range or nominal, for the least spread that fails: lowers
/// `most`.
void sample_margin(const MarginProblem& problem, int samples, MarginResult& result);

}  // namespace settle
