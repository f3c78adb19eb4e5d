// The JSON form of netlists.
#include "support/format_text.h"

namespace settle {
namespace {

std::string json_messages(const std::string& text) { return testing::read_text("n.json", text).messages; }

TEST_CASE("A JSON netlist is read, members in any order") {
  const auto read = testing::read_text(
      "n.json", R"({"cells": [{"gates": [{"inputs": ["leave", "clear"], "outputs": ["occupied"], "kind": "nor", "name": "hold_a"},
 {"kind": "nor", "name": "hold_b", "inputs": ["enter", "occupied"], "outputs": ["clear"]}],
 "name": "block_memory", "inputs": ["enter", "leave"], "outputs": ["occupied", "clear"]}], "schema": "netlist/1"})");
  CHECK(read.messages.empty());
  REQUIRE(read.circuit);
  CHECK(read.circuit->dump() == "hold_a nor leave clear -> occupied\nhold_b nor enter occupied -> clear\n");
}

TEST_CASE("What is wrong in a JSON netlist is told with its place") {
  CHECK(json_messages("{\"schema\": \"netlist/1\",}").find("n.json:1:24: error: this is no JSON from here on") == 0);
  CHECK(json_messages("[").find("the JSON text ends too early") != std::string::npos);
  CHECK(json_messages("{\"schema\": \"run/1\", \"cells\": []}") .find("n.json:1:12: error: 'run/1' is another kind of document") == 0);
  const auto gate = [](const std::string& members) {
    return json_messages("{\"schema\": \"netlist/1\", \"cells\": [{\"name\": \"c\", \"inputs\": [\"a\"], \"outputs\": [\"y\"], \"gates\": [\n{" + members + "}]}]}");
  };
  CHECK(gate(R"("kind": "not", "name": "g", "inputs": ["a"], "outputs": ["y"])").empty());
  CHECK(gate(R"("kind": "not", "name": "g", "input": ["a"], "outputs": ["y"])").find("did you mean \"inputs\"?") != std::string::npos);
  CHECK(gate(R"("kind": "not", "name": "9g", "inputs": ["a"], "outputs": ["y"])").find("n.json:2:25: error: '9g' cannot be the name of a gate") == 0);
  CHECK(gate(R"("kind": "not", "name": "g", "inputs": ["a", "a"], "outputs": ["y"])").find("'not' cannot have 2 inputs") != std::string::npos);
  CHECK(gate(R"("kind": "not", "name": "g", "inputs": ["a["], "outputs": ["y"])").find("'[' is no select") != std::string::npos);
  CHECK(gate(R"("kind": "not", "name": "g", "inputs": [1], "outputs": ["y"])").find("a connection is a string") != std::string::npos);
  CHECK(gate(R"("kind": "not", "name": "g", "inputs": ["a"], "outputs": ["y"], "delay": "0")").find("'0' is no delay of a gate") != std::string::npos);
  CHECK(gate(R"("kind": "nto", "name": "g", "inputs": ["a"], "outputs": ["y"])").find("did you mean") != std::string::npos);
}

TEST_CASE("A requirement is one that our language can say") {
  const auto told = [](const std::string& words) {
    return json_messages("{\"schema\": \"netlist/1\", \"cells\": [{\"name\": \"c\", \"inputs\": [\"a\"], \"outputs\": [\"y\"], \"gates\": "
                         "[{\"kind\": \"not\", \"name\": \"g\", \"inputs\": [\"a\"], \"outputs\": [\"y\"]}], \"requirements\": [\"" + words + "\"]}]}");
  };
  CHECK(told("stores 0").empty());
  for (const auto* words : {"", "  ", "stores\\n0", "\\u0000", "stores 0\\u001b"}) {
    INFO(words);
    CHECK(told(words).find("error: a requirement is a string of one line") != std::string::npos);
  }
  for (const auto* words : {"stores 0 # hi", "stores 0\\\\", "stores 0\\\\ "}) {
    INFO(words);
    CHECK(told(words).find("error: a requirement has no '#' and does not end with '\\'") != std::string::npos);
  }
}

TEST_CASE("Deep nesting costs no stack") {
  const std::string deep = "{\"schema\": " + std::string(200000, '[') + std::string(200000, ']') + "}";
  CHECK(!json_messages(deep).empty());
}

}  // namespace
}  // namespace settle
