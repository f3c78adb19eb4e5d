// The keywords of IEEE Std 1364-2005 that matter here.
#pragma once

#include <string_view>

namespace settle {

/// A keyword that starts something which is no structure.
struct HdlOutside {
  std::string_view word, what, clause;  ///< "always", "a procedure", where the standard treats it
};
/// Null: the word is none of these.
const HdlOutside* find_outside(std::string_view word);

/// May not be the name of anything.
bool is_hdl_keyword(std::string_view word);

}  // namespace settle
