// A netlist is read once. A circuit is made once for each cell that a stimulus runs (and each finest
// unit of time, which decides the length of a tick), and for each cell that no other one uses; the
// messages of all are merged, equal ones told once. Findings in an included file are told in the row of
// that file when it has one.
#include "check/netlist_check.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "check/stored_waveform.h"
#include "settle/lint.h"
#include "settle/sweep.h"

namespace settle {
namespace {

using Aspect = CheckItem::Aspect;

constexpr std::size_t most_differences = 8;  // of a waveform
constexpr std::size_t most_names = 8;

// A message without a place in a text.
std::string headed(std::string_view where, Severity severity, std::string_view text, std::string_view hint) {
  std::string line = fmt::format("{}: {}: {}\n", where, name_of(severity), text);
  if (!hint.empty()) line += fmt::format("  hint: {}\n", hint);
  return line;
}

void make_worse(CheckedFile& row, CheckVerdict verdict) { row.verdict = std::max(row.verdict, verdict); }

void make_incomplete(CheckedFile& row, std::string_view reason) {
  make_worse(row, CheckVerdict::incomplete);
  if (row.incomplete_reason.empty()) row.incomplete_reason = reason;
}

}  // namespace

void NetlistCheck::load(const std::vector<ReadStimulus*>& stimuli) {
  Diagnostics diagnostics(options_.error_limit);
  const std::uint32_t first = sources_.count();
  ReadOptions read_as;
  read_as.flip_flops = options_.flip_flops;
  read_as.place_chips = options_.place_chips;
  read_as.limits = options_.elaborate.parse;
  netlist_ = read_netlist(path_, files_, sources_, diagnostics, read_as);
  if (sources_.count() > first) main_file_ = first;
  if (diagnostics.has_errors()) {
    report_misspelt_kinds(netlist_, diagnostics);
  } else if (netlist_.cells.empty()) {
    diagnostics.error({first, 0}, "there is no cell in this file",
                      "a cell starts with 'cell NAME' and ends with 'end'");
  }
  requirements_ = parse_requirements(netlist_, sources_, diagnostics);
  merge(diagnostics);
  usable_ = !diagnostics.has_errors();
  // The texts of the stimuli join the others, so that every message finds its place.
  for (ReadStimulus* read : stimuli) {
    if (read->stimulus.file == Place::none) continue;
    const std::uint32_t file = sources_.add(read->sources.path(0), std::string(read->sources.text(0)));
    Diagnostics moved;
    for (Diagnostic message : read->diagnostics.all()) {
      if (message.place.exists()) message.place.file = file;
      if (message.severity == Severity::error) moved.error(message.place, message.text, message.hint);
      if (message.severity == Severity::warning)
        moved.warning(message.place, message.kind, message.text, message.hint);
      if (message.severity == Severity::note)
        moved.note(message.place, message.kind, message.text, message.hint);
    }
    read->diagnostics = std::move(moved);
    read->stimulus.file = file;
    read->sources = Sources();
  }
  if (!usable_) return;
  find_tops();
  for (const ReadStimulus* read : stimuli) {
    const std::string& cell = read->stimulus.cell;
    if (cell.empty() && all_tops_.size() == 1)
      built(std::string(cell_text(all_tops_[0])), read->stimulus.finest_unit, takes_source(read->stimulus));
    if (!cell.empty() && netlist_.symbols->find(cell) != no_symbol &&
        netlist_.find_cell(netlist_.symbols->find(cell)) >= 0) {
      built(cell, read->stimulus.finest_unit, takes_source(read->stimulus));
    }
  }
  for (const auto& made : built_) {
    run_cells_.push_back(static_cast<std::uint32_t>(netlist_.find_cell(netlist_.symbols->find(made->cell))));
  }
  // Cells of included files that nothing here uses are the business of those files.
  bool any = false;
  for (const std::uint32_t top : all_tops_) {
    if (netlist_.cells[top].place.file != main_file_) continue;
    any = true;
    const std::string cell(cell_text(top));
    const bool is_made =
        std::any_of(built_.begin(), built_.end(), [&](const auto& b) { return b->cell == cell; });
    if (!is_made) built(cell, TimeUnit::none);
  }
  if (!any && all_tops_.empty()) built(std::string(cell_text(0)), TimeUnit::none);  // they use each other
  lint();
}

void NetlistCheck::lint() {
  LintOptions options;
  options.fan_out = options_.fan_out;
  options.stop = options_.stop;
  Diagnostics diagnostics;
  std::vector<std::uint32_t> tops;
  for (const std::uint32_t top : all_tops_) {
    if (netlist_.cells[top].place.file == main_file_) tops.push_back(top);
  }
  lint_names(netlist_, tops, options, diagnostics);
  if (!run_cells_.empty()) lint_unused_cells(netlist_, main_file_, run_cells_, options, diagnostics);
  std::set<std::string> seen;  // a circuit with other ticks is the same circuit
  for (const auto& made : built_) {
    if (!made->circuit || !seen.insert(made->cell).second) continue;
    lint_circuit(netlist_, *made->circuit, options, diagnostics);
    lint_drivers(*made->circuit, options, diagnostics);
  }
  merge(diagnostics);
}

void NetlistCheck::merge(const Diagnostics& diagnostics) {
  only_limits_ = only_limits_ || diagnostics.only_limits();
  std::set<std::tuple<std::uint32_t, std::uint32_t, std::string>> known;
  for (const Diagnostic& message : messages_) {
    known.emplace(message.place.file, message.place.offset, message.text);
  }
  for (const Diagnostic& message : diagnostics.all()) {
    if (known.emplace(message.place.file, message.place.offset, message.text).second) {
      messages_.push_back(message);
    }
  }
}

void NetlistCheck::find_tops() {
  std::set<Symbol> used;
  for (const CellSyntax& cell : netlist_.cells) {
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = netlist_.statements[cell.first_statement + s];
      if (statement.builtin < 0 && statement.kind != cell.name) used.insert(statement.kind);
    }
  }
  for (std::uint32_t cell = 0; cell < netlist_.cells.size(); ++cell) {
    if (!used.contains(netlist_.cells[cell].name)) all_tops_.push_back(cell);
  }
}

