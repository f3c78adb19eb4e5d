// Flat names: put together from the instance tree, and found again.
//
// Nothing is stored by full name. A path is cut at its dots, each part looked up among the
// children of the instance before it, the last one among the nets of that instance. Both tables
// are open-addressing hash tables of numbers; the keys are read from Names itself, so the index
// costs about 8 bytes a net. Pins are what most stimuli name: they are looked up in a table of their
// own, and the large tables are made when another name is asked for.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <memory>
#include <mutex>
#include <string>
#include <unordered_map>

#include "settle/circuit.h"

namespace settle {
namespace {

std::uint64_t mixed(std::uint64_t a, std::uint64_t b, std::uint64_t c) {
  std::uint64_t h = (a * 0x9e3779b97f4a7c15u) ^ (b * 0xc2b2ae3d27d4eb4fu) ^ (c * 0x165667b19e3779f9u);
  h ^= h >> 29;
  h *= 0xbf58476d1ce4e5b9u;
  return h ^ (h >> 32);
}

void append_part(std::string& out, const SymbolTable& symbols, Symbol name, std::uint32_t bit) {
  out += symbols.text(name);
  if (bit != no_id) fmt::format_to(std::back_inserter(out), "[{}]", bit);
}

/// Numbers of things with a (owner, name, bit) key that is kept elsewhere.
class Table {
 public:
  explicit Table(std::size_t count) {
    std::size_t size = 16;
    while (size < count + count / 2) size *= 2;
    slots_.assign(size, no_id);
  }
  template <typename SameKey>
  void add(std::uint64_t hash, std::uint32_t item, SameKey same) {
    const auto slot = locate(hash, same);
    if (slots_[slot] == no_id) slots_[slot] = item;
  }
  template <typename SameKey>
  std::uint32_t find(std::uint64_t hash, SameKey same) const {
    return slots_[locate(hash, same)];
  }
  std::size_t bytes() const { return slots_.capacity() * sizeof(std::uint32_t); }

 private:
  template <typename SameKey>
  std::size_t locate(std::uint64_t hash, SameKey same) const {
    const auto mask = slots_.size() - 1;
    auto slot = static_cast<std::size_t>(hash) & mask;
    while (slots_[slot] != no_id && !same(slots_[slot])) slot = (slot + 1) & mask;
    return slot;
  }
  std::vector<std::uint32_t> slots_;
};

/// One part of a path: "bit[3]" or "keep".
struct Part {
  Symbol name = no_symbol;
  std::uint32_t bit = no_id;
};

/// Nothing when the text is no name or no name of this circuit.
std::optional<Part> read_part(std::string_view text, const SymbolTable& symbols) {
  Part part;
  if (!text.empty() && text.back() == ']') {
    const auto open = text.find('[');
    if (open == std::string_view::npos) return {};
    const auto digits = text.substr(open + 1, text.size() - open - 2);
    const auto* end = digits.data() + digits.size();
    const auto [stop, error] = std::from_chars(digits.data(), end, part.bit);
    if (error != std::errc{} || stop != end || part.bit == no_id) return {};
    text = text.substr(0, open);
  }
  part.name = symbols.find(text);
  if (part.name == no_symbol) return {};
  return part;
}

/// All nets and instances.
struct AllNames {
  explicit AllNames(const Names& names)
      : instances(names.instances.size()), nets(names.nets.size()), buses(names.buses.size()) {
    for (std::uint32_t i = 1; i < names.instances.size(); ++i) {
      const auto& added = names.instances[i];
      instances.add(mixed(added.parent, added.name, added.bit), i, [](std::uint32_t) { return false; });
    }
    for (std::uint32_t i = 0; i < names.nets.size(); ++i) {
      const auto& added = names.nets[i];
      if (added.name == no_symbol) continue;
      nets.add(mixed(added.instance, added.name, added.bit), i, [](std::uint32_t) { return false; });
    }
    for (std::uint32_t i = 0; i < names.buses.size(); ++i) {
      buses.add(mixed(names.buses[i].cell, names.buses[i].name, 0), i, [](std::uint32_t) { return false; });
    }
  }

  std::uint32_t find_net(const Names& names, std::uint32_t instance, const Part& part) const {
    return nets.find(mixed(instance, part.name, part.bit), [&](std::uint32_t i) {
      const auto& other = names.nets[i];
      return other.instance == instance && other.name == part.name && other.bit == part.bit;
    });
  }
  std::uint32_t find_instance(const Names& names, std::uint32_t parent, const Part& part) const {
    return instances.find(mixed(parent, part.name, part.bit), [&](std::uint32_t i) {
      const auto& other = names.instances[i];
      return other.parent == parent && other.name == part.name && other.bit == part.bit;
    });
  }
  std::uint32_t find_bus(const Names& names, Symbol cell, Symbol name) const {
    return buses.find(mixed(cell, name, 0), [&](std::uint32_t i) {
      return names.buses[i].cell == cell && names.buses[i].name == name;
    });
  }

  Table instances, nets, buses;

