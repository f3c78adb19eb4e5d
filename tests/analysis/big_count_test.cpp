#include "settle/big_count.h"

#include "support/catch.h"
#include "support/random.h"

namespace settle::testing {

TEST_CASE("Counts of any size") {
  SECTION("agree with 64 bits where these suffice") {
    Random random(3);
    for (int i = 0; i < 2000; ++i) {
      const std::uint64_t a = random.next() >> random.between(33, 63), b = random.next() >> random.between(33, 63);
      const std::uint64_t c = random.next() >> random.between(1, 63);
      CAPTURE(a, b, c);
      CHECK((BigCount(a) * b).small() == a * b);
      CHECK((BigCount(a) * b).decimal() == std::to_string(a * b));
      CHECK((BigCount(a) + c).decimal() == std::to_string(a + c));
    }
  }
  SECTION("factorial of 30") {
    BigCount product = 1;
    for (std::uint64_t i = 2; i <= 30; ++i) product *= i;
    CHECK(product.decimal() == "265252859812191058636308480000000");
    CHECK(product.text() == "about 2.6e32");
    CHECK_FALSE(product.small());
  }
  SECTION("powers of two") {
    CHECK(power(2, 64).text() == "2^64");
    CHECK(power(2, 64).decimal() == "18446744073709551616");
    CHECK_FALSE(power(2, 64).small());
    CHECK(power(2, 63).small() == std::uint64_t{1} << 63);
    CHECK(power(2, 10).text() == "1024");
    CHECK(power(4, 500'000).log2() == 1'000'000u);
    CHECK((power(2, 128) + power(2, 64)).decimal() == "340282366920938463481821351505477763072");
    CHECK((power(2, 64) + power(2, 64)).log2() == 65u);
  }
  SECTION("zero and one") {
    CHECK(BigCount().is_zero());
    CHECK(BigCount(0).decimal() == "0");
    CHECK((BigCount(7) * 0) == BigCount(0));
    CHECK((BigCount(0) + 5).small() == 5u);
    CHECK(power(3, 0) == BigCount(1));
    CHECK(power(3, 5).small() == 243u);
    CHECK(BigCount(1).log2() == 0u);
    CHECK_FALSE(BigCount(0).log2());
  }
}

}  // namespace settle::testing