bool NetlistCheck::takes_source(const Stimulus& stimulus) const {
  return options_.elaborate.delay_source != nullptr && !bare_time_in(stimulus);
}

NetlistCheck::Built& NetlistCheck::built(const std::string& cell, TimeUnit unit, bool from_source) {
  const bool has_source = from_source && options_.elaborate.delay_source != nullptr;
  for (const auto& made : built_) {
    if (made->cell == cell && made->unit == unit && made->has_source == has_source) return *made;
  }
  ElaborateOptions options = options_.elaborate;
  if (!has_source) options.delay_source = nullptr;
  options.cell = cell;
  options.own_language = netlist_format_of_path(path_) == NetlistFormat::gates;
  options.stimulus_unit = unit;
  Diagnostics diagnostics(options_.error_limit);
  built_.push_back(std::make_unique<Built>(
      Built{cell, unit, has_source, build_circuit(netlist_, {main_file_, 0}, true, options, sources_, diagnostics)}));
  merge(diagnostics);
  return *built_.back();
}

bool NetlistCheck::belongs(Place place) const {
  return !place.exists() || place.file == main_file_ || !has_row_(sources_.path(place.file));
}

void NetlistCheck::fill_netlist_row(CheckedFile& row) {
  std::stable_sort(messages_.begin(), messages_.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::tuple(a.place.exists(), a.place.file, a.place.offset) <
           std::tuple(b.place.exists(), b.place.file, b.place.offset);
  });
  for (const Diagnostic& message : messages_) {
    if (message.severity == Severity::error || belongs(message.place)) add(row, Aspect::netlist, message);
  }
  if (!usable_) return;
  if (options_.storage) return judge_requirements(row);
  row.unjudged = static_cast<std::uint64_t>(std::count_if(
      requirements_.begin(), requirements_.end(), [&](const Requirement& demand) { return belongs(demand.place); }));
}

void NetlistCheck::judge_requirements(CheckedFile& row) {
  std::map<std::string, std::optional<RequirementJudge>> judges;
  for (const Requirement& demand : requirements_) {
    if (!belongs(demand.place)) continue;
    const std::string cell(cell_text(demand.cell));
    const auto [at, is_new] = judges.emplace(cell, std::nullopt);
    if (is_new) {
      const bool has_source = options_.elaborate.delay_source != nullptr;
      const auto made = std::find_if(built_.begin(), built_.end(), [&](const auto& b) {
        return b->cell == cell && b->has_source == has_source;
      });
      const Built& circuit = made != built_.end() ? **made : built(cell, TimeUnit::none);
      if (circuit.circuit) at->second.emplace(*circuit.circuit, options_.requirement);
    }
    if (!at->second) continue;  // its errors have been told
    const RequirementOutcome outcome = at->second->judge(demand);
    row.requirements.push_back({cell, demand.text, outcome.answer});
    if (outcome.answer == RequirementOutcome::Answer::holds) continue;
    const bool broken = outcome.answer == RequirementOutcome::Answer::broken;
    Diagnostic message;
    message.severity = broken ? Severity::error : Severity::note;
    message.place = demand.place;
    message.kind = "requirement";
    message.text = fmt::format("cell '{}' {}: {}", cell,
                               broken ? "does not fulfil this" : "could not be judged", outcome.message);
    message.hint = outcome.hint;
    add(row, Aspect::requirement, message);
    if (!broken) make_incomplete(row, message.text);
  }
}

