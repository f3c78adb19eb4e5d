#include "draw/sheet.h"

namespace settle::draw {
namespace {

class FlatSheet {
 public:
  explicit FlatSheet(const Circuit& circuit) : circuit_(circuit), index_of_(circuit.net_count(), net_open) {}

  Sheet make() {
    sheet_.name = circuit_.cell_name();
    for (NetId net = 0; net < circuit_.input_count(); ++net) {
      SheetPart& part = add(SheetPart::Form::input, circuit_.net_name(net));
      part.outputs.push_back(pin(net));
    }
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      SheetPart& part = add(SheetPart::Form::gate, circuit_.gate_name(gate));
      part.kind = circuit_.kind(gate);
      for (const NetId net : circuit_.fan_in(gate)) part.inputs.push_back(pin(net));
      part.outputs.push_back(pin(circuit_.visible_net(gate)));
    }
    for (std::uint32_t bit = 0; bit < circuit_.outputs().size(); ++bit) {
      SheetPart& part = add(SheetPart::Form::output, circuit_.output_bit_name(bit));
      part.inputs.push_back(pin(circuit_.outputs()[bit]));
    }
    return std::move(sheet_);
  }

 private:
  SheetPart& add(SheetPart::Form form, std::string name) {
    SheetPart& part = sheet_.parts.emplace_back();
    part.form = form;
    part.name = std::move(name);
    return part;
  }

  SheetPin pin(NetId net) {
    SheetPin result;
    if (circuit_.is_undriven(net)) return result;
    if (circuit_.is_constant(net)) {
      result.net = net == circuit_.const_one() ? net_one : net_zero;
      return result;
    }
    if (index_of_[net] == net_open) {
      index_of_[net] = static_cast<NetIndex>(sheet_.nets.size());
      SheetNet& added = sheet_.nets.emplace_back();
      added.name = circuit_.net_name(net);
      added.bits = {net};
    }
    result.net = index_of_[net];
    return result;
  }

  const Circuit& circuit_;
  std::vector<NetIndex> index_of_;
  Sheet sheet_;
};

}  // namespace

Sheet flat_sheet(const Circuit& circuit) { return FlatSheet(circuit).make(); }

}  // namespace settle::draw
