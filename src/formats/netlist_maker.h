// Puts a syntax tree together, for readers of other texts.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "settle/netlist.h"

namespace settle {

/// Adds cells, pins and statements to a tree in the order of our own language: the inputs of a
/// statement in front of its outputs, whatever the order of the calls. Offsets lie in `file`.
class NetlistMaker {
 public:
  /// A tree with the reserved words in place and no cell.
  explicit NetlistMaker(std::uint32_t file);
  /// Goes on with a tree that a parser has made.
  NetlistMaker(Netlist netlist, std::uint32_t file) : netlist_(std::move(netlist)), file_(file) {}

  SymbolTable& symbols() { return *netlist_.symbols; }
  Symbol name(std::string_view text) { return netlist_.symbols->intern(text); }
  std::uint32_t add_select(Select select);

  void open_cell(Symbol name, std::uint32_t offset);
  void add_input(Symbol name, std::uint32_t offset, std::uint32_t select = Connection::no_select);
  void add_output(Symbol name, std::uint32_t offset, std::uint32_t select = Connection::no_select);
  void close_cell();

  void open_gate(GateKind kind, Symbol name, std::uint32_t offset);
  void open_instance(Symbol cell, Symbol name, std::uint32_t offset);
  void set_range(std::uint32_t select) { statement_.range = select; }
  void set_attributes(const Attributes& attributes);
  void set_by_name() { statement_.by_name = true; }
  void connect_input(const Connection& connection) { inputs_.push_back(connection); }
  void connect_output(const Connection& connection) { outputs_.push_back(connection); }
  void close_statement();
  /// `require` of the open cell.
  void require(Place place, std::string text);

  Netlist take() { return std::move(netlist_); }
  const Netlist& netlist() const { return netlist_; }

 private:
  void open(Symbol kind, int builtin, Symbol name, std::uint32_t offset);

  Netlist netlist_;
  std::uint32_t file_;
  Statement statement_;
  std::vector<Connection> inputs_, outputs_;
};

/// A connection to the whole of a net, by position.
inline Connection connection_to(Symbol net, std::uint32_t offset) {
  Connection c;
  c.net = net;
  c.offset = offset;
  return c;
}

}  // namespace settle
