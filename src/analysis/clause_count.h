// The number of satisfying assignments of clauses, without listing them.
#pragma once

#include <atomic>
#include <optional>

#include "analysis/clauses.h"
#include "settle/big_count.h"

namespace settle {

/// Nothing when more than `work` assignments of a variable would be needed, or `stop` was set.
std::optional<BigCount> count_assignments(const ClauseSet& clauses, std::uint64_t work,
                                          const std::atomic<bool>* stop = nullptr);

}  // namespace settle
