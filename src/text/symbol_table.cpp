// Interning. Open addressing with linear probing, at most five eighths full.
//
// Names that differ in their last letter only (bit_0 to bit_9) share a block of 16 slots, two lines
// of the cache: the block follows from the letters before, the slot within it from the last one.
// Large netlists count in their names, so most names are met or found missing in a block that is at
// hand, where a hash that spreads them would wait for memory at each. The price are longer runs of
// taken slots, of one or two lines. A slot is a tag, 32 bits of the hash, and the symbol; letters
// are compared only when the tags agree. Tables of some size lie in large pages.
#include "settle/symbol_table.h"

#include <algorithm>
#include <cstring>

#include "text/large_pages.h"

namespace settle {
namespace {

constexpr std::size_t block_slots = 16;
constexpr std::size_t first_blocks = 16;

/// Blocks for so many names.
std::size_t blocks_for(std::size_t names) { return std::max(first_blocks, names / 10 + 1); }

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

std::uint64_t mix(std::uint64_t x) {
  x ^= x >> 32;
  x *= 0xd6e8feb86659fd93u;
  x ^= x >> 32;
  return x;
}

}  // namespace

struct SymbolTable::Hash {
  std::uint32_t tag = 0;
  std::uint32_t block = 0;   // times the number of blocks / 2^32
  std::uint32_t within = 0;  // slot in the block

  /// Eight letters at a time, each word multiplied and folded; the length goes in as well.
  explicit Hash(std::string_view text) {
    const char* at = text.data();
    std::size_t left = text.empty() ? 0 : text.size() - 1;
    std::uint64_t hash = 0x9e3779b97f4a7c15u + text.size();
    for (; left > 8; at += 8, left -= 8) hash = mix(hash ^ load_eight(at)) * 0x9e3779b97f4a7c15u;
    hash = mix(mix(hash ^ load_some(at, left)));
    const std::uint32_t last = text.empty() ? 0 : static_cast<unsigned char>(text.back());
    tag = static_cast<std::uint32_t>(hash) ^ last * 0x9e3779b1u;
    block = static_cast<std::uint32_t>(hash >> 32);
    within = last % block_slots;
  }
};

SymbolTable::SymbolTable() : slots_(first_blocks * block_slots) {}

/// The slot with this tag for which `found` holds, or the free slot where the search ends.
template <class Found>
inline std::size_t SymbolTable::locate(const Hash& hash, Found found) const {
  const std::uint64_t blocks = slots_.size() / block_slots;
  std::size_t at = (hash.block * blocks >> 32) * block_slots + hash.within;
  while (slots_[at].symbol != no_symbol) {
    if (slots_[at].tag == hash.tag && found(slots_[at].symbol)) break;
    if (++at == slots_.size()) at = 0;
  }
  return at;
}

Symbol SymbolTable::intern(std::string_view text) {
  const Hash hash(text);
  const std::size_t at = locate(hash, [&](Symbol symbol) { return this->text(symbol) == text; });
  if (slots_[at].symbol != no_symbol) return slots_[at].symbol;
  const Symbol added = size();
  slots_[at] = {hash.tag, added};
  pool_.insert(pool_.end(), text.begin(), text.end());
  starts_.push_back(static_cast<std::uint32_t>(pool_.size()));
  if (std::size_t{size()} * 8 > slots_.size() * 5) resize(slots_.size() / block_slots * 2);
  return added;
}

Symbol SymbolTable::find(std::string_view text) const {
  return slots_[locate(Hash(text), [&](Symbol symbol) { return this->text(symbol) == text; })].symbol;
}

std::size_t SymbolTable::bytes() const {
  // Room that was never used has no memory yet.
  return pool_.size() + starts_.size() * sizeof(starts_[0]) + slots_.size() * sizeof(Slot);
}

void SymbolTable::reserve(std::size_t more) {
  const std::size_t blocks = blocks_for(size() + more);
  if (blocks * block_slots > slots_.size()) resize(blocks);
  reserve_large(starts_, size() + more + 1);
  // Growing in steps would copy all letters several times. Room that stays unused costs no memory.
  constexpr std::size_t most_letters = 40;
  reserve_large(pool_, pool_.size() + more * most_letters);
}

void SymbolTable::shrink_to_fit() {
  // Letters stay where they are if they are many: copying them would take more memory than it gives back.
  constexpr std::size_t many = std::size_t{1} << 20;
  if (pool_.size() < many) {
    pool_.shrink_to_fit();
    starts_.shrink_to_fit();
  } else {
    give_room_back(pool_);
    give_room_back(starts_);
  }
  // Walking all names again must be worth it.
  const std::size_t blocks = blocks_for(size());
  if (blocks * block_slots * 5 < slots_.size() * 4) resize(blocks);
}

/// The names are walked in the order of their symbols, which is the order of the pool, so that only
/// the new slots are met at random.
void SymbolTable::resize(std::size_t blocks) {
  std::vector<Slot>().swap(slots_);
  reserve_large(slots_, blocks * block_slots);
  slots_.resize(blocks * block_slots);
  for (Symbol symbol = 0; symbol < size(); ++symbol) {
    const Hash hash(text(symbol));
    slots_[locate(hash, [](Symbol) { return false; })] = {hash.tag, symbol};
  }
}

}  // namespace settle
