// Work that is asked to stop beforehand ends with an honest incomplete result.
#include <algorithm>
#include <atomic>
#include <bit>

#include "analysis/behaviour.h"
#include "analysis/merge_rows.h"
#include "settle/explain.h"
#include "settle/minimise.h"
#include "settle/table.h"
#include "support/catch.h"
#include "support/circuit_text.h"

namespace settle::testing {
namespace {

const std::string lever_cell =
    "cell lever\n in lever read\n out seen seen_n\n not i: lever -> lever_n\n nand s: lever read -> sn\n"
    " nand r: lever_n read -> rn\n nand a: sn seen_n -> seen\n nand b: rn seen -> seen_n\nend\n";

/// Parity: no two vectors share a product, so there is much to look at and nothing to merge.
FunctionBits parity_bits(unsigned variables) {
  FunctionBits bits(function_words(variables), 0);
  for (std::uint32_t v = 0; v < 1u << variables; ++v) {
    if (std::popcount(v) % 2 == 1) bits[v >> 6] |= std::uint64_t{1} << (v & 63);
  }
  return bits;
}

}  // namespace

TEST_CASE("The minimiser gives no sum when it is stopped, in each of its ways") {
  const std::atomic<bool> stop{true};
  for (const unsigned variables : {3u, 8u, 13u}) {
    MinimiseOptions options;
    CHECK(minimise(variables, parity_bits(variables), {}, options).complete);
    options.stop = &stop;
    const Minimised sum = minimise(variables, parity_bits(variables), {}, options);
    CHECK_FALSE(sum.complete);
    CHECK_FALSE(sum.minimal);
    CHECK(sum.cubes.empty());
  }
}

TEST_CASE("Rows of many right-hand sides are not merged after a stop") {
  const std::atomic<bool> stop{true};
  std::vector<std::uint32_t> entries(1u << 12);
  for (std::uint32_t v = 0; v < entries.size(); ++v) entries[v] = v / 2;  // each pair of rows becomes one
  CHECK(merge_rows(12, entries, 2048).size() == 2048);
  CHECK(merge_rows(12, entries, 2048, {}, &stop).empty());
}

TEST_CASE("Stopped tables say so and have no rows") {
  const std::atomic<bool> stop{true};
  TableOptions options;
  options.stop = &stop;
  for (const std::string& text : {std::string("cell c\n in a b\n out y\n and g: a b -> y\nend\n"), lever_cell}) {
    const Circuit c = circuit(text);
    CHECK_FALSE(make_table(c, {}).rows.empty());
    const Table table = make_table(c, options);
    CHECK_FALSE(table.complete);
    CHECK(table.incomplete_reason.find("stopped") != std::string::npos);
    CHECK(table.rows.empty());
  }
  // The states may be there already.
  const Circuit c = circuit(lever_cell);
  const Table table = make_characteristic_table(c, explore(c, {}), options);
  CHECK_FALSE(table.complete);
  CHECK(table.incomplete_reason == "stopped before the rows were made");
  CHECK(table.rows.empty());
}

TEST_CASE("A stopped explanation claims nothing") {
  const std::atomic<bool> stop{true};
  const Circuit c = circuit(lever_cell);
  ExplainOptions options;
  CHECK(explain(c, options).complete);
  options.stop = &stop;
  const Explanation explanation = explain(c, options);
  CHECK_FALSE(explanation.complete);
  CHECK(explanation.incomplete_reason == "stopped before all cells were studied");
  CHECK(explanation.kind == "unrecognised");
  CHECK_FALSE(explanation.bits_known);
  CHECK(explanation.outputs.empty());
  CHECK_FALSE(behaviour_of(c, explore(c, {}), c.outputs(), &stop).is_usable);
  CHECK(behaviour_of(c, explore(c, {}), c.outputs()).is_usable);
}

}  // namespace settle::testing
