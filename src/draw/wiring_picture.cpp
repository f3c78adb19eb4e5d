// Chips from above, one in a row of its own column: the body with its notch at the top, pin 1 to the left of
// it, numbers inside, nets outside, and each gate as a line inside between its pins with the name of what it
// is in the circuit.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "draw/svg.h"
#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {
namespace {

using draw::Hue;
using draw::number;
using draw::Picture;

constexpr double pitch = 24, lead = 12, top_room = 44, gap = 34, margin = 20, column_room = 132;
constexpr double page_width = 1100;
constexpr double small = 11;
constexpr double name_start = 42;  // of a gate's name, from the edge of the body

struct PinSpot {
  double x = 0, y = 0;
};

class ChipPicture {
 public:
  ChipPicture(const Wiring& wiring, const Circuit& circuit)
      : w_(wiring),
        c_(circuit),
        p_("Wiring of " + circuit.cell_name(),
           fmt::format("{} seen from above, with the net at each pin", report::chip_count_text(wiring))) {
    auto& style = p_.style();
    style.colour(".body", "fill", Hue::panel);
    style.colour(".body", "stroke", Hue::ink);
    style.colour(".lead", "stroke", Hue::ink);
    style.colour(".notch", "fill", Hue::paper);
    style.colour(".notch", "stroke", Hue::ink);
    style.colour(".supply", "fill", Hue::vermillion);
    style.colour(".ground", "fill", Hue::blue);
    style.colour(".rest", "fill", Hue::faint);
    style.colour(".output", "fill", Hue::green);
    style.colour(".link", "stroke", Hue::faint);
    style.colour(".dot", "fill", Hue::green);
    style.rule(".link", "fill:none;stroke-width:1.2");
    style.rule(".lead", "stroke-width:3");
    style.rule(".head", "font-weight:bold;font-size:14px");
    style.rule(".small", fmt::format("font-size:{}px", number(small)));
    style.rule(".supply,.ground", "font-weight:bold");
  }

  std::string run() {
    measure();
    p_.text(margin, margin + 12, "Wiring of " + c_.cell_name(), "head");
    p_.text(margin, margin + 30, fmt::format("{}; seen from above", report::chip_count_text(w_)), "small");
    const double width = body_width_ + 2 * (lead + net_room_) + gap;
    const auto columns =
        static_cast<std::size_t>(std::max(1.0, std::floor((page_width - 2 * margin + gap) / width)));
    double y = margin + 48, row_height = 0;
    for (std::size_t chip = 0; chip < w_.chips.size(); ++chip) {
      const std::size_t column = chip % columns;
      if (column == 0 && chip > 0) {
        y += row_height;
        row_height = 0;
      }
      const double height = draw_chip(w_.chips[chip], margin + static_cast<double>(column) * width, y);
      row_height = std::max(row_height, height);
    }
    y += row_height;
    p_.text(margin, y + 8, "green: an output; a line inside joins the pins of a gate; grey: at rest or open",
            "small rest");
    const double all =
        static_cast<double>(std::min(columns, std::max<std::size_t>(w_.chips.size(), 1))) * width - gap +
        2 * margin;
    return p_.finish(std::max(all, 520.0), y + margin + 4);
  }

 private:
  void measure() {
    for (const WiredChip& chip : w_.chips) {
      for (const WireNetId net : chip.pins) {
        if (net != no_id)
          net_room_ = std::max(net_room_, draw::text_width(report::wire_net_text(w_, net), 12));
      }
    }
    net_room_ = std::min(net_room_ + 8, column_room);
    double name = 0;
    for (const WiredChip& chip : w_.chips) {
      for (const WiredGate& gate : chip.gates)
        name = std::max(name, draw::text_width(report::wired_gate_text(gate, c_), small));
    }
    body_width_ = std::clamp(2 * (name + name_start), 170.0, 340.0);
  }

  /// Where the lead of a pin meets the body.
  PinSpot spot_of(const Part& part, std::uint32_t pin, double x, double y) const {
    const std::uint32_t half = (part.pin_count + 1u) / 2;
    const bool left = pin <= half;
    const std::uint32_t row = left ? pin - 1 : part.pin_count - pin;
    return {left ? x : x + body_width_, y + pitch * (row + 0.5) + 10};
  }

