// Rows of a timing report as short texts.
#pragma once

#include <string>

#include "settle/timing.h"

namespace settle::testing {

inline std::string edge_words(const NetEdge& edge) { return edge.net + (edge.rises ? " rises" : " falls"); }

/// "2..3 c s q" for "c rises, q rises": least, most, slowest way; "none" when there is no such row.
inline std::string propagation(const Timing& timing, const std::string& row) {
  const auto find = [&](const std::vector<Propagation>& rows) -> std::string {
    for (const Propagation& p : rows) {
      if (edge_words(p.from) + ", " + edge_words(p.to) != row) continue;
      std::string text = std::to_string(p.least) + ".." + std::to_string(p.most);
      for (const NetEdge& edge : p.path) text += " " + edge.net;
      return text;
    }
    return "";
  };
  for (const TimedCell& cell : timing.cells) {
    if (const std::string text = find(cell.propagation); !text.empty()) return text;
  }
  const std::string text = find(timing.through);
  return text.empty() ? "none" : text;
}

/// The row "setup d=1 c falls", "pulse c rises" or "recovery r rises, c rises"; nullptr when there is none.
inline const TimingConstraint* constraint(const Timing& timing, const std::string& row) {
  using Kind = TimingConstraint::Kind;
  for (const TimedCell& cell : timing.cells) {
    for (const TimingConstraint& c : cell.constraints) {
      std::string text = std::string(name_of(c.kind)) + " ";
      if (c.kind == Kind::setup || c.kind == Kind::hold) text += c.data.net + (c.value ? "=1 " : "=0 ");
      if (c.kind == Kind::recovery || c.kind == Kind::removal) text += edge_words(c.data) + ", ";
      if (text + edge_words(c.control) == row) return &c;
    }
  }
  return nullptr;
}

/// "2 3 undecided 1..1": right value, clean, and offsets that leave it undecided.
inline std::string needed(const Timing& timing, const std::string& row) {
  const TimingConstraint* c = constraint(timing, row);
  if (c == nullptr) return "none";
  std::string text =
      (c->right ? std::to_string(*c->right) : "-") + " " + (c->clean ? std::to_string(*c->clean) : "-");
  for (const OffsetRange& range : c->undecided) {
    text += (&range == c->undecided.data() ? " undecided " : ", ") + std::to_string(range.first) + ".." +
            std::to_string(range.last);
  }
  return text;
}

}  // namespace settle::testing
