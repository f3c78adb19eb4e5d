// The readers behind read_netlist(): one for each text that is not our own.
#pragma once

#include <string>

#include "settle/diagnostic.h"
#include "settle/formats.h"

namespace settle {

/// `file` is the index of the text in `sources`; `cell_name` that of the cell to be made.
Netlist read_iscas(std::uint32_t file, const std::string& cell_name, FlipFlopForm form, Sources& sources,
                   Diagnostics& diagnostics);
Netlist read_netlist_json(std::uint32_t file, Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits);
Netlist read_ieee1364(std::uint32_t file, Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits);

}  // namespace settle
