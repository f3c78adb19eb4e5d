// Tables made by hand, so that the texts are tested alone.
#include <nlohmann/json.hpp>

#include "settle/report.h"
#include "support/circuit_text.h"

namespace settle::testing {
namespace {

using Kind = TableEntry::Kind;

Circuit block() {
  return circuit(
      "cell block\n  in a[1:0] c\n  out q[1:0] w\n  and x: a[1] c -> q[1]\n  and y: a[0] c -> q[0]\n"
      "  buf z: c -> w\nend\n");
}

Table frame() {
  Table table;
  table.has_loops = true;
  table.free = {0, 1, 2};
  table.held.assign(3, Value::x);
  table.inputs = {"a[1]", "a[0]", "c"};
  table.outputs = {"q[1]", "q[0]", "w"};
  return table;
}

Table sample() {
  Table table = frame();
  table.entries = {{{Kind::one, {}}, {Kind::zero, {}}, {Kind::indeterminate, {}}},
                   {{Kind::hold, {}}, {Kind::hold, {}}, {Kind::expression, "q[1] q[0]'"}},
                   {{Kind::expression, "a[1]"}, {Kind::expression, "a[0]"}, {Kind::toggle, {}}}};
  table.rows = {{{0b101, 0b101}, 2, 0}, {{0b001, 0b000}, -1, 1}, {{0, 0}, -1, 2}};
  table.notes = {{TableNote::Kind::several_inputs, Verdict::oscillation, "11-", "00-",
                  "a[1] and a[0] fall together: oscillates"}};
  return table;
}

TEST_CASE("table text: buses in one column, own names for hold, a legend of what is used") {
  TextStyle style;
  CHECK(table_text(sample(), block(), style) ==
        "block: characteristic table\n"
        "\n"
        " a[1:0]  c │ q[1:0]  w\n"
        "───────────┼────────────────────\n"
        " 1-      ^ │ 10      undecided\n"
        " --      0 │ q[1:0]  q[1] q[0]'\n"
        " --      - │ a[1:0]  w'\n"
        "\n"
        "^ has just risen; the first row that fits counts\n"
        "- anything else: 0, 1, or an edge of which no row above speaks\n"
        "names on the right are values before the change (of inputs: after it); a net's\n"
        "  own name: it holds; ' is the opposite\n"
        "undecided: the race of equal gates has no winner; it may end either way, or hang\n"
        "\n"
        "note: a[1] and a[0] fall together: oscillates\n");
  style.ascii = style.quiet = true;
  CHECK(table_text(sample(), block(), style) ==
        "block: characteristic table\n"
        "\n"
        " a[1:0]  c | q[1:0]  w\n"
        "-----------+--------------------\n"
        " 1-      ^ | 10      undecided\n"
        " --      0 | q[1:0]  q[1] q[0]'\n"
        " --      - | a[1:0]  w'\n"
        "\n"
        "note: a[1] and a[0] fall together: oscillates\n");
}

TEST_CASE("bits that do not fit one word stand alone; held inputs go to the title") {
  Table table = frame();
  table.free = {0, 1};
  table.held[2] = Value::one;
  table.entries = {{{Kind::one, {}}, {Kind::hold, {}}, {Kind::unknown, {}}}};
  table.rows = {{{0b10, 0b10}, -1, 0}};
  table.complete = false;
  table.incomplete_reason = "a limit";
  CHECK(table_text(table, block(), {}) ==
        "block: characteristic table with c=1\n"
        "\n"
        " a[1:0] │ q[1]  q[0]  w\n"
        "────────┼───────────────\n"
        " 1-     │  1    q[0]  x\n"
        "\n"
        "- either 0 or 1\n"
        "names on the right are values before the change; a net's own name: it holds\n"
        "x unknown: drivers disagree, or an input floats\n"
        "incomplete: a limit\n");
}

TEST_CASE("table as Markdown escapes what has a meaning there") {
  CHECK(table_markdown(sample(), block()) ==
        "**block: characteristic table**\n"
        "\n"
        "| a\\[1:0\\] | c | q\\[1:0\\] | w |\n"
        "|:-:|:-:|:--|:--|\n"
        "| 1- | \\^ | 10 | undecided |\n"
        "| -- | 0 | q\\[1:0\\] | q\\[1\\] q\\[0\\]' |\n"
        "| -- | \\- | a\\[1:0\\] | w' |\n"
        "\n"
        "- \\^ has just risen; the first row that fits counts\n"
        "- `-` anything else: 0, 1, or an edge of which no row above speaks\n"
        "- names on the right are values before the change (of inputs: after it); a net's own name: it "
        "holds; ' is the opposite\n"
        "- undecided: the race of equal gates has no winner; it may end either way, or hang\n"
        "- note: a\\[1\\] and a\\[0\\] fall together: oscillates\n");
}

TEST_CASE("table as comma-separated values: a column for each bit") {
  CHECK(table_csv(sample()) ==
        "a[1],a[0],c,q[1],q[0],w\n"
        "1,-,^,1,0,undecided\n"
        "-,-,0,q[1],q[0],q[1] q[0]'\n"
        "-,-,-,a[1],a[0],w'\n");
  Table table = frame();
  table.inputs[0] = "odd,\"name\"";
  CHECK(table_csv(table) == "\"odd,\"\"name\"\"\",a[0],c,q[1],q[0],w\n");
}

TEST_CASE("document table/1") {
  const auto json = nlohmann::json::parse(table_json(sample(), block()));
  CHECK(json["schema"] == "table/1");
  CHECK(json["circuit"] == "block");
  CHECK(json["complete"] == true);
  CHECK(json["kind"] == "characteristic");
  CHECK(json["inputs"] == nlohmann::json({"a[1]", "a[0]", "c"}));
  REQUIRE(json["rows"].size() == 3);
  CHECK(json["rows"][0]["inputs"] == "1-^");
  CHECK(json["rows"][0]["outputs"][2] ==
        nlohmann::json({{"kind", "indeterminate"}, {"expression", nullptr}}));
  CHECK(json["rows"][1]["outputs"][0]["kind"] == "hold");
  CHECK(json["rows"][1]["outputs"][2] ==
        nlohmann::json({{"kind", "expression"}, {"expression", "q[1] q[0]'"}}));
  CHECK(json["rows"][2]["outputs"][2]["kind"] == "toggle");
  CHECK(json["notes"][0]["verdict"] == "oscillation");
  CHECK(json["notes"][0]["from"] == "11-");
  Table empty = frame();
  empty.complete = false;
  empty.incomplete_reason = "a limit";
  const auto none = nlohmann::json::parse(table_json(empty, block()));
  CHECK(none["rows"].empty());
  CHECK(none["incomplete_reason"] == "a limit");
}

}  // namespace
}  // namespace settle::testing