const Circuit* NetlistCheck::circuit_for(const Stimulus& stimulus, CheckedFile& row) {
  const auto refuse = [&](std::uint32_t offset, std::string text, std::string hint) -> const Circuit* {
    if (only_limits_) {
      make_incomplete(row, text);
      return nullptr;
    }
    add(row, Aspect::stimulus,
        {Severity::error, {stimulus.file, offset}, std::move(text), std::move(hint), {}});
    return nullptr;
  };
  if (!usable_) {
    return refuse(stimulus.netlist_offset, fmt::format("netlist '{}' has errors, so this was not run", path_),
                  {});
  }
  std::vector<std::string> names;
  std::string cell = stimulus.cell;
  if (cell.empty()) {
    for (const std::uint32_t top : all_tops_) names.push_back(fmt::format("'{}'", cell_text(top)));
    const std::size_t count = names.size();
    if (names.size() > most_names) names.resize(most_names);
    if (all_tops_.size() != 1 && count > 0) {
      return refuse(
          0,
          fmt::format("{} cells of '{}' could be meant: {}{}", count, path_, fmt::join(names, ", "),
                      count > names.size() ? ", ..." : ""),
          fmt::format("say which at the start of the stimulus, as in: cell {}", cell_text(all_tops_.back())));
    }
    cell = cell_text(all_tops_.empty() ? 0 : all_tops_[0]);
  } else if (const Symbol symbol = netlist_.symbols->find(cell);
             symbol == no_symbol || netlist_.find_cell(symbol) < 0) {
    std::vector<std::string_view> known;
    for (std::uint32_t c = 0; c < netlist_.cells.size(); ++c) known.push_back(cell_text(c));
    const std::string_view near = nearest_name(cell, known);
    return refuse(stimulus.cell_offset, fmt::format("netlist '{}' has no cell '{}'", path_, cell),
                  near.empty() ? std::string() : fmt::format("did you mean '{}'?", near));
  }
  row.cell = cell;
  const Built& made = built(cell, stimulus.finest_unit, takes_source(stimulus));
  if (made.circuit) return &*made.circuit;
  return refuse(stimulus.cell_offset,
                fmt::format("cell '{}' of '{}' has errors, so this was not run", cell, path_), {});
}

void NetlistCheck::fill_stimulus_row(ReadStimulus& read, CheckedFile& row) {
  row.netlist = path_;
  for (const Diagnostic& message : read.diagnostics.all()) add(row, Aspect::stimulus, message);
  if (row.verdict == CheckVerdict::error) return;
  const Circuit* circuit = circuit_for(read.stimulus, row);
  if (circuit == nullptr) return;
  Diagnostics diagnostics;
  if (const auto bare = bare_time_in(read.stimulus); bare && options_.elaborate.delay_source != nullptr) {
    diagnostics.note({read.stimulus.file, *bare}, "bare-time",
                     "times without a unit count gate delays, so this ran without the delays of a family",
                     "write a unit, as in 50ns");
  }
  const auto result = run(*circuit, read.stimulus, options_.run, diagnostics);
  if (result) {
    LintOptions lint_options;
    lint_options.stop = options_.stop;
    lint_stimulus(read.stimulus, *circuit, lint_options, diagnostics);
  }
  for (const Diagnostic& message : diagnostics.all()) add(row, Aspect::stimulus, message);
  if (!result) return;
  row.passed = result->passed;
  row.failed = result->failed;
  row.lanes = result->lanes;
  for (const ExpectationFailure& failure : result->failures) add_failure(row, failure, *result);
  for (const Finding& finding : result->findings) add_finding(row, finding, result->waveform.time_unit);
  if (!result->complete) {
    make_incomplete(row, result->incomplete_reason);
    return;
  }
  if (!options_.golden.empty()) compare_waveform(*result, *circuit, row);
}

void NetlistCheck::compare_waveform(const RunResult& result, const Circuit& circuit, CheckedFile& row) {
  row.waveform_path = waveform_path(options_.golden, row.path);
  std::string now = waveform_text(result.waveform, circuit.cell_name());
  std::string stored, error;
  const bool exists = files_.read(row.waveform_path, stored, error);
  if (exists && stored == now) return;
  if (options_.update_golden) {
    // What fails for other reasons is nothing to compare with.
    if (row.verdict == CheckVerdict::pass) row.waveform_update = std::move(now);
    return;
  }
  CheckItem item;
  item.aspect = Aspect::waveform;
  item.kind = "waveform";
  item.fails = true;
  item.file = row.path;
  if (exists) {
    item.message = fmt::format("the waveform is not the one stored in '{}'", row.waveform_path);
    item.hint = "if the change is wanted, run again with --update-golden and keep the new file";
  } else {
    item.message = fmt::format("there is no stored waveform: cannot read '{}': {}", row.waveform_path, error);
    item.hint = "--update-golden stores it";
  }
  item.text = fmt::format("{}: error: {}\n", row.path, item.message);
  if (exists) {
    for (const std::string& line : waveform_differences(stored, now, most_differences)) {
      item.text += fmt::format("    {}\n", line);
      item.message += fmt::format("; {}", line);
    }
  }
  item.text += fmt::format("  hint: {}\n", item.hint);
  row.items.push_back(std::move(item));
  make_worse(row, CheckVerdict::fail);
}

