// What the system shall know of an array: that it is filled or met at random, which wants large pages, or
// that it has been read for the last time.
#pragma once

#include <cstddef>
#include <cstdint>

#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace settle {

/// Call it when the room is taken and not yet used. A wish: without it all works, somewhat slower.
inline void prefer_large_pages([[maybe_unused]] void* begin, [[maybe_unused]] std::size_t bytes) {
#if defined(__linux__) && defined(MADV_HUGEPAGE)
  constexpr std::size_t page = 4096, large = std::size_t{1} << 21;
  if (bytes < large) return;
  const std::size_t before = (page - reinterpret_cast<std::uintptr_t>(begin) % page) % page;
  static_cast<void>(madvise(static_cast<char*>(begin) + before, bytes - before, MADV_HUGEPAGE));
#endif
}

/// Room for so many items in an empty array, in large pages if it is large.
template <class Array>
void reserve_large(Array& array, std::size_t items) {
  array.reserve(items);
  prefer_large_pages(array.data(), array.capacity() * sizeof(array[0]));
}

/// Gives back the memory of what is past the last item of an array. There is some in the last large page.
template <class Array>
void give_room_back([[maybe_unused]] Array& array) {
#if defined(__linux__) && defined(MADV_DONTNEED)
  constexpr std::size_t page = 4096;
  char* const begin = reinterpret_cast<char*>(array.data());
  char* const end = begin + array.capacity() * sizeof(array[0]);
  char* from = begin + array.size() * sizeof(array[0]);
  from += (page - reinterpret_cast<std::uintptr_t>(from) % page) % page;
  const auto bytes = static_cast<std::size_t>(end - from) / page * page;
  if (from < end && bytes != 0) static_cast<void>(madvise(from, bytes, MADV_DONTNEED));
#endif
}

/// Gives an array back to the system behind a reader who goes through it for the last time, so that what is
/// made of it can lie there. What was given back reads as nothing. Without the system's help all is kept.
class PagesBehind {
 public:
  PagesBehind() = default;
  explicit PagesBehind(void* begin) : begin_(static_cast<char*>(begin)), done_(begin_) {}

  /// So many bytes from the begin on are needed no more.
  void passed(std::size_t bytes) {
    if (begin_ == nullptr || static_cast<std::size_t>(begin_ + bytes - done_) < large_page) return;
    give_back(begin_ + bytes);
  }

 private:
  static constexpr std::size_t page = 4096, large_page = std::size_t{1} << 21;
  static std::size_t over(const char* place, std::size_t unit) {
    return reinterpret_cast<std::uintptr_t>(place) % unit;
  }

  void give_back([[maybe_unused]] char* end) {
#if defined(__linux__) && defined(MADV_DONTNEED)
    char* const from = done_ + (page - over(done_, page)) % page;
    end -= over(end, large_page);
    if (from < end && madvise(from, static_cast<std::size_t>(end - from), MADV_DONTNEED) == 0) done_ = end;
#endif
  }

  char* begin_ = nullptr;
  char* done_ = nullptr;
};

}  // namespace settle
