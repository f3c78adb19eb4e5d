// Cells are planned as a list of statements that each make their output nets; only then are inputs chosen
// among all nets, so that loops come about.
#include <algorithm>
#include <optional>
#include <vector>

#include "fuzz/generate.h"

namespace settle::fuzz {
namespace {

struct Net {
  std::string name;
  std::uint32_t width = 1;
  bool falls = true;  // the first bit written has the highest number
  std::string pin() const {
    if (width == 1) return name;
    const std::string high = std::to_string(width - 1);
    return name + (falls ? "[" + high + ":0]" : "[0:" + high + "]");
  }
};

struct Cell {
  std::string name, text;
  std::vector<Net> inputs, outputs;
};

struct Part {
  enum class Kind { gate, shared_wire, instance } kind = Kind::gate;
  std::string word;
  std::uint32_t elements = 1;
  std::uint32_t fan_in = 1;
  const Cell* cell = nullptr;
  bool by_name = false;
  std::vector<std::uint32_t> outputs;  // nets; no_net: open
};

constexpr std::uint32_t no_net = 0xffffffffu;

class CellWriter {
 public:
  CellWriter(ByteSource& bytes, const std::vector<Cell>& known) : bytes_(bytes), known_(known) {}

  Cell write(const std::string& name, std::uint32_t most_inputs, std::uint32_t most_parts) {
    Cell cell;
    cell.name = name;
    const std::uint32_t inputs = bytes_.between(known_.empty() ? 1 : 0, most_inputs);
    for (std::uint32_t i = 0; i < inputs; ++i) cell.inputs.push_back(net("a" + std::to_string(i)));
    nets_ = cell.inputs;
    const std::uint32_t parts = bytes_.between(1, most_parts);
    for (std::uint32_t p = 0; p < parts; ++p) plan();
    choose_outputs(cell);
    std::string& text = cell.text;
    text = "cell " + name + "\n";
    if (!cell.inputs.empty()) text += "  in" + pins(cell.inputs) + "\n";
    if (!cell.outputs.empty()) text += "  out" + pins(cell.outputs) + "\n";
    for (std::uint32_t p = 0; p < parts_.size(); ++p) text += statement(parts_[p], "u" + std::to_string(p));
    text += "end\n";
    return cell;
  }

 private:
  Net net(const std::string& name) {
    const bool is_bus = bytes_.chance(60);
    return {name, is_bus ? bytes_.between(2, 3) : 1, !is_bus || bytes_.chance(200)};
  }
  std::uint32_t new_net(std::uint32_t width) {
    nets_.push_back({"n" + std::to_string(nets_.size()), width, bytes_.below(8) != 7});
    return static_cast<std::uint32_t>(nets_.size()) - 1;
  }
  static std::string pins(const std::vector<Net>& list) {
    std::string text;
    for (const Net& net : list) text += " " + net.pin();
    return text;
  }

  void plan() {
    Part part;
    const std::uint32_t choice = bytes_.below(16);
    part.elements = bytes_.chance(40) ? bytes_.between(2, 3) : 1;
    if (choice >= 12 && !known_.empty()) {
      part.kind = Part::Kind::instance;
      part.cell = &bytes_.pick(known_);
      part.word = part.cell->name;
      part.by_name = bytes_.chance(60);
      for (const Net& pin : part.cell->outputs) {
        part.outputs.push_back(bytes_.chance(30) ? no_net : new_net(pin.width * part.elements));
      }
    } else if (choice >= 10) {
      part.kind = Part::Kind::shared_wire;
      part.elements = 1;
      part.outputs.push_back(new_net(1));
    } else {
      static const std::vector<std::string> words{"nor", "nand", "not", "and", "or", "xor", "xnor", "buf"};
      part.word = bytes_.pick(words);
      part.fan_in = part.word == "not" || part.word == "buf" ? 1 : bytes_.between(1, 3);
      part.outputs.push_back(new_net(part.elements));
    }
    parts_.push_back(part);
  }

  // Some of the nets that parts drive; at least one.
  void choose_outputs(Cell& cell) {
    std::vector<Net> driven;
    for (const Part& part : parts_) {
      for (const std::uint32_t n : part.outputs) {
        if (n != no_net) driven.push_back(nets_[n]);
      }
    }
    for (const Net& net : driven) {
      if (cell.outputs.size() < 4 && bytes_.below(4) != 3) cell.outputs.push_back(net);
    }
    if (cell.outputs.empty() && !driven.empty()) cell.outputs.push_back(driven.back());
  }

