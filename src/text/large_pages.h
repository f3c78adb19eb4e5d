// Asks the system for large pages under an array that is filled or met at random.
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
  if (bytes < 2 * large) return;
  const std::size_t before = (page - reinterpret_cast<std::uintptr_t>(begin) % page) % page;
  static_cast<void>(madvise(static_cast<char*>(begin) + before, bytes - before, MADV_HUGEPAGE));
#endif
}

}  // namespace settle
