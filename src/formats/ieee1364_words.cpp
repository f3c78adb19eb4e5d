// Clause numbers are from memory.
#include "formats/ieee1364_words.h"

#include <algorithm>
#include <array>

#include "settle/gate_kind.h"

namespace settle {
namespace {

// Keywords that start an item which is no structure, and where the standard treats them.
constexpr std::array<HdlOutside, 45> outside_words = {{
    {"always", "a procedure", "9.9"}, {"initial", "a procedure", "9.9"}, {"reg", "a variable", "4.2.2"},
    {"integer", "a variable", "4.8"}, {"time", "a variable", "4.8"}, {"real", "a variable", "4.8"},
    {"realtime", "a variable", "4.8"}, {"parameter", "a parameter", "4.10"}, {"localparam", "a parameter", "4.10"},
    {"defparam", "a parameter override", "12.2.1"}, {"specify", "a specify block", "14"},
    {"specparam", "a specify parameter", "4.10.3"}, {"function", "a function", "10.4"}, {"task", "a task", "10.2"},
    {"generate", "a generate block", "12.4"}, {"genvar", "a generate variable", "12.4.1"}, {"event", "a named event", "9.7.3"},
    {"inout", "a port of both directions", "12.3.3"}, {"trireg", "a charge storage net", "4.4"},
    {"wand", "a wired-logic net", "4.6.2"}, {"wor", "a wired-logic net", "4.6.2"}, {"triand", "a wired-logic net", "4.6.2"},
    {"trior", "a wired-logic net", "4.6.2"}, {"tri0", "a net with a pull", "4.6.4"}, {"tri1", "a net with a pull", "4.6.4"},
    {"uwire", "an unresolved net", "4.6.5"}, {"nmos", "a switch", "7.5"}, {"pmos", "a switch", "7.5"},
    {"rnmos", "a switch", "7.5"}, {"rpmos", "a switch", "7.5"}, {"cmos", "a switch", "7.7"}, {"rcmos", "a switch", "7.7"},
    {"tran", "a switch", "7.6"}, {"rtran", "a switch", "7.6"}, {"tranif0", "a switch", "7.6"}, {"tranif1", "a switch", "7.6"},
    {"rtranif0", "a switch", "7.6"}, {"rtranif1", "a switch", "7.6"}, {"primitive", "a user-defined primitive", "8"},
    {"config", "a configuration", "13"}, {"if", "a conditional generate construct", "12.4.3"},
    {"for", "a loop generate construct", "12.4.2"}, {"case", "a conditional generate construct", "12.4.3"},
    {"macromodule", "a macromodule", "12.1"}, {"library", "a library declaration", "13.2"},
}};
constexpr std::array<std::string_view, 12> kept_words = {"module", "endmodule", "input", "output", "wire", "tri", "supply0",
                                                         "supply1", "assign", "signed", "scalared", "vectored"};

}  // namespace

const HdlOutside* find_outside(std::string_view word) {
  const auto found =
      std::find_if(outside_words.begin(), outside_words.end(), [&](const HdlOutside& o) { return o.word == word; });
  return found == outside_words.end() ? nullptr : &*found;
}

bool is_hdl_keyword(std::string_view word) {
  return gate_kind_from(word) || std::find(kept_words.begin(), kept_words.end(), word) != kept_words.end() ||
         find_outside(word) != nullptr;
}

}  // namespace settle
