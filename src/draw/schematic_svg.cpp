#include "draw/schematic_svg.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "settle/time.h"

namespace settle::draw {
namespace {

constexpr int margin = 20;
constexpr int head_height = 44;
constexpr std::size_t most_described_parts = 40;

std::string counted(std::size_t count, std::string_view one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

class SchematicPicture {
 public:
  SchematicPicture(const Sheet& sheet, const Drawing& drawing, const SchematicOptions& options)
      : sheet_(sheet), drawing_(drawing), options_(options), picture_(title(), description()) {}

  std::string make() {
    add_style();
    add_head();
    picture_.open("g", fmt::format("transform=\"translate({} {})\"", margin, head_height));
    add_wires();
    add_figures();
    add_labels();
    picture_.close("g");
    double width = std::max(drawing_.width, head_width_) + 2 * margin;
    double height = head_height + drawing_.height + margin;
    if (options_.moment) {
      width = std::max(width, add_legend(height + 4));
      height += 20;
    }
    return picture_.finish(width, height);
  }

 private:
  std::string title() const { return "Schematic of " + sheet_.name; }

  std::string moment_text() const {
    return fmt::format("values at {}", to_text(options_.moment->time, options_.moment->unit));
  }

  std::string contents() const {
    std::size_t gates = 0, cells = 0;
    for (const SheetPart& part : sheet_.parts) {
      if (part.form == SheetPart::Form::gate) gates += part.copies;
      if (part.form == SheetPart::Form::cell) cells += part.copies;
    }
    std::string text = gates != 0 || cells == 0 ? counted(gates, "gate") : "";
    if (cells != 0) text += (text.empty() ? "" : ", ") + counted(cells, "cell");
    if (options_.moment) text += ", " + moment_text();
    return text;
  }

  std::string net_text(const SheetPin& pin) const {
    if (pin.net == net_open) return "nothing";
    if (!is_wire(pin.net)) return pin.net == net_one ? "1" : "0";
    return sheet_.nets[pin.net].name + pin.slice;
  }

  // For those who cannot see the picture: each part with what it reads and drives.
  std::string description() const {
    std::string text = contents() + ".";
    std::size_t described = 0;
    for (const SheetPart& part : sheet_.parts) {
      if (part.form == SheetPart::Form::input) text += fmt::format(" Input {}.", net_text(part.outputs[0]));
      if (part.form == SheetPart::Form::output) text += fmt::format(" Output {}.", part.name);
      if (part.form != SheetPart::Form::gate && part.form != SheetPart::Form::cell) continue;
      if (++described > most_described_parts) continue;
      text += fmt::format(" {} {}:", part.form == SheetPart::Form::gate ? name_of(part.kind) : part.cell,
                          part.name);
      for (const SheetPin& pin : part.inputs) text += " " + net_text(pin);
      text += " to";
      for (const SheetPin& pin : part.outputs) text += " " + net_text(pin);
      text += ".";
    }
    if (described > most_described_parts)
      text += fmt::format(" {} more parts.", described - most_described_parts);
    return text;
  }

  void add_style() {
    StyleSheet& style = picture_.style();
    style.rule(".w", "fill:none;stroke-width:1.5;stroke-linecap:round");
    style.colour(".w,.n", "stroke", Hue::ink);
    style.rule(".n", "fill:none;stroke-width:6;stroke-linecap:round");
    style.rule(".bus", "stroke-width:4");
    style.rule(".n.bus", "stroke-width:9");
    style.rule(".b,.l", "stroke-width:1.5;stroke-linejoin:round");
    style.colour(".b,.l", "stroke", Hue::ink);
    style.colour(".b", "fill", Hue::panel);
    style.rule(".l", "fill:none");
    style.rule("text.h", "font-size:15px;font-weight:bold");
    style.rule("text.t", "font-weight:bold");
    style.rule("text.p", "font-size:11px");
    style.rule("text.g", "font-size:10px");
    style.colour("text.g", "fill", Hue::faint);
    if (!options_.moment) return;
    style.rule(".v1", "stroke-width:3.5");
    style.rule(".vx", "stroke-width:2;stroke-dasharray:6 4;stroke-linecap:butt");
    style.rule(".vz", "stroke-width:2;stroke-dasharray:0 5;stroke-linecap:round");
    style.rule(".n", "stroke-width:8;stroke-dasharray:none;stroke-linecap:round");
    style.colour(".v0", "stroke", Hue::blue);
    style.colour(".v1", "stroke", Hue::vermillion);
    style.colour(".vx", "stroke", Hue::purple);
    style.colour(".vz", "stroke", Hue::faint);
  }

  void add_head() {
    picture_.text(margin, 24, sheet_.name, "h");
    const double after = margin + text_width(sheet_.name, 15, true) + 14;
    const std::string text = contents();
    picture_.text(after, 24, text, "g");
    head_width_ = static_cast<int>(after + text_width(text, 10));
  }

  std::string value_class(NetIndex net) const {
    const SheetNet& one = sheet_.nets[net];
    if (!options_.moment || one.value.size() != 1) return {};
    return fmt::format(" v{}", one.value);
  }

  std::string net_class(NetIndex net) const {
    return value_class(net) + (sheet_.nets[net].width > 1 ? " bus" : "");
  }

  static std::string path_of(const Line& line) {
    const Point from = line.from, to = line.to;
    if (from.y == to.y) return fmt::format("M{} {}H{}", from.x, from.y, to.x);
    if (from.x == to.x) return fmt::format("M{} {}V{}", from.x, from.y, to.y);
    return fmt::format("M{} {}L{} {}", from.x, from.y, to.x, to.y);
  }

  static bool ends_or_runs_at(const Line& line, Point at) {
    const auto [low_x, high_x] = std::minmax(line.from.x, line.to.x);
    const auto [low_y, high_y] = std::minmax(line.from.y, line.to.y);
    return low_x <= at.x && at.x <= high_x && low_y <= at.y && at.y <= high_y;
  }

  void add_wires() {
    std::map<std::pair<NetIndex, bool>, std::string> paths;
    for (const Line& line : drawing_.lines) paths[{line.net, line.is_tap}] += path_of(line);
    for (const auto& [key, path] : paths) {
      const auto [net, is_tap] = key;
      if (!is_wire(net)) {
        picture_.element("path", fmt::format(R"(class="w" d="{}")", path));
        continue;
      }
      const SheetNet& one = sheet_.nets[net];
      picture_.element("path", fmt::format(R"(class="w{}" d="{}")", is_tap ? "" : net_class(net), path),
                       one.value.empty() ? one.name : one.name + " = " + one.value);
    }
    std::map<std::string, std::string> dots;  // by class: one path each
    for (const Drawing::Dot& dot : drawing_.dots) {
      const bool is_thin = std::none_of(drawing_.lines.begin(), drawing_.lines.end(), [&](const Line& line) {
        return line.net == dot.net && !line.is_tap && ends_or_runs_at(line, dot.at);
      });
      dots[is_thin ? "" : net_class(dot.net)] += fmt::format("M{} {}h0", dot.at.x, dot.at.y);
    }
    for (const auto& [name, path] : dots) {
      picture_.element("path",
                       fmt::format(R"(class="{} n" d="{}")", name.empty() ? "" : name.substr(1), path));
    }
  }

  void add_figures() {
    const SymbolStyle symbols = options_.rectangular ? SymbolStyle::rectangular : SymbolStyle::distinctive;
    for (const Figure& figure : drawing_.figures) {
      const SheetPart& part = sheet_.parts[figure.part];
      const auto [x, y] = figure.at;
      switch (part.form) {
        case SheetPart::Form::input:
        case SheetPart::Form::output:
          picture_.element("circle",
                           fmt::format(R"(class="b" cx="{}" cy="{}" r="3")",
                                       part.form == SheetPart::Form::input ? x : x + figure.width, y + 3));
          break;
        case SheetPart::Form::cell:
          picture_.element("rect", fmt::format(R"(class="b" x="{}" y="{}" width="{}" height="{}")", x, y,
                                               figure.width, figure.height));
          break;
        case SheetPart::Form::gate: {
          const GateSymbol symbol =
              gate_symbol(part.kind, static_cast<std::uint32_t>(part.inputs.size()), symbols);
          const std::string place = fmt::format("transform=\"translate({} {})\"", x, y);
          add_stubs(figure, symbol, place);  // below the body, which covers their ends
          picture_.element("path", fmt::format(R"(class="b" {} d="{}")", place, symbol.outline));
          if (!symbol.lines.empty())
            picture_.element("path", fmt::format(R"(class="l" {} d="{}")", place, symbol.lines));
          add_inner(symbol.qualifier, symbol.qualifier_at, figure.at, "");
          add_inner(symbol.second, symbol.second_at, figure.at, "g");
          break;
        }
      }
    }
  }

  // The last bit of the wire to each pin, in front of the body; it looks as the wire does.
  void add_stubs(const Figure& figure, const GateSymbol& symbol, const std::string& place) {
    for (std::size_t row = 0; row < symbol.stubs.size(); ++row) {
      if (symbol.stubs[row].empty()) continue;
      const int y = figure.at.y + symbol.inputs[row];
      for (const PinEnd& pin : drawing_.pins) {
        if (pin.part != figure.part || pin.is_output || pin.at.y != y) continue;
        const std::string value = is_wire(pin.net) ? value_class(pin.net) : "";
        picture_.element("path", fmt::format(R"(class="w{}" {} d="{}")", value, place, symbol.stubs[row]));
      }
    }
  }

  void add_inner(const std::string& text, Point in, Point at, std::string_view style) {
    if (!text.empty()) picture_.text(at.x + in.x, at.y + in.y, text, style, Picture::Align::middle);
  }

  void add_labels() {
    for (const Label& label : drawing_.labels) {
      const std::string_view style = label.style == Label::Style::title ? "t"
                                     : label.style == Label::Style::pin ? "p"
                                                                        : "g";
      picture_.text(label.at.x, label.at.y, label.text, style, label.align);
    }
  }

  double add_legend(double y) {
    struct Entry {
      std::string_view style, text;
    };
    constexpr Entry entries[] = {
        {"v0", "0, low"}, {"v1", "1, high"}, {"vx", "x, unknown"}, {"vz", "z, not driven"}};
    double x = margin;
    for (const Entry& entry : entries) {
      picture_.element("path",
                       fmt::format(R"(class="w {}" d="M{} {}h36")", entry.style, number(x), number(y)));
      picture_.text(x + 42, y + 4, entry.text, "p");
      x += 42 + text_width(entry.text, 11) + 18;
    }
    return x;
  }

  const Sheet& sheet_;
  const Drawing& drawing_;
  const SchematicOptions& options_;
  Picture picture_;
  int head_width_ = 0;
};

}  // namespace

std::string schematic_svg(const Sheet& sheet, const Drawing& drawing, const SchematicOptions& options) {
  return SchematicPicture(sheet, drawing, options).make();
}

}  // namespace settle::draw
