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

/// Open-addressing intern table; texts lie in one pool: about 30 to 60 bytes a name and its letters.
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
  /// Makes room for so many more names, so that the table need not grow in steps.
  void reserve(std::size_t more);
  std::uint32_t size() const { return static_cast<std::uint32_t>(entries_.size()); }
  std::size_t bytes() const;

 private:
  struct Entry {
    std::uint32_t offset;  // in pool_: below 4 GiB
    std::uint32_t length;
  };
  struct Slot {
    std::uint64_t letters = 0;    // the first eight
    std::uint32_t tag = 0;        // length (at most 255) and 24 bits of the hash
    Symbol symbol = no_symbol;    // no_symbol: free
  };
  bool is_at(const Slot& slot, const Slot& wanted, std::string_view text) const;
  void resize(std::size_t slots);
  std::vector<char> pool_;
  std::vector<Entry> entries_;
  std::vector<Slot> slots_;
};

}  // namespace settle
