// The work behind a page: calls the analyses, and puts what they found in sections. What several sections
// need, the explanation and the run, is done once. A section that cannot be made says why in a sentence.
#include <algorithm>
#include <map>
#include <optional>

#include <fmt/format.h>

#include "page/page_parts.h"
#include "report/result_documents.h"
#include "report/timing_words.h"
#include "report/wiring_words.h"
#include "settle/schematic.h"
#include "settle/state_graph.h"
#include "settle/sweep.h"
#include "settle/timing_diagram.h"
#include "settle/wiring_report.h"

namespace settle::page {
namespace {

using report::Document;
using Align = report::DocumentColumn::Align;

constexpr std::size_t most_rows = 64;  // of the table
constexpr std::size_t most_drawn_states = 40;
constexpr std::uint32_t most_opened_gates = 30;  // up to here the schematic shows cells from inside
constexpr std::uint32_t most_wired_gates = 500;
constexpr std::uint64_t most_drawn_changes = 1'500;

std::string counted(std::uint64_t count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

/// A message as the sentence of a page.
std::string sentence(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text + ".";
}

std::string port_names(const std::vector<Port>& ports) {
  std::string text;
  for (const Port& port : ports) {
    text += text.empty() ? "" : ", ";
    text += port.is_bus ? fmt::format("{}[{}:{}]", port.name, port.msb, port.lsb) : port.name;
  }
  return text.empty() ? "none" : text;
}

std::string gate_kinds(const Circuit& circuit) {
  std::map<std::string, std::uint64_t> kinds;
  for (const GateKind kind : circuit.kinds()) ++kinds[std::string(name_of(kind))];
  std::string text = counted(circuit.gate_count(), "gate");
  if (kinds.empty()) return text;
  text += ": ";
  bool first = true;
  for (const auto& [kind, count] : kinds) {
    text += fmt::format("{}{} {}", first ? "" : ", ", count, kind);
    first = false;
  }
  return text;
}

class Drafter {
 public:
  Drafter(const PageSubject& subject, const PageOptions& options) : s_(subject), options_(options) {
    // Nobody builds from a page without its cautions.
    if (is_wanted(PageSection::wiring)) wanted_.set(static_cast<std::size_t>(PageSection::cautions));
  }

  Draft draft() {
    draft_.title = options_.title.empty() ? s_.circuit.cell_name() : options_.title;
    if (is_wanted(PageSection::about) || is_wanted(PageSection::warnings)) {
      explanation_ = explain(s_.circuit, options_.explain);
      note_limit(explanation_->complete);
    }
    if (is_wanted(PageSection::waveforms) || is_wanted(PageSection::warnings)) run_stimulus();
    draft_.lead = explanation_ ? kind_sentence()
                               : fmt::format("A circuit of {}.", counted(s_.circuit.gate_count(), "gate"));
    add(PageSection::about, "What it is", &Drafter::about);
    add(PageSection::schematic, "Schematic", &Drafter::schematic);
    add(PageSection::table, s_.circuit.loop_count() == 0 ? "Truth table" : "Characteristic table",
        &Drafter::table);
    add(PageSection::waveforms, "Waveforms", &Drafter::waveforms);
    add(PageSection::states, "States", &Drafter::states);
    add(PageSection::timing, "Timing", &Drafter::timing);
    add(PageSection::warnings, "Warnings", &Drafter::warnings);
    add(PageSection::cautions, "Before you build", &Drafter::cautions);
    add(PageSection::wiring, "Wiring", &Drafter::wiring);
    draft_.origin = fmt::format("Made by settle {} from {}{}. A logic simulation is no safety case.",
                                version(), s_.path, s_.stimulus != nullptr ? " and " + s_.stimulus_path : "");
    return std::move(draft_);
  }

 private:
  bool is_wanted(PageSection section) const { return wanted_[static_cast<std::size_t>(section)]; }
  void note_limit(bool complete) { draft_.complete = draft_.complete && complete; }

  void add(PageSection kind, std::string title, void (Drafter::*fill)(Document&)) {
    if (!is_wanted(kind)) return;
    Section section{kind, std::move(title), {}};
    (this->*fill)(section.body);
    draft_.sections.push_back(std::move(section));
  }

  std::string kind_sentence() const {
    const std::string& kind = explanation_->kind;
    return kind == "no storage"     ? "A circuit that stores nothing."
           : kind == "unrecognised" ? "A circuit that fits no kind known here."
                                    : sentence(kind);
  }

  /// Where a command would read what this page was made from.
  std::string call(std::string_view words, bool with_stimulus = false) const {
    return fmt::format("settle {} {}{}", words, s_.path, with_stimulus ? " " + s_.stimulus_path : "");
  }

  void about(Document& body) {
    report::DocumentTable facts{"Pins and gates", {{}, {}}, {}, true};
    facts.rows.push_back({"Cell", s_.circuit.cell_name()});
    facts.rows.push_back({"Inputs", port_names(s_.circuit.input_ports())});
    facts.rows.push_back({"Outputs", port_names(s_.circuit.output_ports())});
    facts.rows.push_back({"Made of", gate_kinds(s_.circuit)});
    body.append(report::explain_document(*explanation_));
    body.table(std::move(facts));
  }

  void schematic(Document& body) {
    SchematicOptions drawn;
    drawn.rectangular = options_.rectangular;
    drawn.part_limit = options_.part_limit;
    if (s_.circuit.gate_count() <= most_opened_gates) {
      for (const CellSyntax& cell : s_.tree.cells) drawn.open.emplace_back(s_.tree.symbols->text(cell.name));
    }
    Schematic picture = draw_schematic(s_.circuit, &s_.tree, drawn);
    if (picture.svg.empty()) {
      body.paragraph(fmt::format("Not drawn: {}.", picture.error));
      return;
    }
    body.picture(
        {"schematic", "Schematic of " + s_.circuit.cell_name(), std::move(picture.svg), call("draw")});
    if (s_.circuit.gate_count() > most_opened_gates && picture.parts < s_.circuit.gate_count())
      body.paragraph("Cells are drawn as blocks; 'settle draw' with --cell draws one of them by itself.");
  }

  void table(Document& body) {
    TableOptions made = options_.table;
    const std::string refusal = table_refusal(s_.circuit, made);
    if (!refusal.empty()) {
      body.paragraph(fmt::format(
          "No table: {}. 'settle table' with --set makes one in which inputs are held.", refusal));
      return;
    }
    const Table table = make_table(s_.circuit, made);
    note_limit(table.complete);
    body.append(report::table_document(table, s_.circuit, most_rows));
  }

  void run_stimulus() {
    if (s_.stimulus == nullptr) {
      no_run_ = s_.no_stimulus;
      return;
    }
    // Times without a unit mean gate delays, and would be ticks of a picosecond with the delays of a family.
    const bool has_units = s_.stimulus->finest_unit != TimeUnit::none;
    run_circuit_ = s_.delayed != nullptr && has_units ? s_.delayed : &s_.circuit;
    Diagnostics diagnostics;
    run_ = run(*run_circuit_, *s_.stimulus, options_.run, diagnostics);
    if (run_) {
      note_limit(run_->complete);
      lint_stimulus(*s_.stimulus, *run_circuit_, options_.lint, diagnostics);
    } else {
      no_run_ = fmt::format("{} does not fit this circuit", s_.stimulus_path);
      if (!diagnostics.all().empty()) no_run_ += ": " + diagnostics.all().front().text;
      no_run_ += ".";
    }
    stimulus_messages_ = diagnostics.all();
  }

  void waveforms(Document& body) {
    if (!run_) {
      body.paragraph(no_run_);
      return;
    }
    TimingDiagramOptions drawn;
    drawn.change_limit = most_drawn_changes;
    TimingDiagram picture = draw_timing(*run_, *run_circuit_, drawn);
    if (picture.svg.empty()) {
      body.paragraph(fmt::format("Not drawn: {}. 'settle run' shows a part of them.", picture.error));
    } else {
      body.picture({"waveforms",
                    fmt::format("Waveforms of {} with {}", s_.circuit.cell_name(), s_.stimulus_path),
                    std::move(picture.svg), call("draw --kind timing", true)});
    }
    std::string text =
        fmt::format("{} passed, {} failed.", counted(run_->passed, "expectation"), run_->failed);
    if (run_->lanes > 1) text += fmt::format(" Run from {} start states; shown is the first.", run_->lanes);
    if (!run_->complete) text += fmt::format(" Incomplete: {}.", run_->incomplete_reason);
    body.paragraph(text);
  }

  void states(Document& body) {
    if (s_.circuit.loop_count() == 0) {
      body.paragraph(
          "The circuit has no loop, so it has no states of its own: the outputs follow from the inputs.");
      return;
    }
    StateSpaceOptions looked = options_.space;
    looked.stable_limit = std::min<std::uint64_t>(looked.stable_limit, most_drawn_states * 8);
    looked.single_changes_only = true;
    const StateSpace space = explore(s_.circuit, looked);
    StateGraph picture = draw_state_graph(space, s_.circuit, most_drawn_states);
    if (picture.svg.empty()) {
      body.paragraph(
          fmt::format("Not drawn: {}. 'settle states' tells what can be told of them.", picture.error));
      return;
    }
    body.picture({"states", "State graph of " + s_.circuit.cell_name(), std::move(picture.svg),
                  call("draw --kind states")});
    body.paragraph(
        fmt::format("{}. Arrows are steps in which one input changes, which is written where they begin.",
                    counted(space.stable.size(), "stable state")));
    if (!space.complete) body.paragraph(fmt::format("Incomplete: {}.", space.incomplete_reason));
  }

  void timing(Document& body) {
    const Timing measured = measure_timing(s_.delayed != nullptr ? *s_.delayed : s_.circuit, options_.timing);
    note_limit(measured.complete);
    body.append(report::timing_document(measured));
  }

  void message(Document& body, const Diagnostic& message) {
    std::string text = sentence(message.text);
    if (message.place.exists()) {
      const Sources::LineColumn where = s_.sources.locate(message.place);
      text = fmt::format("{}:{}:{}: {}", s_.sources.path(message.place.file), where.line, where.column, text);
    }
    if (!message.hint.empty()) text += " " + sentence(message.hint);
    body.remark(std::string(name_of(message.severity)), std::move(text));
  }

  void warnings(Document& body) {
    Document circuit, netlist, stimulus;
    report::add_explain_remarks(circuit, *explanation_);
    Diagnostics lint;
    std::vector<std::uint32_t> tops;
    for (std::uint32_t i = 0; i < s_.tree.cells.size(); ++i) {
      if (s_.tree.symbols->text(s_.tree.cells[i].name) == s_.circuit.cell_name()) tops.push_back(i);
    }
    lint_names(s_.tree, tops, options_.lint, lint);
    lint_circuit(s_.tree, s_.circuit, options_.lint, lint);
    lint_drivers(s_.circuit, options_.lint, lint);
    for (const Diagnostic& found : s_.messages) message(netlist, found);
    for (const Diagnostic& found : lint.all()) message(netlist, found);
    for (const Diagnostic& found : stimulus_messages_) message(stimulus, found);
    if (run_) {
      report::add_failure_remarks(stimulus, *run_, s_.sources);
      report::add_finding_remarks(stimulus, *run_);
    }
    const auto part = [&](const char* title, Document found, const char* none) {
      body.heading(title);
      if (found.is_empty()) {
        body.paragraph(none);
      } else {
        body.append(std::move(found));
      }
    };
    part("About the circuit, whatever its inputs do", std::move(circuit), "Nothing found.");
    part("About the netlist", std::move(netlist), "Nothing found.");
    part("About the run of the stimulus", std::move(stimulus), run_ ? "Nothing found." : "Nothing was run.");
  }

  void cautions(Document& body) {
    std::vector<std::string> items = report::wiring_cautions();
    items.insert(items.end() - 1, "Every chip needs its decoupling capacitor, close to its supply pins.");
    body.list(Document::Kind::list, std::move(items));
  }

  void wiring(Document& body) {
    if (s_.circuit.gate_count() > most_wired_gates) {
      body.paragraph(fmt::format(
          "Not planned: {} gates are too many to wire by hand from a page. 'settle wire' does it.",
          s_.circuit.gate_count()));
      return;
    }
    Diagnostics diagnostics;
    const auto wishes = wishes_of(s_.tree, s_.circuit, diagnostics);
    const auto wiring = wire_circuit(s_.circuit, wishes, s_.catalogue, options_.wiring, diagnostics);
    if (!wiring) {
      body.paragraph("There is no wiring list.");
      for (const Diagnostic& found : diagnostics.all()) message(body, found);
      return;
    }
    note_limit(wiring->is_fewest &&
               !(wiring->proof && wiring->proof->answer == Comparison::Answer::undecided));
    body.paragraph(report::wiring_summary(*wiring));
    for (const Diagnostic& found : diagnostics.all()) message(body, found);
    body.picture({"chips", "Chips of " + s_.circuit.cell_name() + ", seen from above",
                  wiring_svg(*wiring, s_.circuit), call("wire --format svg")});
    body.append(report::wiring_document(*wiring, s_.circuit));
  }

  const PageSubject& s_;
  const PageOptions& options_;
  PageSections wanted_ = options_.sections;
  Draft draft_;
  std::optional<Explanation> explanation_;
  std::optional<RunResult> run_;
  const Circuit* run_circuit_ = nullptr;
  std::string no_run_;
  std::vector<Diagnostic> stimulus_messages_;
};

}  // namespace

Draft draft_of(const PageSubject& subject, const PageOptions& options) {
  return Drafter(subject, options).draft();
}

}  // namespace settle::page