  double draw_chip(const WiredChip& chip, double left, double top) {
    const Part& part = w_.parts[chip.part];
    const double x = left + net_room_ + lead, y = top + top_room;
    const double height = pitch * ((part.pin_count + 1u) / 2) + 16;
    p_.text(x, top + 16, fmt::format("{}  {}", chip.name, chip.part_text()), "head");
    p_.text(x, top + 32, draw::fitted(part.title, small, body_width_ + net_room_), "small");
    for (std::uint32_t pin = 1; pin <= part.pin_count; ++pin) {
      const PinSpot at = spot_of(part, pin, x, y);
      const double out = at.x == x ? -lead : lead;
      p_.element("path",
                 fmt::format(R"(class="lead" d="M{} {}h{}")", number(at.x), number(at.y), number(out)));
    }
    p_.element("rect", fmt::format(R"(class="body" x="{}" y="{}" width="{}" height="{}" rx="4")", number(x),
                                   number(y), number(body_width_), number(height)));
    const double middle = x + body_width_ / 2;
    p_.element("path",
               fmt::format(R"(class="notch" d="M{} {}a8 8 0 0 0 16 0")", number(middle - 8), number(y)));
    draw_pins(chip, part, x, y);
    for (std::size_t g = 0; g < part.gates.size(); ++g) draw_gate(chip.gates[g], part.gates[g], part, x, y);
    return top_room + height + gap;
  }

  void draw_pins(const WiredChip& chip, const Part& part, double x, double y) {
    for (std::uint32_t pin = 1; pin <= part.pin_count; ++pin) {
      const PinSpot at = spot_of(part, pin, x, y);
      const bool is_left = at.x == x;
      const WireNetId net = chip.pins[pin - 1];
      const bool is_output = std::any_of(part.gates.begin(), part.gates.end(),
                                         [&](const PartGate& g) { return g.output == pin; });
      p_.text(at.x + (is_left ? 6 : -6), at.y + 4, fmt::format("{}", pin),
              is_output ? "small output" : "small", is_left ? Picture::Align::start : Picture::Align::end);
      std::string_view classes = net == no_id        ? "rest"
                                 : net == supply_net ? "supply"
                                 : net == ground_net ? "ground"
                                 : is_output         ? "output"
                                                     : "";
      const std::string text = net == no_id ? "open" : report::wire_net_text(w_, net);
      p_.text(at.x + (is_left ? -lead - 4 : lead + 4), at.y + 4, draw::fitted(text, 12, net_room_ - 4),
              classes, is_left ? Picture::Align::end : Picture::Align::start);
    }
  }

  /// A comb: the pins of a gate lie beside each other, its spine runs along them.
  void draw_gate(const WiredGate& gate, const PartGate& pins, const Part& part, double x, double y) {
    const PinSpot output = spot_of(part, pins.output, x, y);
    double low = output.y, high = output.y;
    const bool is_left = output.x == x;
    std::string path;
    const double spine = is_left ? x + 30 : x + body_width_ - 30;
    for (const auto pin : pins.inputs) {
      const PinSpot at = spot_of(part, pin, x, y);
      const bool from_left = at.x == x;
      path += fmt::format("M{} {}H{}", number(at.x + (from_left ? 20 : -20)), number(at.y), number(spine));
      low = std::min(low, at.y);
      high = std::max(high, at.y);
    }
    path +=
        fmt::format("M{} {}H{}", number(output.x + (is_left ? 20 : -20)), number(output.y), number(spine));
    path += fmt::format("M{} {}V{}", number(spine), number(low), number(high));
    p_.element("path", fmt::format(R"(class="link" d="{}")", path));
    p_.element("circle",
               fmt::format(R"(class="dot" cx="{}" cy="{}" r="3")", number(spine), number(output.y)));
    const std::string name = report::wired_gate_text(gate, c_);
    // A line that comes across from the other side would strike the name out.
    const bool crosses = std::any_of(pins.inputs.begin(), pins.inputs.end(), [&](std::uint8_t pin) {
      return (spot_of(part, pin, x, y).x == x) != is_left;
    });
    const double text_y = (low + high) / 2 + (crosses ? pitch / 2 : 0) + 4;
    p_.text(spine + (is_left ? 6 : -6), text_y, draw::fitted(name, small, body_width_ / 2 - name_start + 4),
            gate.gate == no_id ? "small rest" : "small",
            is_left ? Picture::Align::start : Picture::Align::end);
  }

  const Wiring& w_;
  const Circuit& c_;
  Picture p_;
  double net_room_ = 40, body_width_ = 190;
};

}  // namespace

std::string wiring_svg(const Wiring& wiring, const Circuit& circuit) {
  return ChipPicture(wiring, circuit).run();
}

}  // namespace settle
