// Interning. Open addressing with linear probing, at most two thirds full. A slot of 16 bytes holds
// the first eight letters and the length beside the symbol, so that names of up to eight letters are
// found or missed with a single cache miss; longer ones are compared in the pool when the rest agrees.
#include "settle/symbol_table.h"

#include <algorithm>
#include <cstring>

namespace settle {
namespace {

constexpr std::size_t first_slots = 256;

std::uint64_t load_four(const char* from) {
  std::uint32_t word = 0;
  std::memcpy(&word, from, 4);
  return word;
}

std::uint64_t load_eight(const char* from) {
  std::uint64_t word = 0;
  std::memcpy(&word, from, 8);
  return word;
}

/// Up to eight letters as one number, different for different letters of the same count.
std::uint64_t load_some(const char* from, std::size_t count) {
  if (count == 8) return load_eight(from);
  if (count >= 4) return load_four(from) | load_four(from + count - 4) << 32;
  std::uint64_t word = 0;
  for (std::size_t i = 0; i < count; ++i) word |= std::uint64_t{static_cast<unsigned char>(from[i])} << (8 * i);
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
  for (; left > 8; at += 8, left -= 8) hash = mix(hash ^ load_eight(at)) * 0x9e3779b97f4a7c15u;
  return static_cast<std::uint32_t>(mix(mix(hash ^ load_some(at, left))));
}

std::uint32_t tag_of(std::string_view text, std::uint32_t hash) {
  const auto length = static_cast<std::uint32_t>(std::min<std::size_t>(text.size(), 255));
  return (hash & 0xffffff00u) | length;
}

}  // namespace

SymbolTable::SymbolTable() : slots_(first_slots) {}

inline bool SymbolTable::is_at(const Slot& slot, const Slot& wanted, std::string_view text) const {
  if (slot.letters != wanted.letters || slot.tag != wanted.tag) return false;
  return text.size() <= 8 || this->text(slot.symbol) == text;
}

Symbol SymbolTable::intern(std::string_view text) {
  const std::uint32_t hash = hash_of(text);
  Slot wanted{load_some(text.data(), std::min<std::size_t>(text.size(), 8)), tag_of(text, hash), size()};
  const std::size_t mask = slots_.size() - 1;
  std::size_t at = hash & mask;
  for (; slots_[at].symbol != no_symbol; at = (at + 1) & mask) {
    if (is_at(slots_[at], wanted, text)) return slots_[at].symbol;
  }
  slots_[at] = wanted;
  entries_.push_back({static_cast<std::uint32_t>(pool_.size()), static_cast<std::uint32_t>(text.size())});
  pool_.insert(pool_.end(), text.begin(), text.end());
  if (entries_.size() * 3 > slots_.size() * 2) resize(slots_.size() * 2);
  return wanted.symbol;
}

Symbol SymbolTable::find(std::string_view text) const {
  const std::uint32_t hash = hash_of(text);
  const Slot wanted{load_some(text.data(), std::min<std::size_t>(text.size(), 8)), tag_of(text, hash), 0};
  const std::size_t mask = slots_.size() - 1;
  for (std::size_t at = hash & mask; slots_[at].symbol != no_symbol; at = (at + 1) & mask) {
    if (is_at(slots_[at], wanted, text)) return slots_[at].symbol;
  }
  return no_symbol;
}

std::size_t SymbolTable::bytes() const {
  return pool_.capacity() + entries_.capacity() * sizeof(Entry) + slots_.capacity() * sizeof(Slot);
}

void SymbolTable::reserve(std::size_t more) {
  std::size_t slots = slots_.size();
  while ((entries_.size() + more) * 3 > slots * 2) slots *= 2;
  if (slots != slots_.size()) resize(slots);
}

/// The names are walked in the order of their symbols, which is the order of the pool, so that only
/// the new slots are met at random.
void SymbolTable::resize(std::size_t slots) {
  std::vector<Slot>(slots).swap(slots_);
  const std::size_t mask = slots_.size() - 1;
  for (Symbol symbol = 0; symbol < size(); ++symbol) {
    const std::string_view name = text(symbol);
    const std::uint32_t hash = hash_of(name);
    std::size_t at = hash & mask;
    while (slots_[at].symbol != no_symbol) at = (at + 1) & mask;
    slots_[at] = {load_some(name.data(), std::min<std::size_t>(name.size(), 8)), tag_of(name, hash), symbol};
  }
}

}  // namespace settle
