// Names of other texts as names of ours.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_set>
#include <vector>

#include "settle/symbol_table.h"

namespace settle {

/// Is `name` a name of our language, and free (no keyword, no gate kind)?
bool is_own_name(std::string_view name);

/// The nearest name of ours: characters that ours do not have become '_' (none at the end), a first
/// digit gets "n" in front, a reserved word "_" behind.
std::string own_form_of(std::string_view name);

/// One set of names, such as the nets of a module. Names that can stay do; the others get their own
/// form, with _2, _3, ... where that is taken. First all names are added, then asked for.
class ForeignNames {
 public:
  /// Number of a name: equal texts have equal numbers.
  std::uint32_t add(std::string_view name) { return names_.intern(name); }
  std::uint32_t find(std::string_view name) const { return names_.find(name); }
  std::uint32_t size() const { return names_.size(); }
  std::string_view text(std::uint32_t number) const { return names_.text(number); }

  /// Own names for all numbers so far, in their order, interned in `symbols`.
  std::vector<Symbol> translate(SymbolTable& symbols) const;

  /// A name of our own that none of the translated ones is: `wanted`, else with _2, _3, ...
  static std::string free_name(std::string wanted, const std::unordered_set<std::string>& taken);

 private:
  SymbolTable names_;
};

}  // namespace settle
