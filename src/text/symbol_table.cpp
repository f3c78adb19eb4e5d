// Interning. Open addressing with linear probing, at most half full. A slot holds the hash beside
// the index, so that a search touches the letters only when all 32 bits agree: one cache miss for a
// new name, two for a known one.
#include "settle/symbol_table.h"

#include <cstring>
#include <utility>

namespace settle {
namespace {

constexpr std::size_t first_slots = 256;

std::uint64_t load(const char* from, std::size_t count) {
  std::uint64_t word = 0;
  std::memcpy(&word, from, count);
  return word;
}

/// The low half of the result depends on all 64 bits: the slots are chosen by its lowest bits.
std::uint64_t mix(std::uint64_t x) {
  x ^= x >> 32;
  x *= 0xd6e8feb86659fd93u;
  x ^= x >> 32;
  return x;
}

/// Eight letters at a time, each word multiplied and folded; the length goes in as well.
std::uint32_t hash_of(std::string_view text) {
  const char* at = text.data();
  std::size_t left = text.size();
  std::uint64_t hash = 0x9e3779b97f4a7c15u + left;
  while (left >= 8) {
    hash = mix(hash ^ load(at, 8)) * 0x9e3779b97f4a7c15u;
    at += 8;
    left -= 8;
  }
  if (left > 0) hash ^= left >= 4 ? load(at, 4) | load(at + left - 4, 4) << 32 : load(at, left);
  return static_cast<std::uint32_t>(mix(mix(hash)));
}

constexpr std::uint64_t slot_of(std::uint32_t hash, std::uint32_t index) {
  return std::uint64_t{hash} << 32 | (index + 1);
}

}  // namespace

SymbolTable::SymbolTable() : slots_(first_slots, 0) {}

Symbol SymbolTable::intern(std::string_view text) {
  const std::uint32_t hash = hash_of(text);
  const std::size_t mask = slots_.size() - 1;
  std::size_t at = hash & mask;
  for (; slots_[at] != 0; at = (at + 1) & mask) {
    if (slots_[at] >> 32 != hash) continue;
    const Symbol symbol = static_cast<std::uint32_t>(slots_[at]) - 1;
    if (this->text(symbol) == text) return symbol;
  }
  const Symbol symbol = size();
  slots_[at] = slot_of(hash, symbol);
  entries_.push_back({static_cast<std::uint32_t>(pool_.size()), static_cast<std::uint32_t>(text.size())});
  pool_.insert(pool_.end(), text.begin(), text.end());
  if (entries_.size() * 2 > slots_.size()) grow();
  return symbol;
}

Symbol SymbolTable::find(std::string_view text) const {
  const std::uint32_t hash = hash_of(text);
  const std::size_t mask = slots_.size() - 1;
  for (std::size_t at = hash & mask; slots_[at] != 0; at = (at + 1) & mask) {
    if (slots_[at] >> 32 != hash) continue;
    const Symbol symbol = static_cast<std::uint32_t>(slots_[at]) - 1;
    if (this->text(symbol) == text) return symbol;
  }
  return no_symbol;
}

std::size_t SymbolTable::bytes() const {
  return pool_.capacity() + entries_.capacity() * sizeof(Entry) + slots_.capacity() * sizeof(std::uint64_t);
}

void SymbolTable::grow() {
  std::vector<std::uint64_t> larger(slots_.size() * 2, 0);
  const std::size_t mask = larger.size() - 1;
  for (const std::uint64_t slot : slots_) {
    if (slot == 0) continue;
    std::size_t at = static_cast<std::size_t>(slot >> 32) & mask;
    while (larger[at] != 0) at = (at + 1) & mask;
    larger[at] = slot;
  }
  slots_ = std::move(larger);
}

}  // namespace settle
