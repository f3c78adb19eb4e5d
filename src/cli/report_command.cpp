// settle report: a page to hand out.
#include <algorithm>
#include <filesystem>
#include <memory>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/progress_line.h"
#include "cli/set_option.h"
#include "settle/page.h"

namespace settle::cli {
namespace {

struct ReportCommand {
  CommonOptions common;
  std::string stimulus;
  bool no_stimulus = false;
  std::string title, set;
  std::string symbols = "shapes";
  std::vector<std::string> sections, without;
  SpaceLimits limits = SpaceLimits::of(TableOptions());
  const CLI::App* app = nullptr;
  bool is_given(const char* option) const { return app->get_option(option)->count() > 0; }
  std::uint64_t limit_rows = TableOptions().row_limit;
  Time limit_time = RunOptions().time_limit;
  std::uint64_t limit_changes = RunOptions().change_limit;
  std::uint64_t limit_events = RunOptions().event_limit;
  std::size_t limit_parts = PageOptions().part_limit;
};

constexpr const char* report_example = R"(
Example: a page about the lever latch, with the waveforms of lever_latch.stim, which lies beside it

  settle report examples/lever_latch.gates -o lever_latch.html

Only what one needs for building, with chips and delays of the LS family, as Markdown:

  settle report examples/lever_latch.gates --sections schematic,timing,wiring --family LS --format markdown -o latch.md

Exit status: 0 the page is written; 2 the call or an input file is wrong; 3 a limit stopped some work, which the page
says where it did.)";

/// The stimulus of the page, or why there is none.
struct ChosenStimulus {
  std::optional<Stimulus> stimulus;
  std::string path;
  std::string why_not;
};

/// The file of the call, or NAME.stim beside NAME.gates. False after an error, which is told; what lies
/// beside the netlist without being asked for makes no errors.
bool choose_stimulus(const ReportCommand& command, Sources& sources, ChosenStimulus& chosen) {
  const bool is_asked = !command.stimulus.empty();
  if (is_asked) {
    chosen.path = command.stimulus;
  } else if (command.no_stimulus || command.common.netlist == "-") {
    chosen.why_not = "No stimulus was given, so nothing was run.";
    return true;
  } else {
    const std::filesystem::path beside =
        std::filesystem::path(command.common.netlist).replace_extension(".stim");
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(beside, ignored)) {
      chosen.why_not = fmt::format("No stimulus was given, and there is no {} beside the netlist.",
                                   beside.filename().string());
      return true;
    }
    chosen.path = beside.string();
  }
  const EndsAtOnce guard("while the stimulus was read");
  DiskReader files(command.common.limit_file << 20);
  Diagnostics diagnostics(command.common.limit_errors);
  Stimulus read = parse_stimulus(chosen.path, files, sources, diagnostics);
  if (is_asked) print_diagnostics(diagnostics, sources, command.common.quiet);
  if (diagnostics.has_errors() && is_asked) return false;
  if (diagnostics.has_errors()) {
    chosen.why_not = fmt::format("{} has errors: {}.", chosen.path, diagnostics.all().front().text);
  } else if (!is_asked && !command.common.cell.empty() && !read.cell.empty() &&
             read.cell != command.common.cell) {
    chosen.why_not = fmt::format("No stimulus was given; {} is for the cell {}.", chosen.path, read.cell);
  } else {
    chosen.stimulus = std::move(read);
  }
  return true;
}

std::optional<PageSections> chosen_sections(const ReportCommand& command) {
  PageSections sections;
  if (command.sections.empty()) sections.set();
  const auto change = [&](const std::vector<std::string>& words, bool value) {
    for (const std::string& word : words) {
      const auto* at = std::find(page_section_names.begin(), page_section_names.end(), word);
      if (at == page_section_names.end()) {
        print_message(fmt::format("settle: error: a page has no section '{}'\n  hint: the sections are {}\n",
                                  word, fmt::join(page_section_names, ", ")));
        return false;
      }
      sections.set(static_cast<std::size_t>(at - page_section_names.begin()), value);
    }
    return true;
  };
  if (!change(command.sections, true) || !change(command.without, false)) return std::nullopt;
  if (sections.none()) {
    print_message("settle: error: no section is left for the page\n");
    return std::nullopt;
  }
  return sections;
}

/// Each analysis has its own defaults, as in its command; a limit of the call is for all of them.
PageOptions page_options(const ReportCommand& command, Progress* progress) {
  PageOptions page;
  const auto set = [&](const char* option, auto value, auto&... limits) {
    if (command.is_given(option)) ((limits = value), ...);
  };
  ExplainOptions& explain = page.explain;
  StateSpaceOptions& board = page.wiring.compare.space;
  set("--limit-stable", command.limits.stable, explain.stable_limit, page.table.stable_limit,
      page.space.stable_limit, page.timing.stable_limit, board.stable_limit);
  set("--limit-steps", command.limits.steps, explain.transition_limit, page.table.transition_limit,
      page.space.transition_limit, page.timing.run_limit, board.transition_limit);
  set("--limit-inputs", command.limits.inputs, explain.input_limit, page.table.input_limit,
      page.space.input_limit, page.timing.input_limit, board.input_limit);
  const auto study = [&](auto& options) {
    set("--limit-states", command.common.limit_states, options.any_delay.states);
    options.any_delay.memory_bytes = command.common.limit_memory << 20;
    options.stop = &stop_flag();
    options.progress = progress;
  };
  study(page.explain);
  study(page.table);
  study(page.space);
  study(page.timing);
  study(page.run);
  study(board);
  for (unsigned* jobs : {&explain.jobs, &page.table.jobs, &page.space.jobs, &page.timing.jobs, &board.jobs})
    *jobs = threads(command.common);
  page.wiring.compare.stop = &stop_flag();
  page.lint.stop = &stop_flag();
  page.table.row_limit = command.limit_rows;
  page.run.time_limit = command.limit_time;
  page.run.change_limit = command.limit_changes;
  page.run.event_limit = command.limit_events;
  page.part_limit = command.limit_parts;
  page.title = command.title;
  page.markdown = command.common.format == "markdown";
  page.rectangular = command.symbols == "rectangles";
  page.timing.delays = page.run.kernel.delays = delay_choice(command.common);
  if (!command.common.family.empty()) page.wiring.family = command.common.family;
  return page;
}

