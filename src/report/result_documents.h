// Results as documents, which pages put together.
#pragma once

#include "report/document.h"
#include "settle/explain.h"
#include "settle/run.h"
#include "settle/table.h"
#include "settle/timing.h"
#include "settle/wiring.h"

namespace settle::report {

/// What `settle explain` says, but for its cautions.
Document explain_document(const Explanation& explanation);
/// Its cautions.
void add_explain_remarks(Document& document, const Explanation& explanation);

/// Rows, what the symbols mean, and notes; at most `most_rows` rows, then how many more there are.
Document table_document(const Table& table, const Circuit& circuit, std::size_t most_rows);

/// What `settle timing` says.
Document timing_document(const Timing& timing);

/// Chips, wires in the order of building, resistors, bill of materials, loads, notes; without the cautions.
Document wiring_document(const Wiring& wiring, const Circuit& circuit);

/// Findings of a run, each with the letter that marks it in the diagram.
void add_finding_remarks(Document& document, const RunResult& result);

/// Failed expectations.
void add_failure_remarks(Document& document, const RunResult& result, const Sources& sources);

}  // namespace settle::report