void NetlistCheck::add(CheckedFile& row, Aspect aspect, const Diagnostic& diagnostic) {
  const bool is_lint = diagnostic.severity != Severity::error && diagnostic.kind != "requirement";
  if (is_lint && options_.policy.allows(diagnostic.kind, diagnostic.severity)) return;
  CheckItem item;
  item.aspect = aspect;
  item.kind = diagnostic.kind.empty() ? "error" : diagnostic.kind;
  item.severity = diagnostic.severity;
  item.fails = diagnostic.severity == Severity::error ||
               (is_lint && options_.policy.fails(diagnostic.kind, diagnostic.severity, false));
  item.message = diagnostic.text;
  item.hint = diagnostic.hint;
  if (diagnostic.place.exists()) {
    const Sources::LineColumn where = sources_.locate(diagnostic.place);
    item.file = sources_.path(diagnostic.place.file);
    item.line = where.line;
    item.column = where.column;
    item.text = render(diagnostic, sources_);
  } else {
    item.file = row.path;
    item.text = headed(row.path, diagnostic.severity, diagnostic.text, diagnostic.hint);
  }
  if (is_lint && diagnostic.severity == Severity::warning) ++row.warnings;
  if (is_lint && diagnostic.severity == Severity::note) ++row.notes;
  if (item.fails) {
    const bool unusable = diagnostic.severity == Severity::error && aspect != Aspect::requirement;
    if (aspect == Aspect::netlist && unusable && only_limits_) {
      make_incomplete(row, diagnostic.text);
    } else {
      make_worse(row, unusable ? CheckVerdict::error : CheckVerdict::fail);
    }
  }
  row.items.push_back(std::move(item));
}

void NetlistCheck::add_finding(CheckedFile& row, const Finding& finding, TimeUnit unit) {
  if (finding.expected) return;
  const bool is_warning = finding.severity == FindingSeverity::warning;
  const Severity severity = is_warning ? Severity::warning : Severity::note;
  const std::string_view kind = name_of(finding.kind);
  if (options_.policy.allows(kind, severity)) return;
  ++(is_warning ? row.warnings : row.notes);
  CheckItem item;
  item.aspect = Aspect::finding;
  item.kind = kind;
  item.severity = severity;
  item.fails = options_.policy.fails(kind, severity, is_warning);
  item.file = row.path;
  item.time = finding.time;
  item.message = finding.message;
  item.hint = fmt::format("if it is meant, write 'expect warning {}' behind what causes it", kind);
  item.text = headed(row.path, severity,
                     fmt::format("{} at {}: {}", kind, to_text(finding.time, unit), finding.message),
                     item.fails ? item.hint : "");
  if (item.fails) make_worse(row, CheckVerdict::fail);
  row.items.push_back(std::move(item));
}

void NetlistCheck::add_failure(CheckedFile& row, const ExpectationFailure& failure, const RunResult& result) {
  CheckItem item;
  item.aspect = Aspect::expectation;
  item.kind = "expectation";
  item.fails = true;
  item.time = failure.time;
  const std::string lane = result.lanes > 1
                               ? fmt::format(" (start state {} of {})", failure.lane + 1, result.lanes)
                               : std::string();
  item.message =
      fmt::format("at {}{}{}{}: wanted {}, found {}", to_text(failure.time, result.waveform.time_unit), lane,
                  failure.net.empty() ? "" : ", ", failure.net, failure.want, failure.got);
  Diagnostic message;
  message.place = failure.place;
  message.text = item.message;
  item.file = row.path;
  if (failure.place.exists()) {
    const Sources::LineColumn where = sources_.locate(failure.place);
    item.line = where.line;
    item.column = where.column;
    item.text = render(message, sources_);
  } else {
    item.text = headed(row.path, Severity::error, message.text, "");
  }
  for (const std::string& line : failure.history) item.text += fmt::format("      {}\n", line);
  make_worse(row, CheckVerdict::fail);
  row.items.push_back(std::move(item));
}

}  // namespace settle