/// The circuit without the delays of a family, and with them where some are asked for.
struct LoadedPair {
  std::optional<Circuit> circuit, delayed;
  Netlist tree;
  std::vector<Diagnostic> warnings;
};

bool load_both(const CommonOptions& common, TimeUnit stimulus_unit, Sources& sources, LoadedPair& loaded,
               int& status) {
  CommonOptions plain = common;
  plain.family.clear();
  plain.families.clear();
  plain.delays_option = nullptr;
  loaded.circuit = load(plain, sources, status, stimulus_unit, &loaded.tree, &loaded.warnings);
  if (!loaded.circuit) return false;
  const bool asked = common.delays_option != nullptr && common.delays_option->count() > 0;
  if (common.family.empty() && common.families.empty() && !asked) return true;
  std::vector<Diagnostic> again;
  loaded.delayed = load(common, sources, status, stimulus_unit, nullptr, &again);
  return loaded.delayed.has_value();
}

int report_it(ReportCommand& command) {
  const auto sections = chosen_sections(command);
  if (!sections) return exit_bad_input;
  Sources sources;
  ChosenStimulus chosen;
  if (!choose_stimulus(command, sources, chosen)) return exit_bad_input;
  if (command.common.cell.empty() && chosen.stimulus) command.common.cell = chosen.stimulus->cell;
  int status = exit_bad_input;
  LoadedPair loaded;
  const TimeUnit unit = chosen.stimulus ? chosen.stimulus->finest_unit : TimeUnit::none;
  if (!load_both(command.common, unit, sources, loaded, status)) return status;
  const auto catalogue = read_catalogue(command.common, sources, status);
  if (!catalogue) return status;
  std::vector<Value> held;
  if (!held_inputs(command.set, *loaded.circuit, held)) return exit_bad_input;

  const std::filesystem::path output(command.common.output);
  const Page page = [&] {
    ProgressLine line(command.common.progress, command.common.quiet);
    PageOptions options = page_options(command, line.progress());
    options.sections = *sections;
    options.table.held = held;
    options.space.held = held;
    if (!command.common.output.empty()) options.pictures = output.stem().string() + "-";
    const PageSubject subject{
        .circuit = *loaded.circuit,
        .delayed = loaded.delayed ? &*loaded.delayed : nullptr,
        .tree = loaded.tree,
        .sources = sources,
        .messages = loaded.warnings,
        .catalogue = *catalogue,
        .path = command.common.netlist == "-" ? "the standard input" : command.common.netlist,
        .stimulus = chosen.stimulus ? &*chosen.stimulus : nullptr,
        .stimulus_path = chosen.path,
        .no_stimulus = chosen.why_not};
    return make_page(subject, options);
  }();
  for (const PageFile& picture : page.pictures) {
    if (!write_output((output.parent_path() / picture.path).string(), picture.text)) return exit_bad_input;
  }
  if (!write_output(command.common.output, page.text)) return exit_bad_input;
  return page.complete ? exit_good : exit_incomplete;
}

}  // namespace

void add_report_command(CLI::App& program, int& status) {
  auto command = std::make_shared<ReportCommand>();
  command->common.format = "html";
  CLI::App& app =
      *program.add_subcommand("report", "Write a page about a circuit: words, pictures, tables, wiring");
  command->app = &app;
  app.footer(report_example);
  add_input_options(app, command->common, "html|markdown");
  CLI::Option* stimulus =
      app.add_option("--stimulus", command->stimulus,
                     "Stimulus file (.stim) to run; default: NAME.stim beside NAME.gates, if there is one");
  app.add_flag("--no-stimulus", command->no_stimulus, "Run none")->excludes(stimulus);
  app.add_option("--title", command->title, "Heading of the page; default: the name of the cell");
  const std::string names = fmt::format("{}", fmt::join(page_section_names, ","));
  app.add_option("--sections", command->sections, "Only these sections, of " + names)
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_option("--without", command->without, "All but these sections")
      ->delimiter(',')
      ->allow_extra_args(false);
  app.add_option("--set", command->set,
                 "Table and states: inputs to hold, as in a=1,b=0; they get no column");
  app.add_option("--symbols", command->symbols, "Gates as shapes (IEEE Std 91) or rectangles (IEC 60617-12)")
      ->check(CLI::IsMember({"shapes", "rectangles"}))
      ->capture_default_str();
  add_delay_options(app, command->common, "min|typical|max|unit");
  add_jobs_option(app, command->common);
  add_space_limits(app, command->limits);
  add_limit(app, LimitKind::rows, command->limit_rows);
  add_limit(app, LimitKind::time, command->limit_time);
  add_limit(app, LimitKind::changes, command->limit_changes);
  add_limit(app, LimitKind::events, command->limit_events);
  app.add_option("--limit-parts", command->limit_parts, "Gates and cells that the schematic may have")
      ->check(CLI::Range(std::size_t{1}, std::size_t{20000}))
      ->capture_default_str()
      ->group("Limits");
  add_analysis_limits(app, command->common);
  app.callback([command, &status] { status = report_it(*command); });
}

}  // namespace settle::cli