  /// Walks a path down to the instance that holds its last part.
  struct Target {
    std::uint32_t instance = 0;
    Part part;
  };
  std::optional<Target> walk(const Names& names, std::string_view path) const {
    Target target;
    while (true) {
      const auto dot = path.find('.');
      const auto part = read_part(path.substr(0, dot), *names.symbols);
      if (!part) return {};
      if (dot == std::string_view::npos) {
        target.part = *part;
        return target;
      }
      target.instance = find_instance(names, target.instance, *part);
      if (target.instance == no_id) return {};
      path.remove_prefix(dot + 1);
    }
  }
};

}  // namespace

struct Circuit::NameIndex {
  struct Pin {
    std::uint32_t msb = 0, lsb = 0, width = 1;
    bool is_bus = false;
    std::vector<NetId> nets;  // msb first
  };

  explicit NameIndex(const Circuit& circuit) {
    for (const auto& port : circuit.input_ports_) {
      auto& pin = add(port);
      for (std::uint32_t bit = 0; bit < port.width; ++bit) pin.nets.push_back(port.first + bit);
    }
    for (const auto& port : circuit.output_ports_) {
      const auto first = circuit.outputs_.begin() + port.first;
      add(port).nets.assign(first, first + port.width);
    }
  }

  /// The pin with this name, without bits, or nullptr.
  const Pin* pin(std::string_view name) const {
    const auto entry = pins_.find(std::string(name));
    return entry == pins_.end() ? nullptr : &entry->second;
  }

  const AllNames& all(const Names& names) const {
    // Copies of a circuit share the index, and each may be another thread's.
    std::call_once(once_, [&] { all_ = std::make_unique<const AllNames>(names); });
    return *all_;
  }

 private:
  Pin& add(const Port& port) {
    auto& pin = pins_[port.name];
    pin = {port.msb, port.lsb, port.width, port.is_bus, {}};
    return pin;
  }

  std::unordered_map<std::string, Pin> pins_;
  mutable std::once_flag once_;
  mutable std::unique_ptr<const AllNames> all_;
};

std::string Names::join(const NameRef& ref) const {
  std::vector<std::uint32_t> path;
  for (auto i = ref.instance; i != 0; i = instances[i].parent) path.push_back(i);
  std::string out;
  for (auto step = path.rbegin(); step != path.rend(); ++step) {
    append_part(out, *symbols, instances[*step].name, instances[*step].bit);
    out += '.';
  }
  if (ref.name != no_symbol) append_part(out, *symbols, ref.name, ref.bit);
  return out;
}

std::string Circuit::gate_name(GateId gate) const { return names_.join(names_.gates[gate]); }

std::string Circuit::net_name(NetId net) const {
  if (is_constant(net)) return net == const_zero() ? "0" : "1";
  const auto& ref = names_.nets[net];
  // `out` is a keyword, so no pin has this name.
  if (ref.name == no_symbol) return gate_name(gate_of(net)) + ".out";
  return names_.join(ref);
}

std::string Circuit::output_bit_name(std::uint32_t bit) const {
  for (const auto& port : output_ports_) {
    if (bit < port.first || bit >= port.first + port.width) continue;
    if (!port.is_bus) return port.name;
    const auto step = bit - port.first;
    return fmt::format("{}[{}]", port.name, port.msb >= port.lsb ? port.msb - step : port.msb + step);
  }
  return {};
}

std::optional<NetId> Circuit::find_net(std::string_view name) const {
  if (!name_index_) name_index_ = std::make_shared<const NameIndex>(*this);
  if (name.find('.') == std::string_view::npos) {
    const auto part = read_part(name, *names_.symbols);
    if (!part) return {};
    if (const auto* pin = name_index_->pin(name.substr(0, name.find('['))); pin != nullptr) {
      if (pin->is_bus != (part->bit != no_id)) return {};
      const auto step = !pin->is_bus ? 0 : pin->msb >= pin->lsb ? pin->msb - part->bit : part->bit - pin->msb;
      if (step >= pin->width) return {};
      if (!is_constant(pin->nets[step])) return pin->nets[step];
    }
  }
  const auto& all = name_index_->all(names_);
  const auto target = all.walk(names_, name);
  if (!target) return {};
  const auto net = all.find_net(names_, target->instance, target->part);
  if (net == no_id) return {};
  return net;
}

std::vector<NetId> Circuit::find_bus(std::string_view name) const {
  if (const auto net = find_net(name)) return {*net};
  std::vector<NetId> bits;
  if (const auto* pin = name_index_->pin(name); pin != nullptr && pin->is_bus) {
    for (const NetId net : pin->nets) {
      if (!is_constant(net)) bits.push_back(net);
    }
    return bits;
  }
  const auto& all = name_index_->all(names_);
  const auto target = all.walk(names_, name);
  if (!target || target->part.bit != no_id) return bits;
  const auto cell = names_.instances[target->instance].cell;
  const auto index = all.find_bus(names_, cell, target->part.name);
  if (index == no_id) return bits;
  const auto& bus = names_.buses[index];
  const bool descends = bus.msb >= bus.lsb;
  const auto width = (descends ? bus.msb - bus.lsb : bus.lsb - bus.msb) + 1;
  for (std::uint32_t i = 0; i < width; ++i) {
    const Part part{target->part.name, descends ? bus.msb - i : bus.msb + i};
    const auto net = all.find_net(names_, target->instance, part);
    if (net != no_id) bits.push_back(net);
  }
  return bits;
}

}  // namespace settle
