#include "settle/product_text.h"

#include "support/catch.h"

namespace settle::testing {
namespace {

StableProduct product(std::vector<std::uint64_t> groups) {
  StableProduct result;
  result.total = 1;
  for (const std::uint64_t states : groups) {
    StableGroup& group = result.groups.emplace_back();
    group.states = states;
    result.total *= states;
  }
  return result;
}

}  // namespace

TEST_CASE("Counts of stable states in words") {
  CHECK(product_text(product(std::vector<std::uint64_t>(64, 2))) == "2^64 stable states = 64 independent loops of 2 each");
  CHECK(product_text(product({2, 3, 2, 1})) == "12 stable states = 2 independent loops of 2 each, 1 of 3");
  CHECK(product_text(product({})) == "1 stable state");
  CHECK(product_text(product({3})) == "3 stable states");
  CHECK(product_text(product({2, 0})) == "no stable state");
  StableProduct cut = product({2, 5000});
  cut.exact = cut.groups[1].exact = false;
  CHECK(product_text(cut) == "at least 10000 stable states = 1 independent loop of 2, 1 of at least 5000");
  StableProduct free = product({6});
  free.free_inputs = 2;
  CHECK(product_text(free) == "6 pairs of inputs and stable state");
}

}  // namespace settle::testing
