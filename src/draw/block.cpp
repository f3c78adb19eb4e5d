#include "draw/block.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

namespace settle::draw {
namespace {

constexpr int stub = grid;          // wire between an edge of the block and what is drawn in it
constexpr int name_room = grid;     // below or above a symbol
constexpr int pair_gap = 4 * grid;  // between the symbols of a pair, for the crossed feedback
constexpr int pin_pitch = 2 * grid;
constexpr int title_room = 4 * grid;  // in the frame of a cell, above its first pin

int rounded_up(double value, int step = 1) { return static_cast<int>(std::ceil(value / step)) * step; }

int label_width(const std::string& text, Label::Style style) {
  return rounded_up(text_width(text, label_size(style), style == Label::Style::title));
}

std::string port_label(const Sheet& sheet, const SheetPart& part) {
  const SheetPin& pin = part.form == SheetPart::Form::input ? part.outputs[0] : part.inputs[0];
  std::string label = part.name;
  if (!is_wire(pin.net)) return label;
  const SheetNet& net = sheet.nets[pin.net];
  if (net.is_bus) label += fmt::format("[{}:{}]", net.msb, net.lsb);
  if (!net.value.empty()) label += " = " + net.value;
  return label;
}

}  // namespace

double label_size(Label::Style style) {
  switch (style) {
    case Label::Style::name: return 10;
    case Label::Style::pin: return 11;
    case Label::Style::net: return 10;
    case Label::Style::title: return 12;
    case Label::Style::mark: return 9;
  }
  return 10;
}

PinOrders written_orders(const Sheet& sheet) {
  PinOrders orders(sheet.parts.size());
  for (std::size_t i = 0; i < orders.size(); ++i) {
    orders[i].resize(sheet.parts[i].inputs.size());
    std::iota(orders[i].begin(), orders[i].end(), 0u);
  }
  return orders;
}

// One block in the making.
class BlockMaker::Work {
 public:
  Work(const BlockMaker& maker, const PinOrders& orders) : maker_(maker), orders_(orders) {}

  Block part(std::uint32_t index) {
    block_.parts = {index};
    const SheetPart& part = maker_.sheet_.parts[index];
    switch (part.form) {
      case SheetPart::Form::input: input(index, part); break;
      case SheetPart::Form::output: output(index, part); break;
      case SheetPart::Form::gate: gate(index, part); break;
      case SheetPart::Form::cell: cell(index, part); break;
    }
    return finish();
  }

  Block pair(std::array<std::uint32_t, 2> parts) {
    block_.parts = {parts[0], parts[1]};
    const SheetPart& upper = part_of(parts[0]);
    const SheetPart& lower = part_of(parts[1]);
    const GateSymbol a = symbol_of(upper), b = symbol_of(lower);
    // The feedback pin is the last one of the upper gate and the first one of the lower gate.
    const std::size_t a_pin = a.inputs.size() - 1, b_pin = 0;
    const auto a_order = with_feedback(parts[0], lower.outputs[0].net, a_pin);
    const auto b_order = with_feedback(parts[1], upper.outputs[0].net, b_pin);
    const int x = std::max(left_room(upper, a_order, a_pin), left_room(lower, b_order, b_pin)) + grid;
    const int y = name_room, y2 = y + a.height + pair_gap;
    const int right = x + a.width + grid;
    const bool a_goes_on = pin_count(upper.outputs[0].net) > 2,
               b_goes_on = pin_count(lower.outputs[0].net) > 2;
    block_.width = right + std::max(right_room(upper), right_room(lower));
    block_.height = y2 + b.height + name_room;
    add_figure(parts[0], {x, y}, a);
    add_figure(parts[1], {x, y2}, b);
    add_label(upper.name, {x + a.end / 2, y - 4}, Label::Style::name, Picture::Align::middle);
    add_label(lower.name, {x + b.end / 2, block_.height - 1}, Label::Style::name, Picture::Align::middle);
    const Rows above{x, a.start, y, &a.inputs, &a_order, a_pin},
        below{x, b.start, y2, &b.inputs, &b_order, b_pin};
    add_inputs(parts[0], above);
    add_inputs(parts[1], below);
    const Point a_out{x + a.end, y + a.output}, b_out{x + b.end, y2 + b.output};
    add_output(parts[0], a_out, right, a_goes_on);
    add_output(parts[1], b_out, right, b_goes_on);
    cross(upper.outputs[0].net, {right, a_out.y}, {x, y2 + b.inputs[b_pin]}, b.start, y + a.height + 6,
          y2 - 6);
    cross(lower.outputs[0].net, {right, b_out.y}, {x, y + a.inputs[a_pin]}, a.start, y2 - 6,
          y + a.height + 6);
    return finish();
  }

