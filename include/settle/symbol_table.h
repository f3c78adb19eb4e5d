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

/// Open-addressing intern table; texts lie in one pool: about 20 bytes a name, and its letters.
class SymbolTable {
 public:
  SymbolTable();
  /// The symbol of a text, added if new. `text` must not be a view into this table.
  Symbol intern(std::string_view text);
  /// The symbol of a text, or no_symbol.
  Symbol find(std::string_view text) const;
  /// The letters of a symbol; the view is good until the next intern().
  std::string_view text(Symbol symbol) const {
    return {pool_.data() + starts_[symbol], starts_[symbol + 1] - starts_[symbol]};
  }
  /// Makes room for so many more names, so that the table need not grow in steps.
  void reserve(std::size_t more);
  /// Gives back the room that the names up to now do not need.
  void shrink_to_fit();
  std::uint32_t size() const { return static_cast<std::uint32_t>(starts_.size() - 1); }
  std::size_t bytes() const;

 private:
  struct Slot {
    std::uint32_t tag = 0;      // hash of the whole name
    Symbol symbol = no_symbol;  // no_symbol: free
  };
  struct Hash;
  template <class Found>
  std::size_t locate(const Hash& hash, Found found) const;
  void resize(std::size_t blocks);
  std::vector<char> pool_;
  std::vector<std::uint32_t> starts_{0};  // in pool_, below 4 GiB; one more than there are names
  std::vector<Slot> slots_;
};

}  // namespace settle
