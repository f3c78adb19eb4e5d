#include "formats/flip_flop_cells.h"

#include "settle/text_reader.h"

namespace settle {
namespace {

// The edge-triggered flip-flop of the 74-series in its published form of six NAND gates, with the
// asynchronous clear input reaching three of them.
constexpr const char* six_nand_text = R"(# Rising-edge D flip-flop of six NAND gates with a clear input.
cell flip_flop
  in  d clock clear_n
  out q
  nand set_hold:   reset_hold_n set_n          -> set_hold_n
  nand set:        set_hold_n clock clear_n    -> set_n
  nand reset:      set_n clock reset_hold_n    -> reset_n
  nand reset_hold: reset_n d clear_n           -> reset_hold_n
  nand keep_q:     set_n q_n                   -> q
  nand keep_q_n:   q reset_n clear_n           -> q_n
end
)";

constexpr const char* master_slave_text = R"(# Master-slave D flip-flop of two NAND latches with a clear input.
cell flip_flop
  in  d clock clear_n
  out q
  not  invert:       clock                          -> clock_n
  nand master_set:   d clock_n                      -> master_set_n
  nand master_reset: master_set_n clock_n           -> master_reset_n
  nand master:       master_set_n master_q_n        -> master_q
  nand master_n:     master_reset_n master_q clear_n -> master_q_n
  nand slave_set:    master_q clock                 -> slave_set_n
  nand slave_reset:  master_q_n clock               -> slave_reset_n
  nand slave:        slave_set_n q_n                -> q
  nand slave_n:      slave_reset_n q clear_n        -> q_n
end
)";

}  // namespace

Netlist flip_flop_cell(FlipFlopForm form, Sources& sources, Diagnostics& diagnostics) {
  const char* text = form == FlipFlopForm::six_nand ? six_nand_text
                     : form == FlipFlopForm::master_slave ? master_slave_text
                                                          : "# no flip-flops\n";
  TextReader reader(text);
  return parse_netlist("flip_flop.gates", reader, sources, diagnostics);
}

}  // namespace settle
