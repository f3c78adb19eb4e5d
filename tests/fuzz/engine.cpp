// The entry that the fuzzer of clang calls (libFuzzer).
#include <cstddef>
#include <cstdint>

#include "fuzz/fuzz_target.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const settle::fuzz::Target* const target = settle::fuzz::find_target(SETTLE_FUZZ_TARGET);
  target->run({reinterpret_cast<const char*>(data), size});
  return 0;
}