  // What can be connected where `width` bits are wanted in all: `width` wide, or one bit for all.
  std::string source(std::uint32_t width, std::uint32_t pin_width) {
    for (int attempt = 0; attempt < 4 && !nets_.empty(); ++attempt) {
      const Net& net = nets_[bytes_.below(static_cast<std::uint32_t>(nets_.size()))];
      if (net.width == width || (net.width == 1 && pin_width == 1)) return net.name;
      if (net.width > 1 && pin_width == 1)
        return net.name + "[" + std::to_string(bytes_.below(net.width)) + "]";
      if (net.width > width && width > 1) {
        const std::string high = std::to_string(width - 1);
        return net.name + (net.falls ? "[" + high + ":0]" : "[0:" + high + "]");
      }
    }
    // A constant, or a net that nothing drives.
    const std::string spare = "spare" + std::to_string(width);
    if (pin_width == 1) return bytes_.below(8) == 7 ? "spare1" : bytes_.below(2) == 0 ? "0" : "1";
    return width == 1 ? spare : spare + "[" + std::to_string(width - 1) + ":0]";
  }

  std::string attributes() {
    const std::uint32_t choice = bytes_.below(32);
    const auto number = [&] { return std::to_string(bytes_.between(1, 9)); };
    switch (choice) {
      case 31: return " {delay=" + number() + "}";
      case 30: return " {rise=" + number() + " fall=" + number() + "}";
      case 29: return " {delay=1..2..3}";
      case 28: return " {part=74HC02 place=U1.2}";
      default: return {};
    }
  }

  std::string statement(const Part& part, const std::string& name) {
    if (part.kind == Part::Kind::shared_wire) return shared_wire(part, name);
    const std::string range = part.elements > 1 ? "[" + std::to_string(part.elements - 1) + ":0]" : "";
    std::string text = "  " + part.word + " " + name + range + ":";
    if (part.kind == Part::Kind::gate) {
      for (std::uint32_t i = 0; i < part.fan_in; ++i) text += " " + source(part.elements, 1);
    } else {
      for (const Net& pin : part.cell->inputs) {
        text += " " + (part.by_name ? pin.name + "=" : "") + source(pin.width * part.elements, pin.width);
      }
    }
    text += " ->";
    for (std::size_t i = 0; i < part.outputs.size(); ++i) {
      const std::string to = part.outputs[i] == no_net ? "_" : nets_[part.outputs[i]].pin();
      text += " " + (part.by_name ? part.cell->outputs[i].name + "=" : "") + to;
    }
    return text + (part.kind == Part::Kind::gate ? attributes() : "") + "\n";
  }

  std::string shared_wire(const Part& part, const std::string& name) {
    static const std::vector<std::string> words{"bufif1", "bufif0", "notif1", "notif0"};
    const std::string wire = nets_[part.outputs[0]].name;
    std::string text;
    const std::uint32_t drivers = bytes_.between(1, 3);
    for (std::uint32_t d = 0; d < drivers; ++d) {
      text += "  " + bytes_.pick(words) + " " + name + "_" + std::to_string(d) + ": " + source(1, 1) + " " +
              source(1, 1) + " -> " + wire + attributes() + "\n";
    }
    const std::uint32_t pull = bytes_.below(4);
    if (pull >= 2)
      text += std::string("  ") + (pull == 2 ? "pullup " : "pulldown ") + name + "_p: -> " + wire + "\n";
    return text;
  }

  ByteSource& bytes_;
  const std::vector<Cell>& known_;
  std::vector<Net> nets_;
  std::vector<Part> parts_;
};

class StimulusWriter {
 public:
  StimulusWriter(ByteSource& bytes, const Cell& cell) : bytes_(bytes), cell_(cell) {}

  std::string write() {
    head();
    if (bytes_.below(4) != 3) set_all();
    const std::uint32_t statements = bytes_.between(1, 16);
    for (std::uint32_t i = 0; i < statements; ++i) statement(0);
    return text_;
  }

 private:
  void head() {
    text_ += "cell " + cell_.name + "\n";
    switch (bytes_.below(6)) {
      case 2: text_ += "power-up every\n"; break;
      case 3: text_ += "power-up random seed " + number(9) + "\n"; break;
      case 4: text_ += "power-up " + assignment(cell_.outputs) + "\n"; break;
      case 5: text_ += "unit " + number(5) + "\n"; break;
      default: break;
    }
  }
  std::string number(std::uint32_t most) { return std::to_string(bytes_.between(1, most)); }

