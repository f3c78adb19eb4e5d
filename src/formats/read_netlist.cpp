// Which reader for which text.
#include <array>
#include <filesystem>

#include <fmt/format.h>

#include "formats/foreign_names.h"
#include "formats/readers.h"

namespace settle {
namespace {

constexpr std::array<std::string_view, 4> format_names = {"gates", "ieee1364", "iscas", "json"};
constexpr std::array<std::string_view, 3> form_names = {"six-nand", "master-slave", "pins"};

}  // namespace

std::string_view name_of(NetlistFormat format) { return format_names[static_cast<std::size_t>(format)]; }
std::string_view name_of(FlipFlopForm form) { return form_names[static_cast<std::size_t>(form)]; }

std::optional<NetlistFormat> netlist_format_from(std::string_view name) {
  for (std::size_t i = 0; i < format_names.size(); ++i) {
    if (format_names[i] == name) return static_cast<NetlistFormat>(i);
  }
  return {};
}

std::optional<FlipFlopForm> flip_flop_form_from(std::string_view name) {
  for (std::size_t i = 0; i < form_names.size(); ++i) {
    if (form_names[i] == name) return static_cast<FlipFlopForm>(i);
  }
  return {};
}

NetlistFormat netlist_format_of_path(std::string_view path) {
  if (path.ends_with(".v")) return NetlistFormat::ieee1364;
  if (path.ends_with(".bench")) return NetlistFormat::iscas;
  if (path.ends_with(".json")) return NetlistFormat::json;
  return NetlistFormat::gates;
}

Netlist read_netlist(const std::string& path, FileReader& files, Sources& sources, Diagnostics& diagnostics,
                     const ReadOptions& options) {
  const NetlistFormat format = options.format.value_or(netlist_format_of_path(path));
  if (format == NetlistFormat::gates) {
    if (path.ends_with(".stim")) {
      diagnostics.error({}, fmt::format("'{}' is a stimulus by its name, and a netlist is needed here", path),
                        fmt::format("name the netlist first: settle run NETLIST {}", path));
      return {};
    }
    const auto errors_before = diagnostics.error_count();
    Netlist netlist = parse_netlist(path, files, sources, diagnostics, options.limits);
    if (options.place_chips && !netlist.chips.empty() && diagnostics.error_count() == errors_before) {
      options.place_chips(netlist, sources, diagnostics);
    }
    return netlist;
  }
  std::string text, reason;
  if (!files.read(path, text, reason)) {
    diagnostics.error({}, fmt::format("cannot read {}: {}", path == "-" ? "the standard input" : "'" + path + "'", reason));
    return {};
  }
  if (text.size() > 0xfffffff0u) {
    diagnostics.error({}, fmt::format("'{}' is too much: a netlist must stay below 4 GiB of text", path));
    return {};
  }
  const std::uint32_t file = sources.add(path, std::move(text));
  if (format == NetlistFormat::iscas) {
    const std::string stem = path == "-" ? "circuit" : std::filesystem::path(path).stem().string();
    return read_iscas(file, own_form_of(stem.empty() ? "circuit" : stem), options.flip_flops, sources, diagnostics);
  }
  const auto errors_before = diagnostics.error_count();
  Netlist netlist = format == NetlistFormat::json ? read_netlist_json(file, sources, diagnostics, options.limits)
                                                  : read_ieee1364(file, sources, diagnostics, options.limits);
  if (netlist.cells.empty() && diagnostics.error_count() == errors_before) {
    // Told here, where the words of the format are known.
    if (format == NetlistFormat::json) {
      diagnostics.error({file, 0}, "there is no cell in this document", "\"cells\" holds an object for each cell");
    } else {
      diagnostics.error({file, 0}, "there is no module in this file",
                        "a module starts with 'module NAME' and ends with 'endmodule'");
    }
  }
  return netlist;
}

std::optional<Circuit> load_any_circuit(const std::string& path, FileReader& files, const ReadOptions& read,
                                        const ElaborateOptions& elaborate, Sources& sources,
                                        Diagnostics& diagnostics, Netlist* tree) {
  const auto errors_before = diagnostics.error_count();
  const auto file = sources.count();
  ReadOptions options = read;
  options.limits = elaborate.parse;
  if (options.limits.stop == nullptr) options.limits.stop = elaborate.stop;
  if (options.limits.progress == nullptr) options.limits.progress = elaborate.progress;
  Netlist netlist = read_netlist(path, files, sources, diagnostics, options);
  const bool is_good = diagnostics.error_count() == errors_before;
  ElaborateOptions build = elaborate;
  build.own_language = read.format.value_or(netlist_format_of_path(path)) == NetlistFormat::gates;
  if (tree == nullptr) return build_circuit(std::move(netlist), {file, 0}, is_good, build, sources, diagnostics);
  auto circuit = build_circuit(netlist, {file, 0}, is_good, build, sources, diagnostics);
  *tree = std::move(netlist);
  return circuit;
}

}  // namespace settle
