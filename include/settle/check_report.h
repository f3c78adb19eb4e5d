// What `settle check` found -> texts.
#pragma once

#include <cstdint>
#include <string>

#include "settle/check.h"
#include "settle/report.h"

namespace settle {

/// What check_text() prints in full: what fails, each warning too, or notes as well (at most 20 findings of a
/// file, but for warnings that were asked for).
enum class CheckShown : std::uint8_t { failures, warnings, all };

/// A line for each file, details, a summary, and what to add to the call to see or judge more.
/// `style.quiet`: only files that do not pass, and of these no notes.
std::string check_text(const CheckResult& result, const TextStyle& style, CheckShown shown = CheckShown::failures);

/// Document check/1.
std::string check_json(const CheckResult& result);

/// JUnit-style XML: a test suite for each file, a test case for each thing that is judged. No times.
std::string check_junit(const CheckResult& result);

/// The kinds that --fail-on and --allow know.
std::string check_kinds_text();

}  // namespace settle
