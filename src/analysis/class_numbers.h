// Classes of states, numbered by their keys: what a round of partition refinement does.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

namespace settle {

inline void append_number(std::string& key, std::uint32_t number) {
  key.append(reinterpret_cast<const char*>(&number), sizeof number);
}

/// Puts states with equal keys into one class; classes are numbered in the order of their first states.
/// `make_key(state, key)` fills an empty key, and may look at the classes of the round before in
/// `class_of`. Returns how many classes there are.
template <class MakeKey>
std::uint32_t number_classes(std::size_t states, const MakeKey& make_key, std::vector<std::uint32_t>& class_of) {
  std::unordered_map<std::string, std::uint32_t> numbers;
  std::vector<std::uint32_t> next(states);
  std::string key;
  for (std::uint32_t s = 0; s < states; ++s) {
    key.clear();
    make_key(s, key);
    next[s] = numbers.try_emplace(key, static_cast<std::uint32_t>(numbers.size())).first->second;
  }
  class_of = std::move(next);
  return static_cast<std::uint32_t>(numbers.size());
}

/// Refines until a round splits nothing: `start` makes the keys of the first classes, `refine` those of
/// the rounds, which must hold the class before.
template <class Start, class Refine>
void refine_classes(std::size_t states, const Start& start, const Refine& refine, std::vector<std::uint32_t>& class_of) {
  std::uint32_t classes = number_classes(states, start, class_of);
  for (;;) {
    const std::uint32_t finer = number_classes(states, refine, class_of);
    if (finer == classes) return;
    classes = finer;
  }
}

/// Appends a set of classes to a key. `ends` may have doubles; it is left sorted without them.
inline void append_classes(std::string& key, std::vector<std::uint32_t>& ends) {
  std::sort(ends.begin(), ends.end());
  ends.erase(std::unique(ends.begin(), ends.end()), ends.end());
  append_number(key, static_cast<std::uint32_t>(ends.size()));
  for (const std::uint32_t end : ends) append_number(key, end);
}

}  // namespace settle
