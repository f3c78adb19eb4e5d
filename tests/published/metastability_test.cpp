// The metastability estimate against worked values.
//
// Wakerly, Digital Design Principles and Practices, section 8.9, page 770 for the 74ALS74; the 74LS74 lines
// and the table of parameters from memory, recomputed. The last is an exercise of a public tutorial.
#include "settle/metastability.h"

#include <cmath>

#include "support/catch.h"

using namespace settle;

namespace {

bool near(double value, double published, double tolerance) {
  return std::abs(value / published - 1) < tolerance;
}

}  // namespace

TEST_CASE("Mean times between failures of worked examples") {
  const ResolveInput als{1.00e-9, 8.7e-6, 16e6, 100e3};
  CHECK(near(std::exp(log_mean_time(als, 42.5e-9)), 2.06e11, 0.001));
  CHECK(near(std::exp(log_mean_time(als, 52.5e-9)), 4.54e15, 0.001));
  const ResolveInput ls{1.50e-9, 0.4, 10e6, 100e3};
  CHECK(near(std::exp(log_mean_time(ls, 80e-9)), 3.633e11, 0.001));
  CHECK(near(std::exp(log_mean_time({1.50e-9, 0.4, 16e6, 100e3}, 42.5e-9)), 3.154, 0.001));
  CHECK(near(std::exp(log_mean_time({0.31e-9, 9.6e-18, 100e6, 1e6}, 2.3e-9)), 20.109 * 86400, 0.001));
}

TEST_CASE("Time for a mean time of 1000 years at 25 MHz and 100 kHz, for each part of the table") {
  struct Row {
    const char* part;
    double nanoseconds;
  };
  constexpr Row rows[] = {{"74LS74", 77.71},  {"74S74", 66.14}, {"74S174", 48.62}, {"74S374", 40.86},
                          {"74ALS74", 41.07}, {"74F74", 17.68}, {"74LSxx", 63.97}, {"74Sxx", 90.33},
                          {"74ASxx", 14.99},  {"74Fxx", 7.90},  {"74HCxx", 71.55}};
  CHECK(resolving_parts().size() == 11);
  const double thousand_years = *seconds_from("1000years");
  for (const Row& row : rows) {
    CAPTURE(row.part);
    const ResolvingPart* part = find_resolving_part(row.part);
    REQUIRE(part != nullptr);
    const ResolveInput input{part->tau, part->window, 25e6, 100e3};
    CHECK(std::abs(time_needed(input, thousand_years) * 1e9 - row.nanoseconds) < 0.006);
    CHECK(near(log_mean_time(input, time_needed(input, thousand_years)), std::log(thousand_years), 1e-9));
  }
}

TEST_CASE("Quantities with units") {
  CHECK(near(*seconds_from("1.5ns"), 1.5e-9, 1e-12));
  CHECK(near(*seconds_from("0.4 s"), 0.4, 1e-12));
  CHECK(near(*hertz_from("10MHz"), 1e7, 1e-12));
  for (const auto* wrong : {"", "5", "ns", "-1ns", "0s", "1e400s", "nans", "5 parsec", "10MHz"})
    CHECK(!seconds_from(wrong));
  CHECK(mean_time_text(std::log(2.06e11)) == "2.06e+11 s (6.53e+03 years)");
  CHECK(mean_time_text(std::log(3.1)) == "3.1 s");
  CHECK(mean_time_text(1e6) == "10^434294 s");
}
