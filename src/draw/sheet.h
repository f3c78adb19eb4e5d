// What a schematic shows, before anything has a place: parts with pins, and the nets between them.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/netlist.h"

namespace settle::draw {

/// Index into Sheet::nets, or one of those below.
using NetIndex = std::uint32_t;
inline constexpr NetIndex net_open = 0xffffffffu;  ///< connected to nothing
inline constexpr NetIndex net_zero = 0xfffffffeu;  ///< constant 0
inline constexpr NetIndex net_one = 0xfffffffdu;   ///< constant 1
constexpr bool is_wire(NetIndex net) { return net < net_one; }

struct SheetPin {
  NetIndex net = net_open;
  std::string name;         ///< of a cell's pin; gates have none
  std::string slice;        ///< "[3]", "[7:4]" where the pin takes a part of the net only
  std::uint32_t width = 1;  ///< bits
};

struct SheetPart {
  enum class Form : std::uint8_t { gate, cell, input, output };  ///< the last two are pins of the picture
  Form form = Form::gate;
  GateKind kind = GateKind::buf;  ///< of a gate
  std::string name;
  std::string cell;          ///< of a cell
  std::uint32_t copies = 1;  ///< elements of an array that are drawn as one
  std::vector<SheetPin> inputs, outputs;
};

struct SheetNet {
  std::string name;
  std::uint32_t width = 1;
  std::uint32_t msb = 0, lsb = 0;
  bool is_bus = false;
  std::vector<NetId> bits;  ///< in the circuit, msb first; empty when they are not known there
  std::string value;        ///< at the moment shown: "1", "0b01xx"; empty: none is shown
};

struct Sheet {
  std::string name;  ///< of the cell
  std::vector<SheetPart> parts;
  std::vector<SheetNet> nets;
};

/// Every gate of the circuit by itself, all buses taken apart.
Sheet flat_sheet(const Circuit& circuit);

/// The circuit's cell as it is written: cells in it are parts of their own, save those whose names are in
/// `open`, in whose place stands what they are made of. Arrays are one part. `tree` is what the circuit was
/// made from.
Sheet cell_sheet(const Circuit& circuit, const Netlist& tree, const std::vector<std::string>& open);

}  // namespace settle::draw
