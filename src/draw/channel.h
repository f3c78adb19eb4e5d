// Wires in the channel between two columns: each runs straight in from its ends and up and down on a track.
#pragma once

#include <vector>

#include "draw/block.h"

namespace settle::draw {

/// A net's ends in a channel: heights at its left and at its right side.
struct ChannelNet {
  NetIndex net = net_open;
  std::vector<int> left, right;
};

/// The wires laid. x counts from the left side of the channel.
struct ChannelWires {
  int width = 0;
  std::vector<Line> lines;
};

/// No two nets share an end at one side. Wires of different nets meet at right angles only.
ChannelWires lay_channel(const std::vector<ChannelNet>& nets);

}  // namespace settle::draw
