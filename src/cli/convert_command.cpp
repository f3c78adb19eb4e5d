// settle convert: a netlist in another form.
#include <memory>

#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "settle/formats.h"

namespace settle::cli {
namespace {

struct ConvertCommand {
  CommonOptions common;
  std::string to;
  bool flat = false;
};

constexpr const char* convert_example = R"(
Example: the lever latch as structural text of IEEE 1364, and a published circuit as a netlist of ours

  settle convert examples/lever_latch.gates -o lever_latch.v
  settle convert c432.bench --to gates -o c432.gates

Exit status: 0 written; 2 the call or the netlist is wrong.)";

std::string text_of(const Netlist& netlist, NetlistFormat format) {
  switch (format) {
    case NetlistFormat::ieee1364: return write_ieee1364(netlist);
    case NetlistFormat::json: return write_netlist_json(netlist);
    case NetlistFormat::gates: case NetlistFormat::iscas: break;
  }
  return write_gates(netlist);
}

int convert(const ConvertCommand& command) {
  const auto to = command.to.empty() ? netlist_format_of_path(command.common.output) : netlist_format_from(command.to);
  if (!to || *to == NetlistFormat::iscas) {
    print_message("settle: error: this form is read, not written\n  hint: --to gates, ieee1364 or json\n");
    return exit_bad_input;
  }
  Sources sources;
  Netlist netlist;
  int status = exit_bad_input;
  const auto circuit = load(command.common, sources, status, TimeUnit::none, &netlist);
  if (!circuit) return status;
  const std::string text = [&] {
    const EndsAtOnce guard("while the netlist was converted");
    return text_of(command.flat ? flatten(*circuit) : with_cells_of(netlist, netlist.symbols->find(circuit->cell_name())), *to);
  }();
  return write_output(command.common.output, text) ? exit_good : exit_bad_input;
}

}  // namespace

void add_convert_command(CLI::App& program, int& status) {
  auto command = std::make_shared<ConvertCommand>();
  CLI::App& app = *program.add_subcommand("convert", "Write a netlist in another form: gates, IEEE 1364, JSON");
  app.footer(convert_example);
  add_netlist_options(app, command->common);
  app.add_option("--to", command->to, "Form to write: gates|ieee1364|json; default: by the name after -o, else gates")
      ->check(CLI::IsMember({"gates", "ieee1364", "json"}));
  app.add_flag("--flat", command->flat, "Write one cell of gates only, without instances");
  app.add_option("-o,--output", command->common.output, "Write the result to this file, whole or not at all");
  app.add_flag("--quiet", command->common.quiet, "Print only what is wrong");
  app.callback([command, &status] { status = convert(*command); });
}

}  // namespace settle::cli