 private:
  struct Rows {                   // input pins from top to bottom
    int x = 0, start = 0, y = 0;  // where the symbol is, and where in it wires end
    const std::vector<int>* at = nullptr;
    const std::vector<std::uint32_t>* order = nullptr;
    std::size_t feedback = no_feedback;  // the row that a pair wires itself
  };
  static constexpr std::size_t no_feedback = ~std::size_t{0};

  const SheetPart& part_of(std::uint32_t index) const { return maker_.sheet_.parts[index]; }
  std::uint32_t pin_count(NetIndex net) const { return is_wire(net) ? maker_.pin_counts_[net] : 0; }
  GateSymbol symbol_of(const SheetPart& part) const {
    return gate_symbol(part.kind, static_cast<std::uint32_t>(part.inputs.size()), maker_.options_.symbols);
  }

  Block finish() {
    const auto by_y = [](const Terminal& a, const Terminal& b) { return a.y < b.y; };
    std::stable_sort(block_.left.begin(), block_.left.end(), by_y);
    std::stable_sort(block_.right.begin(), block_.right.end(), by_y);
    return std::move(block_);
  }

  void add_line(NetIndex net, Point from, Point to, bool is_tap = false) {
    if (!(from == to)) block_.lines.push_back({net, from, to, is_tap});
  }
  static bool is_tap(const SheetPin& pin) { return pin.width == 1 && !pin.slice.empty(); }
  void add_figure(std::uint32_t part, Point at, int width, int height) {
    block_.figures.push_back({part, at, width, height, 0});
  }
  void add_figure(std::uint32_t part, Point at, const GateSymbol& symbol) {
    block_.figures.push_back({part, at, symbol.end, symbol.height, symbol.start});
  }
  void add_label(std::string text, Point at, Label::Style style,
                 Picture::Align align = Picture::Align::start) {
    block_.labels.push_back({std::move(text), at, style, align});
  }

  // The drawn order with the pin that reads `net` moved to the row of the feedback.
  std::vector<std::uint32_t> with_feedback(std::uint32_t part, NetIndex net, std::size_t row) const {
    std::vector<std::uint32_t> order = orders_[part];
    const auto& inputs = part_of(part).inputs;
    const auto found =
        std::find_if(order.begin(), order.end(), [&](std::uint32_t pin) { return inputs[pin].net == net; });
    const std::uint32_t pin = *found;
    order.erase(found);
    order.insert(order.begin() + static_cast<std::ptrdiff_t>(row), pin);
    return order;
  }

  void cross(NetIndex net, Point out, Point in, int start, int near, int far) {
    const int left = in.x - grid;
    add_line(net, out, {out.x, near});
    add_line(net, {out.x, near}, {left, far});
    add_line(net, {left, far}, {left, in.y});
    add_line(net, {left, in.y}, {in.x + start, in.y});
  }

  // Equal neighbours are joined in front of the symbol.
  static std::size_t run_end(const SheetPart& part, const std::vector<std::uint32_t>& order, std::size_t row,
                             std::size_t feedback) {
    const SheetPin& first = part.inputs[order[row]];
    std::size_t end = row + 1;
    if (row == feedback || !is_wire(first.net) || part.form != SheetPart::Form::gate ||
        !has_equal_inputs(part.kind)) {
      return end;
    }
    while (end < order.size() && end != feedback && part.inputs[order[end]].net == first.net &&
           part.inputs[order[end]].slice == first.slice) {
      ++end;
    }
    return end;
  }

  int left_room(const SheetPart& part, const std::vector<std::uint32_t>& order,
                std::size_t feedback = no_feedback) const {
    int room = stub;
    for (std::size_t row = 0; row < order.size(); row = run_end(part, order, row, feedback)) {
      const SheetPin& pin = part.inputs[order[row]];
      const int fork = run_end(part, order, row, feedback) > row + 1 ? grid : 0;
      room = std::max(room, stub + fork);
      if (pin.net == net_zero || pin.net == net_one) room = std::max(room, stub + 12);
      if (!pin.slice.empty()) room = std::max(room, label_width(pin.slice, Label::Style::net) + 8 + fork);
    }
    return room;
  }

