// Strongly connected components after Tarjan (SIAM J. Computing 1 (2), 1972), with a stack of our
// own in place of recursion.
#include "analysis/components.h"

#include <algorithm>

namespace settle {

std::vector<std::uint32_t> component_numbers(const std::vector<std::uint32_t>& start,
                                             const std::vector<std::uint32_t>& preds) {
  const auto n = static_cast<std::uint32_t>(start.size()) - 1;
  constexpr std::uint32_t done = 0xffffffffu;
  struct Frame {
    std::uint32_t node, next, low;
  };
  std::vector<std::uint32_t> number(n, 0), component(n, 0), open;
  std::vector<Frame> frames;
  std::uint32_t count = 0, components = 0;
  const auto enter = [&](std::uint32_t node) {
    number[node] = ++count;
    open.push_back(node);
    frames.push_back({node, start[node], count});
  };
  for (std::uint32_t root = 0; root < n; ++root) {
    if (number[root] != 0) continue;
    enter(root);
    while (!frames.empty()) {
      Frame& frame = frames.back();
      if (frame.next < start[frame.node + 1]) {
        const std::uint32_t to = preds[frame.next++];
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
      for (bool more = true; more;) {
        const std::uint32_t node = open.back();
        open.pop_back();
        number[node] = done;
        component[node] = components;
        more = node != finished.node;
      }
      ++components;
    }
  }
  return component;
}

std::vector<bool> nodes_in_loops(const std::vector<std::uint32_t>& start,
                                 const std::vector<std::uint32_t>& preds) {
  const std::vector<std::uint32_t> component = component_numbers(start, preds);
  std::vector<std::uint32_t> members(component.size(), 0);
  for (const std::uint32_t c : component) ++members[c];
  std::vector<bool> in_loop(component.size(), false);
  for (std::uint32_t node = 0; node < component.size(); ++node) {
    in_loop[node] = members[component[node]] > 1;
    for (std::uint32_t i = start[node]; i < start[node + 1] && !in_loop[node]; ++i)
      in_loop[node] = preds[i] == node;
  }
  return in_loop;
}

}  // namespace settle
