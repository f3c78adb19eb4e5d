// Pieces of a syntax tree as written in our language; the JSON form uses the same words.
#pragma once

#include <string>

#include "settle/netlist.h"

namespace settle {

/// "[7:0]", "[3]", or nothing for no_select.
std::string select_text(const Netlist& netlist, std::uint32_t select);
/// "lever[7:0]"
std::string pin_text(const Netlist& netlist, const PinDeclaration& pin);
/// "lever[3]", "enter=s", "0", "_"
std::string connection_text(const Netlist& netlist, const Connection& connection);
/// "3ns", "2..3..5ns"
std::string delay_text(const DelayTriple& delay, TimeUnit unit);
/// "rise=4 fall=6 part=74HC02"
std::string attributes_text(const Attributes& attributes);

}  // namespace settle
