// The pieces that a schematic is laid out from: parts with their pins, pairs of gates that hold each other,
// and passages of wires through a column. Each is drawn by itself; wires meet it at its left and right edge.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "draw/gate_symbol.h"
#include "draw/sheet.h"
#include "draw/svg.h"

namespace settle::draw {

struct Line {
  NetIndex net = net_open;
  Point from, to;
  bool is_tap = false;  ///< one bit of a bus
};

struct Label {
  enum class Style : std::uint8_t { name, pin, net, title, mark };
  std::string text;
  Point at;  ///< on the baseline
  Style style = Style::name;
  Picture::Align align = Picture::Align::start;
};
/// Font size of a style, in pixels.
double label_size(Label::Style style);

/// The end of a pin.
struct PinEnd {
  std::uint32_t part = 0, pin = 0;
  bool is_output = false;
  NetIndex net = net_open;
  Point at;
};

/// A drawn part: a gate's symbol or the frame of a cell, or the terminal of a pin.
struct Figure {
  std::uint32_t part = 0;
  Point at;  ///< left upper corner
  int width = 0, height = 0;
  int inset = 0;  ///< on the left, where wires may end; none may cross the rest
};

/// Where a wire meets the left or right edge of a block.
struct Terminal {
  NetIndex net = net_open;
  int y = 0;
};

struct Block {
  std::vector<std::uint32_t> parts;  ///< one, or the two of a pair, the upper one first; none: a passage
  NetIndex passage = net_open;       ///< net that only passes through
  int width = 0, height = 0;
  std::vector<Figure> figures;
  std::vector<Line> lines;  ///< wires inside
  std::vector<Label> labels;
  std::vector<PinEnd> pins;
  std::vector<Terminal> left, right;  ///< by y
};

struct BlockOptions {
  SymbolStyle symbols = SymbolStyle::distinctive;
  bool net_names = false;
};

/// Order in which the input pins of each part are drawn, by part; only those of gates with equal inputs
/// differ from the order written.
using PinOrders = std::vector<std::vector<std::uint32_t>>;
PinOrders written_orders(const Sheet& sheet);

/// Makes blocks of the parts of a sheet, which must outlive it.
class BlockMaker {
 public:
  BlockMaker(const Sheet& sheet, const BlockOptions& options);
  /// A part by itself.
  Block part(std::uint32_t part, const PinOrders& orders) const;
  /// Two gates that read each other, the feedback crossed between them.
  Block pair(std::array<std::uint32_t, 2> parts, const PinOrders& orders) const;
  /// Room for a wire that only passes through.
  static Block passage(NetIndex net);
  /// The block anew, after a change of the orders.
  Block again(const Block& block, const PinOrders& orders) const;
  const Sheet& sheet() const { return sheet_; }

 private:
  class Work;
  const Sheet& sheet_;
  BlockOptions options_;
  std::vector<std::uint32_t> pin_counts_;  // of each net
};

}  // namespace settle::draw
