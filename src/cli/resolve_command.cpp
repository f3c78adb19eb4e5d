// settle resolve: how often a flip-flop that samples an unrelated signal has not decided in time.
#include <memory>

#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/output.h"
#include "settle/resolve_report.h"

namespace settle::cli {
namespace {

struct ResolveCommand {
  std::string part, tau, window, clock, data, time, wanted;
  std::string format = "text";
  std::string output;
};

constexpr const char* resolve_example = R"(
An estimate and no simulation: MTBF = exp(t / tau) / (T0 * clock * data). Use figures of the very part,
from its maker or from measurements; those of --part are from one published table. Makers count the time t
from the clock edge or from the end of the usual delay: use it as the source of tau and T0 does. For a
chain of two flip-flops t is the clock period less the setup time of the second. The result is never zero.

Example: a 74LS74 samples a track sensor, and has 80 ns before its output is used.

  settle resolve --part 74LS74 --clock 10MHz --data 100kHz --time 80ns

Exit status: 0 nothing wrong; 2 the call is wrong.)";

int wrong(const std::string& text, const std::string& hint) {
  print_message(fmt::format("settle: error: {}\n  hint: {}\n", text, hint));
  return exit_bad_input;
}

int run_it(const ResolveCommand& command) {
  ResolveEstimate estimate;
  ResolveInput& in = estimate.input;
  if (!command.part.empty()) {
    const ResolvingPart* part = find_resolving_part(command.part);
    if (part == nullptr) {
      std::string names;
      for (const auto& known : resolving_parts())
        names += (names.empty() ? "" : ", ") + std::string(known.name);
      return wrong(fmt::format("no published figures for part '{}'", command.part),
                   "there are some for " + names + "; else give --tau and --t0");
    }
    estimate.part = part->name;
    in.tau = part->tau;
    in.window = part->window;
  }
  struct Wanted {
    const std::string& text;
    double* value;
    std::string_view option;
    bool is_rate;
  };
  double time = 0, wanted = 0;
  for (const Wanted& w : {Wanted{command.tau, &in.tau, "--tau", false},
                          {command.window, &in.window, "--t0", false},
                          {command.clock, &in.clock, "--clock", true},
                          {command.data, &in.data, "--data", true},
                          {command.time, &time, "--time", false},
                          {command.wanted, &wanted, "--mtbf", false}}) {
    if (w.text.empty()) continue;
    const auto value = w.is_rate ? hertz_from(w.text) : seconds_from(w.text);
    if (!value) {
      return wrong(
          fmt::format("{}: '{}' is no {} above 0", w.option, w.text, w.is_rate ? "frequency" : "time"),
          w.is_rate ? "a number with Hz, kHz, MHz or GHz, as in 10MHz"
                    : "a number with a unit, as in 1.5ns, 0.4s or 1000years");
    }
    *w.value = *value;
  }
  if (in.tau == 0 || in.window == 0)
    return wrong("tau and T0 are needed", "name a --part of the table, or give --tau and --t0");
  if (time != 0) estimate.time = time;
  if (wanted != 0) estimate.wanted = wanted;
  if (!estimate.time && !estimate.wanted)
    return wrong("nothing is asked", "give the --time that is left, or the --mtbf that is wanted");
  const std::string text = command.format == "json" ? resolve_json(estimate) : resolve_text(estimate);
  return write_output(command.output, text) ? exit_good : exit_bad_input;
}

}  // namespace

void add_resolve_command(CLI::App& program, int& status) {
  auto command = std::make_shared<ResolveCommand>();
  CLI::App& app =
      *program.add_subcommand("resolve", "Estimate how often a synchroniser is not decided in time");
  app.footer(resolve_example);
  auto* part = app.add_option("--part", command->part,
                              "Take tau and T0 from the published table, as in 74LS74 or 74HCxx");
  app.add_option("--tau", command->tau, "Time constant with which the flip-flop decides")->excludes(part);
  app.add_option("--t0", command->window, "Width of the window that catches it, T0")->excludes(part);
  app.add_option("--clock", command->clock, "Rate of the sampling clock, as in 10MHz")->required();
  app.add_option("--data", command->data, "Rate at which the sampled signal changes, as in 100kHz")
      ->required();
  app.add_option("--time", command->time, "Time left to decide: say how often it is not enough");
  app.add_option("--mtbf", command->wanted,
                 "Mean time between failures that is wanted: say how long it takes");
  app.add_option("--format", command->format, "Form of the result: text|json")
      ->check(CLI::IsMember({"text", "json"}))
      ->capture_default_str();
  app.add_option("-o,--output", command->output, "Write the result to this file, whole or not at all");
  app.callback([command, &status] { status = run_it(*command); });
}

}  // namespace settle::cli
