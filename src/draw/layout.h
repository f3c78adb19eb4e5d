// The way from a sheet to a drawing, step by step: columns, order within them, rows, wires.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "draw/block.h"

namespace settle::draw {

/// Blocks in columns from left to right. Pins of the circuit stand in the first and last one. Column c has a
/// channel on its right, number c, in which the wires between it and the next column run up and down.
struct Arrangement {
  std::vector<Block> blocks;
  std::vector<std::vector<std::uint32_t>> columns;  ///< blocks from top to bottom
  std::vector<Point> at;                            ///< left upper corner of each block
};

/// Where a net meets a channel.
struct ChannelEnd {
  std::uint32_t block = 0;
  bool is_left = false;  ///< at the left side of the channel, so at the right edge of the block
  int y = 0;             ///< in the block
};

/// The ends of each net in one channel.
struct ChannelNets {
  std::vector<NetIndex> nets;                 ///< ascending
  std::vector<std::vector<ChannelEnd>> ends;  ///< of each of them
};
ChannelNets channel_nets(const Arrangement& arrangement, std::size_t channel);

/// Makes the blocks: gates that read each other become pairs; columns by the longest way from the inputs,
/// passages for wires that go on.
Arrangement arrange_columns(const BlockMaker& maker, const PinOrders& orders);

/// Orders blocks within columns, and exchangeable pins, so that few wires cross.
void reduce_crossings(Arrangement& arrangement, const BlockMaker& maker, PinOrders& orders);
/// Orders the exchangeable pins of each gate as their wires come. Needs `at`.
void order_pins(Arrangement& arrangement, const BlockMaker& maker, PinOrders& orders);

/// Gives each block its y so that many wires are straight.
void place_rows(Arrangement& arrangement);

/// A finished drawing.
struct Drawing {
  int width = 0, height = 0;
  std::vector<Figure> figures;
  std::vector<Line> lines;
  std::vector<Label> labels;
  std::vector<PinEnd> pins;
  struct Dot {
    NetIndex net = net_open;
    Point at;
  };
  std::vector<Dot> dots;  ///< where a net branches
};

/// Lays the wires of the channels, gives each column its x, and puts all together.
Drawing route_wires(Arrangement& arrangement);

/// All of it.
Drawing lay_out(const Sheet& sheet, const BlockOptions& options);

}  // namespace settle::draw
