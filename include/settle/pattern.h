// Name patterns of the command line.
#pragma once

#include <string_view>

namespace settle {

/// Does a flat name match a pattern with * (any run of characters) and ? (one)? The whole name
/// must match; [ ] are ordinary characters, since bus bits have them.
bool matches(std::string_view pattern, std::string_view name);

}  // namespace settle
