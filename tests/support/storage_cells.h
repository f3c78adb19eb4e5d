// More storage cells as netlist text, and ways to disguise them.
#pragma once

#include <algorithm>
#include <cstdint>
#include <map>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "support/textbook_cells.h"

namespace settle::testing::cells {

// 7474 type with preset and clear, active low.
inline constexpr const char* six_nand_preset_clear = R"(
cell six_nand_preset_clear
  in  d c pre clr
  out q qn
  nand g1: pre n4 n2 -> n1
  nand g2: n1 c clr  -> n2
  nand g3: n2 c n4   -> n3
  nand g4: n3 d clr  -> n4
  nand g5: pre n2 qn -> q
  nand g6: n3 q clr  -> qn
end
)";

// Master and slave are D latches; the master sits behind the clock inverter.
inline constexpr const char* master_slave_d = R"(
cell master_slave_d
  in  d c
  out q qn
  not  inv: c -> cn
  not  di: d -> dn
  nand ms: d cn  -> a
  nand mr: dn cn -> b
  nand m:  a mn -> m
  nand mn: b m  -> mn
  nand ss: m c  -> e
  nand sr: mn c -> f
  nand q_gate:  e qn -> q
  nand qn_gate: f q  -> qn
end
)";

inline constexpr const char* jk_edge = R"(
cell jk_edge
  in  j k c
  out q qn
  not  inv: k -> kn
  nand jt: j qn -> x
  nand kt: kn q -> y
  nand dt: x y -> d
  nand g1: n4 n2   -> n1
  nand g2: n1 c    -> n2
  nand g3: n2 c n4 -> n3
  nand g4: n3 d    -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)";

inline constexpr const char* t_enable = R"(
cell t_enable
  in  t c
  out q qn
  xor  next: t q -> d
  nand g1: n4 n2   -> n1
  nand g2: n1 c    -> n2
  nand g3: n2 c n4 -> n3
  nand g4: n3 d    -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)";

inline constexpr const char* t_plain = R"(
cell t_plain
  in  c
  out q
  nand g1: n4 n2   -> n1
  nand g2: n1 c    -> n2
  nand g3: n2 c n4 -> n3
  nand g4: n3 qn   -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)";

inline constexpr const char* d_enable = R"(
cell d_enable
  in  d en c
  out q
  not  inv: en -> enn
  and  new: d en  -> x
  and  old: q enn -> y
  or   sum: x y   -> e
  nand g1: n4 n2   -> n1
  nand g2: n1 c    -> n2
  nand g3: n2 c n4 -> n3
  nand g4: n3 e    -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)";

// First to ask: two NAND gates that hold each other, and inverters.
inline constexpr const char* arbiter = R"(
cell arbiter
  in  r1 r2
  out g1 g2
  nand h1: r1 n2 -> n1
  nand h2: r2 n1 -> n2
  not  i1: n1 -> g1
  not  i2: n2 -> g2
end
)";

// The output is the input: an inverter between set and reset.
inline constexpr const char* stores_nothing = R"(
cell stores_nothing
  in  s
  out q qn
  not inv: s -> r
  nor q_gate:  r qn -> q
  nor qn_gate: s q  -> qn
end
)";

inline constexpr const char* ring = R"(
cell ring
  out a
  not g1: a -> b
  not g2: b -> c
  not g3: c -> a
end
)";

/// The same cell with other names, pins and gates in another order; with `inverted` an inverter behind
/// that input. For cells with one gate a line and without buses.
inline std::string disguised(const std::string& text, std::uint32_t seed, const std::string& inverted = {}) {
  std::mt19937 random(seed);
  std::map<std::string, std::string> names;
  const auto renamed = [&](const std::string& name) {
    auto [at, is_new] = names.emplace(name, std::string());
    if (is_new) at->second = std::string(1, static_cast<char>('a' + random() % 26)) + std::to_string(names.size());
    return at->second;
  };
  std::vector<std::string> in, out, gates;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string word;
    if (!(words >> word) || word == "cell" || word == "end") continue;
    std::vector<std::string> rest;
    for (std::string w; words >> w;) rest.push_back(w);
    if (word == "in" || word == "out") {
      for (const std::string& name : rest) (word == "in" ? in : out).push_back(renamed(name));
      continue;
    }
    std::string gate = word + " " + renamed("gate " + rest[0]) + ":";
    for (std::size_t i = 1; i < rest.size(); ++i) gate += " " + (rest[i] == "->" ? rest[i] : renamed(rest[i]));
    gates.push_back(gate);
  }
  if (!inverted.empty()) {
    std::replace(in.begin(), in.end(), renamed(inverted), renamed("pin " + inverted));
    gates.push_back("not " + renamed("gate inverter") + ": " + renamed("pin " + inverted) + " -> " + renamed(inverted));
  }
  std::shuffle(in.begin(), in.end(), random);
  std::shuffle(out.begin(), out.end(), random);
  std::shuffle(gates.begin(), gates.end(), random);
  std::string result = "cell disguised\n";
  const auto add = [&](const char* word, const std::vector<std::string>& pins) {
    if (pins.empty()) return;
    result += word;
    for (const std::string& pin : pins) result += " " + pin;
    result += "\n";
  };
  add(" in", in);
  add(" out", out);
  for (const std::string& gate : gates) result += " " + gate + "\n";
  return result + "end\n";
}

}  // namespace settle::testing::cells