  std::string value(const Net& net) {
    if (net.width == 1) return std::string(1, "01010101010101xz"[bytes_.below(16)]);
    std::string digits = "0b";
    switch (bytes_.below(6)) {
      case 0: return "0";
      case 1: return std::to_string(bytes_.below(1u << net.width));
      case 2: return bytes_.below(2) == 0 ? "0x1" : "x";
      default:
        for (std::uint32_t i = 0; i < net.width; ++i) digits += "01010101x1"[bytes_.below(10)];
        return digits;
    }
  }
  std::string assignment(const std::vector<Net>& nets) {
    if (nets.empty()) return "nothing=0";
    const Net& net = bytes_.pick(nets);
    if (net.width > 1 && bytes_.chance(60)) {
      return net.name + "[" + std::to_string(bytes_.below(net.width)) + "]=" + value({net.name, 1, true});
    }
    return net.name + "=" + value(net);
  }
  void set_all() {
    if (cell_.inputs.empty()) return;
    text_ += "set";
    for (const Net& net : cell_.inputs)
      text_ += " " + net.name + "=" + (net.width > 1 ? "0" : std::to_string(bytes_.below(2)));
    text_ += "\n";
  }

  void statement(int depth) {
    static const std::vector<std::string> warnings{"delay-dependent", "indeterminate", "oscillation",
                                                   "hazard",          "contention",    "unsettled-change",
                                                   "not-settled",     "unjudged",      "skew"};
    const std::string input = assignment(cell_.inputs);
    const auto one_bit = [](const std::vector<Net>& nets) {
      return nets.empty() ? std::string("nothing") : nets[0].name + (nets[0].width > 1 ? "[0]" : "");
    };
    switch (bytes_.below(20)) {
      case 0:
      case 1:
      case 2:
      case 3:
      case 4: text_ += "set " + input + "\n"; break;
      case 5:
      case 6:
      case 7: text_ += "settle\n"; break;
      case 8: text_ += "wait " + number(12) + "\n"; break;
      case 9: text_ += "wait\n"; break;
      case 10: text_ += "pulse " + input + " for " + number(6) + "\n"; break;
      case 11: text_ += "expect " + assignment(cell_.outputs) + "\n"; break;
      case 12: text_ += "expect " + assignment(cell_.outputs) + " for " + number(9) + "\n"; break;
      case 13:
        text_ += "expect " + one_bit(cell_.outputs) + " changes " + number(3) + " since " + number(5) + "\n";
        break;
      case 14: text_ += "expect warning " + bytes_.pick(warnings) + "\n"; break;
      case 15: {
        text_ += "repeat " + number(3) + "\n";
        const std::uint32_t inner = depth < 2 ? bytes_.between(1, 3) : 0;
        for (std::uint32_t i = 0; i < inner; ++i) statement(depth + 1);
        text_ += "wait " + number(3) + "\nend\n";
        break;
      }
      case 16: {
        const std::uint32_t high = bytes_.between(1, 5);
        text_ += "clock " + one_bit(cell_.inputs) + " period " + std::to_string(high + bytes_.between(1, 5)) +
                 " high " + std::to_string(high) + " until " + std::to_string(bytes_.between(1, 80)) + "\n";
        break;
      }
      case 17:
        text_ += "bounce " + one_bit(cell_.inputs) + "=" + std::to_string(bytes_.below(2)) + " edges " +
                 std::to_string(2 * bytes_.between(1, 3) + 1) + " within " +
                 std::to_string(bytes_.between(6, 30)) + "\n";
        break;
      case 18: text_ += "at " + std::to_string(time_ += 20 + bytes_.below(100)) + "\n"; break;
      default: text_ += "set " + input + " " + assignment(cell_.inputs) + "\n"; break;
    }
  }

  ByteSource& bytes_;
  const Cell& cell_;
  std::uint32_t time_ = 0;
  std::string text_;
};

}  // namespace

Pair generate_pair(ByteSource& bytes) {
  std::vector<Cell> cells;
  const std::uint32_t leaves = bytes.below(3);
  for (std::uint32_t i = 0; i < leaves; ++i) {
    const std::vector<Cell> known = bytes.chance(100) ? cells : std::vector<Cell>();
    cells.push_back(CellWriter(bytes, known).write("part" + std::to_string(i), 3, 4));
  }
  const Cell top = CellWriter(bytes, cells).write("top", 3, 6);
  Pair pair;
  pair.netlist = top.text;
  for (const Cell& cell : cells) pair.netlist += cell.text;
  pair.stimulus = StimulusWriter(bytes, top).write();
  return pair;
}

}  // namespace settle::fuzz
