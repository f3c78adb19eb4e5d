#include "settle/symbol_table.h"

#include <map>
#include <random>
#include <string>

#include "support/catch.h"

using namespace settle;

TEST_CASE("names are numbered in the order of their first use") {
  SymbolTable table;
  CHECK(table.size() == 0);
  CHECK(table.find("q") == no_symbol);
  CHECK(table.intern("q") == 0);
  CHECK(table.intern("occupied_by_train") == 1);
  CHECK(table.intern("q") == 0);
  CHECK(table.intern("") == 2);
  CHECK(table.find("occupied_by_train") == 1);
  CHECK(table.text(1) == "occupied_by_train");
  CHECK(table.text(2) == "");
}

TEST_CASE("similar names stay apart") {
  SymbolTable table;
  const std::string nul("\0", 1);
  const std::string names[] = {"a",         "aa",         "aaa",        "aaaa",       "aaaaa",  "aaaaaaaa",
                               "aaaaaaaaa", "aaaaaaaaaa", "aaaaaaaaab", "baaaaaaaaa", nul,      nul + nul,
                               "a" + nul,   "abcdefgh1",  "abcdefgh2",  "",           "abcdabc", "abcddabc"};
  Symbol next = 0;
  for (const std::string& name : names) CHECK(table.intern(name) == next++);
  next = 0;
  for (const std::string& name : names) CHECK(table.find(name) == next++);
}

TEST_CASE("the table agrees with an ordered map") {
  std::mt19937 random(7);
  SymbolTable table;
  std::map<std::string, Symbol> model;
  for (int i = 0; i < 50000; ++i) {
    const std::string name = "n" + std::string(random() % 12, '_') + std::to_string(random() % 20000);
    if (random() % 4 == 0) {
      const auto known = model.find(name);
      CHECK(table.find(name) == (known == model.end() ? no_symbol : known->second));
    } else {
      const auto [entry, is_new] = model.emplace(name, static_cast<Symbol>(model.size()));
      CHECK(table.intern(name) == entry->second);
    }
  }
  CHECK(table.size() == model.size());
  for (const auto& [name, symbol] : model) CHECK(table.text(symbol) == name);
  CHECK(table.bytes() > model.size() * 16);
}
