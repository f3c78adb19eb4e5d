// Counts of stable states in words.
#pragma once

#include <string>

#include "settle/stable_product.h"

namespace settle {

/// One line without its end: "2^64 stable states = 64 independent loops of 2 each",
/// "12 stable states = 2 independent loops of 2 each, 1 of 3", "no stable state". Begins with
/// "at least" where a limit stopped the count. With free inputs it counts "pairs of inputs and stable
/// state". Groups with one state are left out.
std::string product_text(const StableProduct& product);

}  // namespace settle
