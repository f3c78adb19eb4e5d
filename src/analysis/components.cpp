// Strongly connected components after Tarjan (SIAM J. Computing 1 (2), 1972), with a stack of our
// own in place of recursion.
#include "analysis/components.h"

#include <algorithm>

namespace settle {

std::vector<bool> nodes_in_loops(const std::vector<std::uint32_t>& start,
                                 const std::vector<std::uint32_t>& preds) {
  const auto n = static_cast<std::uint32_t>(start.size()) - 1;
  constexpr std::uint32_t done = 0xffffffffu, no_node = done;
  struct Frame {
    std::uint32_t node, next, low;
  };
  std::vector<bool> in_loop(n, false);
  std::vector<std::uint32_t> number(n, 0), open;
  std::vector<Frame> frames;
  std::uint32_t count = 0;
  for (std::uint32_t root = 0; root < n; ++root) {
    if (number[root] != 0) continue;
    const auto enter = [&](std::uint32_t node) {
      number[node] = ++count;
      open.push_back(node);
      frames.push_back({node, start[node], count});
    };
    enter(root);
    while (!frames.empty()) {
      Frame& frame = frames.back();
      if (frame.next < start[frame.node + 1]) {
        const std::uint32_t to = preds[frame.next++];
        if (to == frame.node) in_loop[to] = true;
        if (number[to] == 0) {
          enter(to);
        } else if (number[to] != done) {
          frame.low = std::min(frame.low, number[to]);
        }
        continue;
      }
      const Frame finished = frame;
      frames.pop_back();
      if (!frames.empty()) frames.back().low = std::min(frames.back().low, finished.low);
      if (finished.low != number[finished.node]) continue;
      const bool several = open.back() != finished.node;
      for (std::uint32_t node = no_node; node != finished.node;) {
        node = open.back();
        open.pop_back();
        number[node] = done;
        if (several) in_loop[node] = true;
      }
    }
  }
  return in_loop;
}

}  // namespace settle