  void add_inputs(std::uint32_t index, const Rows& rows) {
    const SheetPart& part = part_of(index);
    for (std::size_t row = 0; row < rows.order->size();) {
      const std::size_t end = run_end(part, *rows.order, row, rows.feedback);
      const SheetPin& pin = part.inputs[(*rows.order)[row]];
      for (std::size_t i = row; i < end; ++i) {
        block_.pins.push_back(
            {index, (*rows.order)[i], false, pin.net, {rows.x + rows.start, rows.y + (*rows.at)[i]}});
      }
      if (row != rows.feedback) add_input_wire(pin, rows, row, end);
      row = end;
    }
  }

  void add_input_wire(const SheetPin& pin, const Rows& rows, std::size_t row, std::size_t end) {
    const int first = rows.y + (*rows.at)[row], last = rows.y + (*rows.at)[end - 1];
    if (!is_wire(pin.net)) {
      if (pin.net == net_open) return;
      add_line(pin.net, {rows.x - stub, first}, {rows.x + rows.start, first});
      add_label(pin.net == net_one ? "1" : "0", {rows.x - stub - 3, first + 4}, Label::Style::pin,
                Picture::Align::end);
      return;
    }
    const int middle = end - row == 1 ? first : (first + last) / 2 / grid * grid;
    block_.left.push_back({pin.net, middle});
    if (!pin.slice.empty()) add_label(pin.slice, {3, middle - 3}, Label::Style::net);
    if (end - row == 1) {
      add_line(pin.net, {0, first}, {rows.x + rows.start, first}, is_tap(pin));
      return;
    }
    const int x = rows.x - grid;
    add_line(pin.net, {0, middle}, {x, middle}, is_tap(pin));
    add_line(pin.net, {x, first}, {x, last}, is_tap(pin));
    for (std::size_t i = row; i < end; ++i) {
      add_line(pin.net, {x, rows.y + (*rows.at)[i]}, {rows.x + rows.start, rows.y + (*rows.at)[i]},
               is_tap(pin));
    }
  }

  bool shows_name(NetIndex net) const { return maker_.options_.net_names && is_wire(net); }
  std::string output_text(const SheetPin& pin) const {
    if (!is_wire(pin.net)) return {};
    std::string text = shows_name(pin.net) ? maker_.sheet_.nets[pin.net].name + pin.slice : pin.slice;
    return text;
  }
  int right_room(const SheetPart& part) const {
    int room = stub;
    for (const SheetPin& pin : part.outputs) {
      const std::string text = output_text(pin);
      if (!text.empty()) room = std::max(room, label_width(text, Label::Style::net) + 8);
      if (pin.width > 1) room = std::max(room, 2 * stub);
    }
    return room;
  }

  void add_output(std::uint32_t index, Point at, int branch, bool goes_on) {
    const SheetPin& pin = part_of(index).outputs[0];
    block_.pins.push_back({index, 0, true, pin.net, at});
    add_line(pin.net, at, {branch, at.y}, is_tap(pin));
    add_output_wire(pin, {branch, at.y}, goes_on);
  }

  void add_output_wire(const SheetPin& pin, Point from, bool goes_on) {
    if (!is_wire(pin.net)) return;
    const std::string text = output_text(pin);
    if (!text.empty()) add_label(text, {from.x + 4, from.y - 4}, Label::Style::net);
    if (!goes_on) return;
    add_line(pin.net, from, {block_.width, from.y}, is_tap(pin));
    block_.right.push_back({pin.net, from.y});
  }

  void input(std::uint32_t index, const SheetPart& part) {
    const std::string label = port_label(maker_.sheet_, part);
    const SheetPin& pin = part.outputs[0];
    const int width = label_width(label, Label::Style::pin);
    block_.width = width + 8 + stub;
    block_.height = 2 * grid;
    add_label(label, {width, grid + 4}, Label::Style::pin, Picture::Align::end);
    const Point at{width + 8, grid};
    add_figure(index, {width + 5, grid - 3}, 3, 6);
    block_.pins.push_back({index, 0, true, pin.net, at});
    if (pin_count(pin.net) > 1) {
      add_line(pin.net, at, {block_.width, grid});
      block_.right.push_back({pin.net, grid});
    }
  }

  void output(std::uint32_t index, const SheetPart& part) {
    const std::string label = port_label(maker_.sheet_, part);
    const SheetPin& pin = part.inputs[0];
    block_.width = stub + 8 + label_width(label, Label::Style::pin);
    block_.height = 2 * grid;
    add_label(label, {stub + 8, grid + 4}, Label::Style::pin);
    const Point at{stub, grid};
    add_figure(index, {stub, grid - 3}, 3, 6);
    block_.pins.push_back({index, 0, false, pin.net, at});
    if (pin_count(pin.net) > 1) {
      add_line(pin.net, {0, grid}, at);
      block_.left.push_back({pin.net, grid});
    }
  }

