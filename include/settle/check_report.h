// What `settle check` found -> texts.
#pragma once

#include <string>

#include "settle/check.h"
#include "settle/report.h"

namespace settle {

/// A line for each file, details of what fails, a summary. `style.quiet`: only files that do not pass.
/// `details`: also the warnings and notes of files that pass.
std::string check_text(const CheckResult& result, const TextStyle& style, bool details);

/// Document check/1.
std::string check_json(const CheckResult& result);

/// JUnit-style XML: a test suite for each file, a test case for each thing that is judged. No times.
std::string check_junit(const CheckResult& result);

/// The kinds that --fail-on and --allow know.
std::string check_kinds_text();

}  // namespace settle
