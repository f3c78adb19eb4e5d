// The checks of the test framework for programs without it: the first that fails ends the program, so
// that a fuzzer or a test run sees it.
#pragma once

#include <cstdio>
#include <cstdlib>

namespace settle::fuzz {

[[noreturn]] inline void fail_check(const char* what, const char* file, int line) {
  std::fprintf(stderr, "%s:%d: check failed: %s\n", file, line, what);
  std::abort();
}

}  // namespace settle::fuzz

#define CHECK(...) \
  ((__VA_ARGS__) ? static_cast<void>(0) : ::settle::fuzz::fail_check(#__VA_ARGS__, __FILE__, __LINE__))
#define REQUIRE(...) CHECK(__VA_ARGS__)
#define CHECK_FALSE(...) CHECK(!(__VA_ARGS__))
#define REQUIRE_FALSE(...) CHECK(!(__VA_ARGS__))
#define FAIL(...) ::settle::fuzz::fail_check(#__VA_ARGS__, __FILE__, __LINE__)
#define INFO(...) static_cast<void>(0)
#define CAPTURE(...) static_cast<void>(0)
