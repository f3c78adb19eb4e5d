// Netlists from elsewhere and for elsewhere: other texts in, other texts out.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/elaborate.h"
#include "settle/netlist.h"

namespace settle {

enum class NetlistFormat : std::uint8_t {
  gates,     ///< our own language, *.gates
  ieee1364,  ///< structural subset of IEEE 1364-2005, *.v
  iscas,     ///< text of the ISCAS-85 and ISCAS-89 benchmark circuits, *.bench
  json,      ///< "netlist/1", docs/json.md, *.json
};

/// "gates", "ieee1364", "iscas", "json".
std::string_view name_of(NetlistFormat format);
std::optional<NetlistFormat> netlist_format_from(std::string_view name);
/// By the extension of a path; `gates` where it is none of the others.
NetlistFormat netlist_format_of_path(std::string_view path);

/// What stands for the clocked flip-flops that a format knows and a netlist of gates does not.
enum class FlipFlopForm : std::uint8_t {
  six_nand,      ///< rising-edge flip-flop of six NAND gates, with pins clock and clear_n
  master_slave,  ///< two NAND latches and a clock inverter, with pins clock and clear_n
  pins,          ///< none: each flip-flop's output is an input of the cell, its data an output
};
std::string_view name_of(FlipFlopForm form);  ///< "six-nand", "master-slave", "pins"
std::optional<FlipFlopForm> flip_flop_form_from(std::string_view name);

struct ReadOptions {
  std::optional<NetlistFormat> format;  ///< nothing: by the path
  FlipFlopForm flip_flops = FlipFlopForm::six_nand;
  ParseLimits limits;
  /// Turns the chips of a tree without errors into gates, as place_chips() does; nothing: a netlist with
  /// chips cannot be elaborated.
  std::function<void(Netlist&, const Sources&, Diagnostics&)> place_chips = {};
};

/// Reads a netlist of any format to the syntax tree of our own language. Places lie in the text
/// read, so that messages of later stages show it. Names that are none of ours are changed, see
/// docs/formats.md. Errors go to `diagnostics`; the tree then holds what could be understood.
Netlist read_netlist(const std::string& path, FileReader& files, Sources& sources, Diagnostics& diagnostics,
                     const ReadOptions& options = {});

/// read_netlist() and build_circuit() in one: load_circuit() for every format. The limits of reading
/// are those of `elaborate`. `tree`, when given, receives what was read.
std::optional<Circuit> load_any_circuit(const std::string& path, FileReader& files, const ReadOptions& read,
                                        const ElaborateOptions& elaborate, Sources& sources,
                                        Diagnostics& diagnostics, Netlist* tree = nullptr);

/// A netlist of one cell without instances: the flat circuit again. Dots and brackets of flat names
/// become '_'; buses stay only at the pins. A pin that shares its net with another pin gets a buf.
Netlist flatten(const Circuit& circuit);

/// Cell `top` and the cells that it uses, in their order.
Netlist with_cells_of(const Netlist& netlist, Symbol top);

/// Netlist texts. The netlist must be free of errors. Cells keep their order, included ones come
/// along; comments are lost.
std::string write_gates(const Netlist& netlist);
std::string write_netlist_json(const Netlist& netlist);
/// Structural text of IEEE 1364-2005: a module for each cell, gate instances as in clause 7, delays
/// in the unit of `timescale` when the netlist has physical ones.
std::string write_ieee1364(const Netlist& netlist);

}  // namespace settle
