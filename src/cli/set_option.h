// --set a=1,bus=0b10: inputs held at values, for commands without a stimulus.
#pragma once

#include <string>
#include <vector>

#include "settle/circuit.h"

namespace settle::cli {

/// One value per input bit, x where nothing was said. Values are written as in a stimulus. Prints
/// what is wrong and returns false on names or values that do not fit.
bool held_inputs(const std::string& set, const Circuit& circuit, std::vector<Value>& held);

}  // namespace settle::cli
