// Choices taken from bytes: few bytes are needed for a small thing, a change of one byte changes one choice,
// and when none are left every choice is the first one.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace settle::fuzz {

class ByteSource {
 public:
  explicit ByteSource(std::string_view bytes) : bytes_(bytes) {}

  bool is_empty() const { return at_ == bytes_.size(); }
  std::uint32_t byte() { return is_empty() ? 0 : static_cast<unsigned char>(bytes_[at_++]); }
  /// 0 ... bound - 1 (bound up to 256); 0 for bound 0.
  std::uint32_t below(std::uint32_t bound) { return bound < 2 ? 0 : byte() % bound; }
  /// least ... most, both included.
  std::uint32_t between(std::uint32_t least, std::uint32_t most) { return least + below(most - least + 1); }
  /// True for about so many of 256 bytes; false when none are left.
  bool chance(std::uint32_t of_256) { return !is_empty() && byte() >= 256 - of_256; }
  template <class T>
  const T& pick(const std::vector<T>& from) {
    return from[below(static_cast<std::uint32_t>(from.size()))];
  }
  /// What is left as one number, to seed random numbers where single choices do not matter (FNV-1a).
  std::uint64_t rest() const {
    std::uint64_t hash = 0xcbf29ce484222325u;
    for (const char c : bytes_.substr(at_)) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return hash;
  }

 private:
  std::string_view bytes_;
  std::size_t at_ = 0;
};

}  // namespace settle::fuzz
