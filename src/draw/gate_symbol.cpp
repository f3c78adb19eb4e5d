#include "draw/gate_symbol.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "draw/svg.h"

namespace settle::draw {
namespace {

// A circle of negation, its left end at x.
constexpr int bubble_radius = 4;
constexpr int symbol_width = 60;
constexpr int body_width = 50;

std::string bubble(double x, double y) {
  return fmt::format("M{0} {1}a{2} {2} 0 1 0 {3} 0a{2} {2} 0 1 0 -{3} 0Z", number(x), number(y),
                     bubble_radius, 2 * bubble_radius);
}

std::string line(double x1, double y1, double x2, double y2) {
  return fmt::format("M{} {}L{} {}", number(x1), number(y1), number(x2), number(y2));
}

bool inverts(GateKind kind) {
  return kind == GateKind::not_ || kind == GateKind::nand || kind == GateKind::nor ||
         kind == GateKind::xnor || kind == GateKind::notif0 || kind == GateKind::notif1;
}

void add_output(GateSymbol& symbol, GateKind kind, int x) {
  symbol.end = x;
  if (!inverts(kind)) return;
  symbol.outline += bubble(x, symbol.output);
  symbol.end += 2 * bubble_radius;
}

void place_inputs(GateSymbol& symbol, std::uint32_t inputs) {
  const int count = std::max(1, static_cast<int>(inputs));
  symbol.height = std::max(40, 20 * count);
  symbol.output = symbol.height / 2;
  for (int i = 0; i < count; ++i) symbol.inputs.push_back(count == 1 ? symbol.output : grid + 20 * i);
}

struct Body {
  double top = 0, bottom = 0;
  double height() const { return bottom - top; }
};

// Gates with many inputs get a longer back line, not a larger body. Its height lets no pin meet a corner.
Body body_of(const GateSymbol& symbol) {
  const double height = std::min(symbol.height, symbol.inputs.size() % 2 == 0 ? 80 : 60);
  return {symbol.output - height / 2, symbol.output + height / 2};
}

// The back line goes on beyond the body to the pins that find no room at it.
void extend_back(GateSymbol& symbol, const Body& body, double x) {
  if (symbol.inputs.front() < body.top) symbol.lines += line(x, symbol.inputs.front() - 5, x, body.top);
  if (symbol.inputs.back() > body.bottom) symbol.lines += line(x, body.bottom, x, symbol.inputs.back() + 5);
}

GateSymbol and_shape(GateKind kind, std::uint32_t inputs) {
  GateSymbol symbol;
  symbol.width = symbol_width;
  place_inputs(symbol, inputs);
  const Body body = body_of(symbol);
  const double radius = body.height() / 2;
  const double straight = body_width - std::min(radius, 25.0);
  symbol.outline = fmt::format("M0 {0}H{1}A{2} {3} 0 0 1 {1} {4}H0Z", number(body.top), number(straight),
                               number(body_width - straight), number(radius), number(body.bottom));
  extend_back(symbol, body, 0);
  add_output(symbol, kind, body_width);
  return symbol;
}

// The curved back: how far it lies to the right of its ends at a height.
double back_at(const Body& body, double y) {
  const double radius = body.height();
  const double half = body.height() / 2, off = y - (body.top + half);
  if (std::abs(off) >= half) return 0;
  return std::sqrt(radius * radius - off * off) - std::sqrt(radius * radius - half * half);
}

GateSymbol or_shape(GateKind kind, std::uint32_t inputs, bool is_exclusive) {
  GateSymbol symbol;
  symbol.width = symbol_width;
  place_inputs(symbol, inputs);
  const Body body = body_of(symbol);
  const double left = is_exclusive ? 6 : 0, radius = body.height();
  // Each flank is an arc that leaves the straight top at a right angle to its radius.
  const double flank = std::min(std::sqrt(3.0) / 2 * radius, body_width - left - 4);
  const double middle = symbol.output, bend = body_width - flank;
  symbol.outline =
      fmt::format("M{0} {1}H{2}A{3} {4} 0 0 1 {5} {6}A{3} {4} 0 0 1 {2} {7}H{0}A{4} {4} 0 0 0 {0} {1}Z",
                  number(left), number(body.top), number(bend), number(flank * 2 / std::sqrt(3.0)),
                  number(radius), body_width, number(middle), number(body.bottom));
  if (is_exclusive) {
    symbol.lines +=
        fmt::format("M0 {0}A{1} {1} 0 0 0 0 {2}", number(body.bottom), number(radius), number(body.top));
  }
  for (const int y : symbol.inputs) {
    const double back = back_at(body, y);
    if (back <= 0) continue;
    const int end = static_cast<int>(back);
    if (symbol.start == 0 || end < symbol.start) symbol.start = end;
  }
  for (const int y : symbol.inputs) {
    const double back = back_at(body, y);
    symbol.stubs.push_back(back > symbol.start ? line(symbol.start, y, back, y) : "");
  }
  extend_back(symbol, body, 0);
  add_output(symbol, kind, body_width);
  return symbol;
}

// Buffer, inverter, and those with a third state: there the second input is the control, which comes from
// below.
GateSymbol triangle(GateKind kind) {
  GateSymbol symbol;
  symbol.width = symbol_width;
  symbol.height = is_three_state(kind) ? 60 : 40;
  symbol.output = 20;
  symbol.inputs = {20};
  symbol.outline = "M8 4L40 20L8 36Z";
  symbol.start = 8;
  if (is_three_state(kind)) {
    symbol.inputs.push_back(50);
    const double edge = 28;  // the triangle's flank at x = 24
    double from = edge;
    if (kind == GateKind::bufif0 || kind == GateKind::notif0) {
      symbol.outline += fmt::format("M24 {0}a{1} {1} 0 1 0 0 {2}a{1} {1} 0 1 0 0 -{2}Z", number(edge + 0.5),
                                    bubble_radius, 2 * bubble_radius);
      from += 0.5 + 2 * bubble_radius;
    }
    symbol.stubs = {"", fmt::format("M8 50H24V{}", number(from))};
  }
  add_output(symbol, kind, 40);
  return symbol;
}

// A resistor to the supply or to ground.
GateSymbol pull(GateKind kind) {
  GateSymbol symbol;
  symbol.width = symbol_width;
  symbol.height = 20;
  symbol.output = 10;
  symbol.outline = "M24 6H46V14H24Z";
  symbol.lines = "M16 10H24";
  symbol.end = 46;
  symbol.qualifier = kind == GateKind::pullup ? "1" : "0";
  symbol.qualifier_at = {10, 14};
  return symbol;
}

std::string qualifier_of(GateKind kind, std::uint32_t inputs) {
  switch (kind) {
    case GateKind::and_:
    case GateKind::nand: return "&";
    case GateKind::or_:
    case GateKind::nor:
      return "\xe2\x89\xa5"
             "1";
    case GateKind::xor_:
    case GateKind::xnor: return inputs == 2 ? "=1" : "2k+1";
    default: return "1";
  }
}

GateSymbol rectangle(GateKind kind, std::uint32_t inputs) {
  GateSymbol symbol;
  symbol.width = symbol_width;
  place_inputs(symbol, inputs);
  constexpr int edge = 44;
  symbol.outline = fmt::format("M0 0H{}V{}H0Z", edge, symbol.height);
  symbol.qualifier = qualifier_of(kind, inputs);
  symbol.qualifier_at = {edge / 2, is_three_state(kind) ? 14 : 15};
  if (is_three_state(kind)) {
    symbol.second = "EN";
    symbol.second_at = {14, symbol.inputs[1] + 4};
    const bool active_low = kind == GateKind::bufif0 || kind == GateKind::notif0;
    if (active_low) {  // the circle stands outside, in front of the pin
      symbol.outline = fmt::format("M8 0H{}V{}H8Z", edge, symbol.height) + bubble(0, symbol.inputs[1]);
      symbol.stubs = {line(0, symbol.inputs[0], 8, symbol.inputs[0]), ""};
      symbol.second_at.x = 20;
      symbol.qualifier_at.x = 24;
    }
    // The mark of a three-state output: a triangle that points down.
    symbol.lines += fmt::format("M33 {0}h8l-4 7Z", symbol.output - 3);
  }
  add_output(symbol, kind, edge);
  return symbol;
}

}  // namespace

GateSymbol gate_symbol(GateKind kind, std::uint32_t inputs, SymbolStyle style) {
  if (is_pull(kind)) return pull(kind);
  if (style == SymbolStyle::rectangular) return rectangle(kind, inputs);
  switch (kind) {
    case GateKind::and_:
    case GateKind::nand: return and_shape(kind, inputs);
    case GateKind::or_:
    case GateKind::nor: return or_shape(kind, inputs, false);
    case GateKind::xor_:
    case GateKind::xnor: return or_shape(kind, inputs, true);
    default: return triangle(kind);
  }
}

}  // namespace settle::draw
