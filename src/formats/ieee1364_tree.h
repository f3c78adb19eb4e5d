// What a structural IEEE 1364-2005 text says, module by module, before names and sides are settled.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "formats/foreign_names.h"
#include "settle/netlist.h"

namespace settle {

struct HdlRange {
  std::uint32_t msb = 0, lsb = 0;
  std::uint32_t width() const { return (msb > lsb ? msb - lsb : lsb - msb) + 1; }
  bool operator==(const HdlRange&) const = default;
};

/// A net, or a bit or part of it, or a constant, or nothing.
struct HdlTerminal {
  enum class Kind : std::uint8_t { net, zero, one, nothing };
  Kind kind = Kind::nothing;
  std::uint32_t net = 0;               ///< number in HdlModule::names
  bool is_bit = false;
  std::optional<HdlRange> select;      ///< with is_bit: msb == lsb
  bool is_list = false;                ///< bits one by one, {a[1], a[2]}: these may run either way
  std::uint32_t port = no_symbol;      ///< .port(...): number in HdlFile::port_names
  std::uint32_t offset = 0;
};

struct HdlNet {
  enum class Role : std::uint8_t { wire, input, output, supply0, supply1 };
  Role role = Role::wire;
  bool is_declared = false;
  bool is_in_header = false;           ///< of the module: a port
  bool wants_declaration = false;      ///< used under `default_nettype none
  std::optional<HdlRange> range;
  std::uint32_t offset = 0;
};

struct HdlInstance {
  int kind = -1;                       ///< GateKind, or -1 for a module
  std::string_view module;             ///< its name, when kind is -1
  std::string_view name;               ///< empty: none given
  std::optional<HdlRange> range;
  Attributes attributes;
  bool has_attributes = false;
  bool by_name = false;
  std::uint32_t first = 0, count = 0;  ///< in HdlModule::terminals
  std::uint32_t offset = 0;
};

struct HdlAssign {
  HdlTerminal to, from;
};

struct HdlModule {
  std::string_view name;
  std::uint32_t offset = 0;
  ForeignNames names;                  ///< nets, ports included
  std::vector<HdlNet> nets;            ///< by number of the name
  std::vector<std::uint32_t> ports;    ///< numbers of names, in header order
  std::vector<HdlInstance> instances;
  std::vector<HdlTerminal> terminals;
  std::vector<HdlAssign> assigns;
};

struct HdlFile {
  std::vector<HdlModule> modules;
  ForeignNames port_names;             ///< of all .port(...) connections
};

class Sources;
class Diagnostics;

HdlFile parse_ieee1364(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits);
/// Settles names, sides of instances, assigns and supplies.
Netlist netlist_of(const HdlFile& parsed, std::uint32_t file, Diagnostics& diagnostics);

}  // namespace settle
