// Words of the trade stand for gates only as a whole, so they are looked up before anything that is merely
// near; but a cell of the netlist that has the very name in other letter case goes before.
#include "circuit/kind_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "circuit/cell_plan.h"
#include "text/letter_case.h"

namespace settle {
namespace {

using Word = std::pair<std::string_view, std::string_view>;

constexpr std::array<Word, 9> gate_words = {{{"inv", "not"},
                                             {"inverter", "not"},
                                             {"invert", "not"},
                                             {"buffer", "buf"},
                                             {"driver", "buf"},
                                             {"tri", "bufif1"},
                                             {"tristate", "bufif1"},
                                             {"tribuf", "bufif1"},
                                             {"eor", "xor"}}};

constexpr std::string_view latch_hint = "a latch is a cell made of gates ('settle help cabin' builds some)";
constexpr std::string_view flip_flop_hint =
    "a flip-flop is a cell made of gates ('settle help timing' shows one of six, 'settle help cabin' a "
    "toggle)";
constexpr std::string_view multiplexer_hint =
    "a multiplexer is a cell made of gates: an 'and' for each input, and an 'or' of these";
constexpr std::array<Word, 27> cell_words = {{{"latch", latch_hint},
                                              {"dlatch", latch_hint},
                                              {"d_latch", latch_hint},
                                              {"sr", latch_hint},
                                              {"rs", latch_hint},
                                              {"srlatch", latch_hint},
                                              {"sr_latch", latch_hint},
                                              {"rs_latch", latch_hint},
                                              {"ff", flip_flop_hint},
                                              {"dff", flip_flop_hint},
                                              {"d_ff", flip_flop_hint},
                                              {"flipflop", flip_flop_hint},
                                              {"flip_flop", flip_flop_hint},
                                              {"jk", flip_flop_hint},
                                              {"jkff", flip_flop_hint},
                                              {"jk_ff", flip_flop_hint},
                                              {"tff", flip_flop_hint},
                                              {"t_ff", flip_flop_hint},
                                              {"srff", flip_flop_hint},
                                              {"rsff", flip_flop_hint},
                                              {"dffr", flip_flop_hint},
                                              {"register", flip_flop_hint},
                                              {"mux", multiplexer_hint},
                                              {"mux2", multiplexer_hint},
                                              {"mux4", multiplexer_hint},
                                              {"multiplexer", multiplexer_hint},
                                              {"selector", multiplexer_hint}}};

template <std::size_t Count>
std::string_view meaning_of(std::string_view word, const std::array<Word, Count>& words) {
  const auto found = std::find_if(words.begin(), words.end(), [&](const Word& w) { return w.first == word; });
  return found == words.end() ? std::string_view() : found->second;
}

}  // namespace

KindNames::KindNames(const Netlist& netlist) {
  for (const auto& cell : netlist.cells) names_.push_back(netlist.symbols->text(cell.name));
  for (int gate = 0; gate < gate_kind_count; ++gate) names_.push_back(name_of(static_cast<GateKind>(gate)));
}

std::string_view KindNames::nearest(std::string_view kind) const {
  const std::string lower = in_lower_case(kind);
  const auto meant = meaning_of(lower, gate_words);
  const auto near = nearest_name(kind, names_);
  return meant.empty() || in_lower_case(near) == lower ? near : meant;
}

std::string KindNames::hint(std::string_view kind) const {
  const std::string other_file = "a cell of another file needs a line: include \"FILE\"";
  if (const auto near = nearest(kind); !near.empty()) return suggestion(near);
  const auto how = meaning_of(in_lower_case(kind), cell_words);
  return how.empty() ? other_file : fmt::format("{}; {}", how, other_file);
}

}  // namespace settle
