// The minimiser against the obvious search, against published examples, and on random functions.
#include "settle/minimise.h"

#include <algorithm>
#include <bit>

#include "support/catch.h"
#include "support/random.h"

namespace settle::testing {
namespace {

FunctionBits bits_of(unsigned variables, const std::vector<std::uint32_t>& vectors) {
  FunctionBits bits(function_words(variables), 0);
  for (const std::uint32_t v : vectors) bits[v >> 6] |= std::uint64_t{1} << (v & 63);
  return bits;
}
bool bit(const FunctionBits& bits, std::uint32_t v) { return (bits[v >> 6] >> (v & 63) & 1) != 0; }

bool covers(const std::vector<Cube>& cubes, std::uint32_t v) {
  return std::any_of(cubes.begin(), cubes.end(), [&](Cube c) { return c.covers(v); });
}

// 1 on `on`, 0 off both sets; every product is needed and cannot lose a literal.
void check_sum(unsigned variables, const std::vector<Cube>& cubes, const FunctionBits& on,
               const FunctionBits& free) {
  const std::uint32_t count = 1u << variables;
  const auto allowed = [&](std::uint32_t v) { return bit(on, v) || bit(free, v); };
  for (std::uint32_t v = 0; v < count; ++v) {
    const bool covered = covers(cubes, v);
    if (bit(on, v) && !covered) FAIL("vector " << v << " is not covered");
    if (!allowed(v) && covered) FAIL("vector " << v << " is covered");
  }
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    CHECK((cubes[i].value & ~cubes[i].care) == 0);
    auto fewer = cubes;
    fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
    bool needed = false;
    for (std::uint32_t v = 0; v < count && !needed; ++v) needed = bit(on, v) && !covers(fewer, v);
    if (!needed) FAIL("product " << cube_text(cubes[i], variables) << " is not needed");
    for (std::uint32_t rest = cubes[i].care; rest != 0; rest &= rest - 1) {
      const std::uint32_t literal = rest & (0u - rest);
      const Cube wider{cubes[i].care & ~literal, cubes[i].value & ~literal};
      bool fits = true;
      for (std::uint32_t v = 0; v < count && fits; ++v) fits = !wider.covers(v) || allowed(v);
      if (fits) FAIL("product " << cube_text(cubes[i], variables) << " can lose a literal");
    }
  }
}

// Fewest products by trying all sets of implicants of up to `most` products, smallest first.
std::size_t fewest_products(unsigned variables, const FunctionBits& on, const FunctionBits& free,
                            std::size_t most) {
  std::vector<std::uint32_t> implicants;  // as sets of vectors, variables <= 4
  const std::uint32_t count = 1u << variables;
  std::uint32_t goal = 0, allowed = 0;
  for (std::uint32_t v = 0; v < count; ++v) {
    goal |= bit(on, v) ? 1u << v : 0;
    allowed |= bit(on, v) || bit(free, v) ? 1u << v : 0;
  }
  for (std::uint32_t care = 0; care < count; ++care) {
    for (std::uint32_t value = 0; value < count; ++value) {
      if ((value & ~care) != 0) continue;
      std::uint32_t set = 0;
      for (std::uint32_t v = 0; v < count; ++v) set |= Cube{care, value}.covers(v) ? 1u << v : 0;
      if ((set & ~allowed) == 0) implicants.push_back(set);
    }
  }
  std::vector<std::uint32_t> reached{0};
  for (std::size_t products = 0; products <= most; ++products) {
    std::vector<std::uint32_t> next;
    for (const std::uint32_t r : reached) {
      if ((goal & ~r) == 0) return products;
      for (const std::uint32_t i : implicants) next.push_back(r | i);
    }
    std::sort(next.begin(), next.end());
    next.erase(std::unique(next.begin(), next.end()), next.end());
    reached = std::move(next);
  }
  return most + 1;
}

TEST_CASE("every function of three variables, with every set of don't-cares, becomes minimal") {
  for (std::uint32_t on = 0; on < 256; ++on) {
    for (std::uint32_t free = 0; free < 256; free += on % 7 == 0 ? 1 : 37) {
      const FunctionBits on_bits{on}, free_bits{free & ~on};
      const Minimised sum = minimise(3, on_bits, free_bits);
      CAPTURE(on, free);
      check_sum(3, sum.cubes, on_bits, free_bits);
      REQUIRE(sum.minimal);
      CHECK(sum.cubes.size() == fewest_products(3, on_bits, free_bits, 4));
    }
  }
}

TEST_CASE("random functions of four variables become minimal") {
  Random random(4);
  for (int i = 0; i < 150; ++i) {
    const FunctionBits on{random.below(65536)}, free{random.below(65536) & ~on[0]};
    const Minimised sum = minimise(4, on, free);
    CAPTURE(i);
    check_sum(4, sum.cubes, on, free);
    REQUIRE(sum.minimal);
    CHECK(sum.cubes.size() == fewest_products(4, on, free, 8));
  }
}

TEST_CASE("wide functions keep their values, whichever way they go") {
  Random random(11);
  for (unsigned variables = 5; variables <= 11; ++variables) {
    for (const std::uint32_t percent : {10u, 50u, 85u}) {
      FunctionBits on(function_words(variables), 0), free(on);
      for (std::uint32_t v = 0; v < 1u << variables; ++v) {
        if (random.chance(percent))
          on[v >> 6] |= std::uint64_t{1} << (v & 63);
        else if (random.chance(20))
          free[v >> 6] |= std::uint64_t{1} << (v & 63);
      }
      CAPTURE(variables, percent);
      MinimiseOptions recursive;
      recursive.exact_variables = 0;
      const auto exact = minimise(variables, on, free), quick = minimise(variables, on, free, recursive);
      check_sum(variables, exact.cubes, on, free);
      check_sum(variables, quick.cubes, on, free);
      CHECK(exact.cubes.size() <= quick.cubes.size());
      CHECK(minimise(variables, on, free).cubes == exact.cubes);
    }
  }
}

TEST_CASE("worked examples of the textbooks") {
  // McCluskey 1956 and every textbook since (from memory): f(w,x,y,z) = sum of 4, 8, 10, 11, 12, 15
  // with don't-cares 9, 14 needs three products.
  const auto f = minimise(4, bits_of(4, {4, 8, 10, 11, 12, 15}), bits_of(4, {9, 14}));
  CHECK(f.cubes.size() == 3);
  CHECK(f.minimal);
  // The cyclic function of three variables: no essential prime, three of six suffice.
  const auto cyclic = minimise(3, bits_of(3, {0, 1, 2, 5, 6, 7}));
  CHECK(cyclic.cubes.size() == 3);
  CHECK(cyclic.minimal);
  // Parity cannot be merged.
  FunctionBits parity(function_words(10), 0);
  for (std::uint32_t v = 0; v < 1024; ++v) {
    if (std::popcount(v) % 2 == 1) parity[v >> 6] |= std::uint64_t{1} << (v & 63);
  }
  CHECK(minimise(10, parity).cubes.size() == 512);
}

TEST_CASE("functions without variables, and constants") {
  CHECK(minimise(0, {0}).cubes.empty());
  CHECK(minimise(0, {1}).cubes == std::vector<Cube>{{0, 0}});
  CHECK(minimise(5, {0xffffffff}).cubes == std::vector<Cube>{{0, 0}});
  CHECK(minimise(7, FunctionBits(2, ~std::uint64_t{0})).cubes == std::vector<Cube>{{0, 0}});
  CHECK(minimise(9, FunctionBits(8, 0)).cubes.empty());
}

TEST_CASE("equations as text") {
  const std::vector<std::string> names{"read", "lever", "seen"};
  const auto text = [&](const std::vector<std::uint32_t>& vectors) {
    return equation_text(minimise(3, bits_of(3, vectors)).cubes, names);
  };
  CHECK(text({}) == "0");
  CHECK(text({0, 1, 2, 3, 4, 5, 6, 7}) == "1");
  CHECK(text({1, 3, 6, 7}) == "read lever + read' seen");
  CHECK(text({0, 1, 2, 3}) == "read'");
  const auto cubes = minimise(3, bits_of(3, {1, 3, 6, 7})).cubes;
  CHECK(equation_text(cubes, names, {" & ", " | "}) == "read & lever | read' & seen");
  CHECK(cube_text({5, 4}, 3) == "1-0");
}

}  // namespace
}  // namespace settle::testing
