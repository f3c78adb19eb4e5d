// Names as small numbers: each distinct text is stored once.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace settle {

/// Index of a name in a SymbolTable.
using Symbol = std::uint32_t;
inline constexpr Symbol no_symbol = 0xffffffffu;

/// Open-addressing intern table; texts lie in one pool, 24 to 40 bytes a name and the letters.
class SymbolTable {
 public:
  SymbolTable();
  /// The symbol of a text, added if new. `text` must not be a view into this table.
  Symbol intern(std::string_view text);
  /// The symbol of a text, or no_symbol.
  Symbol find(std::string_view text) const;
  /// The letters of a symbol; the view is good until the next intern().
  std::string_view text(Symbol symbol) const {
    return {pool_.data() + entries_[symbol].offset, entries_[symbol].length};
  }
  std::uint32_t size() const { return static_cast<std::uint32_t>(entries_.size()); }
  std::size_t bytes() const;

 private:
  struct Entry {
    std::uint32_t offset;  // in pool_: below 4 GiB
    std::uint32_t length;
  };
  void grow();
  std::vector<char> pool_;
  std::vector<Entry> entries_;
  std::vector<std::uint64_t> slots_;  // hash << 32 | entry index + 1, 0 is free
};

}  // namespace settle