  void gate(std::uint32_t index, const SheetPart& part) {
    const GateSymbol symbol = symbol_of(part);
    const auto& order = orders_[index];
    const std::string name =
        part.copies > 1 ? fmt::format("{} ({}\xc3\x97)", part.name, part.copies) : part.name;
    const int left = left_room(part, order), right = right_room(part);
    const int wanted = label_width(name, Label::Style::name);
    const int overhang = std::max(0, (wanted - symbol.end + 1) / 2);
    const int x = std::max(left, overhang);
    block_.width = x + symbol.width + std::max(right, overhang);
    block_.height = symbol.height + name_room;
    add_figure(index, {x, 0}, symbol);
    add_label(name, {x + symbol.end / 2, block_.height - 1}, Label::Style::name, Picture::Align::middle);
    add_inputs(index, {x, symbol.start, 0, &symbol.inputs, &order, no_feedback});
    add_output(index, {x + symbol.end, symbol.output}, x + symbol.width, pin_count(part.outputs[0].net) > 1);
  }

  void cell(std::uint32_t index, const SheetPart& part) {
    const auto& order = orders_[index];
    int inner_left = 0, inner_right = 0;
    for (const SheetPin& pin : part.inputs)
      inner_left = std::max(inner_left, label_width(pin.name, Label::Style::pin));
    for (const SheetPin& pin : part.outputs)
      inner_right = std::max(inner_right, label_width(pin.name, Label::Style::pin));
    const std::string kind =
        part.copies > 1 ? fmt::format("{}\xc3\x97 {}", part.copies, part.cell) : part.cell;
    const int title =
        std::max(label_width(kind, Label::Style::title), label_width(part.name, Label::Style::name));
    const int body = rounded_up(std::max({inner_left + inner_right + 30, title + 16, 60}), grid);
    const int rows = static_cast<int>(std::max(part.inputs.size(), part.outputs.size()));
    const int height = title_room + pin_pitch * std::max(rows, 1);
    const int x = left_room(part, order);
    block_.width = x + body + right_room(part);
    block_.height = height;
    add_figure(index, {x, 0}, body, height);
    add_label(kind, {x + body / 2, 15}, Label::Style::title, Picture::Align::middle);
    add_label(part.name, {x + body / 2, 27}, Label::Style::name, Picture::Align::middle);
    std::vector<int> at;
    for (int row = 0; row < rows; ++row) at.push_back(title_room + pin_pitch * row);
    add_inputs(index, {x, 0, 0, &at, &order, no_feedback});
    for (std::size_t row = 0; row < part.inputs.size(); ++row) {
      add_label(part.inputs[row].name, {x + 6, at[row] + 4}, Label::Style::pin);
    }
    for (std::size_t row = 0; row < part.outputs.size(); ++row) {
      const SheetPin& pin = part.outputs[row];
      const Point out{x + body, at[row]};
      block_.pins.push_back({index, static_cast<std::uint32_t>(row), true, pin.net, out});
      add_label(pin.name, {out.x - 6, out.y + 4}, Label::Style::pin, Picture::Align::end);
      add_output_wire(pin, out, pin_count(pin.net) > 1);
    }
  }

  const BlockMaker& maker_;
  const PinOrders& orders_;
  Block block_;
};

BlockMaker::BlockMaker(const Sheet& sheet, const BlockOptions& options)
    : sheet_(sheet), options_(options), pin_counts_(sheet.nets.size()) {
  for (const SheetPart& part : sheet.parts) {
    for (const auto* pins : {&part.inputs, &part.outputs}) {
      for (const SheetPin& pin : *pins) {
        if (is_wire(pin.net)) ++pin_counts_[pin.net];
      }
    }
  }
}

Block BlockMaker::part(std::uint32_t part, const PinOrders& orders) const {
  return Work(*this, orders).part(part);
}

Block BlockMaker::pair(std::array<std::uint32_t, 2> parts, const PinOrders& orders) const {
  return Work(*this, orders).pair(parts);
}

Block BlockMaker::passage(NetIndex net) {
  Block block;
  block.passage = net;
  block.height = 2 * grid;
  block.left = block.right = {{net, grid}};
  return block;
}

Block BlockMaker::again(const Block& block, const PinOrders& orders) const {
  if (block.parts.empty()) return block;
  if (block.parts.size() == 1) return part(block.parts[0], orders);
  return pair({block.parts[0], block.parts[1]}, orders);
}

}  // namespace settle::draw
