// The explanation of a circuit as a page: what it is, how to use it, power-up, cautions, how sure.
#include <algorithm>

#include <fmt/format.h>

#include "report/explain_usage.h"
#include "report/explain_words.h"
#include "report/result_documents.h"
#include "settle/explain_report.h"

namespace settle {
namespace {

using report::condition_words;
using report::is_storage;
using report::kind_words;
using report::listed_names;
using report::number_word;
using report::output_names;
using report::with_article;

constexpr std::size_t most_equations = 12;  // of a page; the document has them all

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

// A sentence that begins with a name keeps its spelling.
bool begins_with_name(const std::string& text, const ExplainFinding& finding) {
  return std::any_of(finding.inputs.begin(), finding.inputs.end(), [&](const std::string& name) {
    return text.starts_with(name + " ") || text.starts_with(name + ",");
  });
}

class Page {
 public:
  explicit Page(const Explanation& e) : e_(e) {}

  report::Document whole() {
    opening();
    usage();
    equations();
    power_up();
    cautions("Take care");
    certainty();
    return std::move(out_);
  }

  report::Document without_cautions() {
    opening();
    usage();
    equations();
    power_up();
    certainty();
    return std::move(out_);
  }

  report::Document warnings() {
    for (const Caution& caution : caution_list()) {
      if (caution.is_warning) paragraph(caution.text);
    }
    if (!e_.complete) paragraph("Incomplete: " + e_.incomplete_reason + ".");
    return std::move(out_);
  }

  struct Caution {
    bool is_warning;
    std::string text;
  };
  std::vector<Caution> caution_list() const {
    std::vector<Caution> list;
    for (const ExplainFinding& finding : e_.findings) {
      if (finding.kind == ExplainFinding::Kind::wire_delay) continue;
      const std::string before = prefix(finding);
      const std::string text = before.empty() && !begins_with_name(finding.message, finding)
                                   ? capitalised(finding.message)
                                   : finding.message;
      list.push_back({finding.is_warning, before + text});
    }
    return list;
  }

 private:
  void paragraph(const std::string& text, std::size_t indent = 0) { out_.paragraph(text, indent); }
  void heading(const std::string& text) { out_.heading(text); }

  bool stores() const { return std::any_of(e_.cells.begin(), e_.cells.end(), is_storage); }

  void opening() {
    std::string text;
    const std::string name = e_.circuit.empty() ? "The circuit" : e_.circuit;
    if (e_.kind == "no storage") {
      text = fmt::format("{} stores nothing: ", name);
      if (!e_.has_loops) {
        text += e_.may_lack_level ? "it has no loop. But for some inputs a gate reads a wire that floats or "
                                    "is fought over, and what depends "
                                    "on it is not known then."
                                  : "it has no loop, so its outputs are functions of its inputs alone.";
      } else if (e_.cells.empty()) {
        text += "no output depends on a loop.";
      } else {
        const auto any = [&](const auto& holds) { return std::any_of(e_.cells.begin(), e_.cells.end(), holds); };
        const bool hides = any([](const ExplainedCell& cell) { return cell.hides_states; });
        const bool may_swing = any([](const ExplainedCell& cell) { return !cell.may_not_rest_when.empty(); });
        const std::string_view outputs = e_.outputs.size() == 1 ? "the output is" : "the outputs are";
        text += hides ? fmt::format("it has a loop with several stable states for some settings of the inputs, but no "
                                    "output ever tells them apart, so {} what the inputs say",
                                    outputs)
                      : fmt::format("although it has a loop, for each setting of the inputs there is only one stable "
                                    "state, so {} what the inputs say",
                                    outputs);
        text += may_swing ? ", once it is at rest." : ".";
      }
    } else if (e_.kind == "unrecognised" && e_.cells.size() == 1 && e_.cells[0].may_lack_level &&
               e_.cells[0].states_held <= 1) {
      const ExplainedCell& cell = e_.cells[0];
      const std::string when = cell.unknown_level_when.empty() ? "for some inputs "
                               : cell.unknown_level_when == "1"
                                   ? ""
                                   : "while " + condition_words(cell.unknown_level_when) + ", ";
      paragraph(
          fmt::format("{} cannot be judged: {}a gate reads a wire that nothing drives, or that is fought "
                      "over, and that is neither "
                      "0 nor 1.",
                      name, when));
      return;
    } else if (e_.cells.empty()) {
      text = fmt::format("{} has loops, but they were too large to find out what they store.", name);
    } else if (!stores()) {
      const ExplainedCell& cell = e_.cells[0];
      if (cell.proof == ExplainedCell::Proof::at_most_one && cell.states_held != 0) {
        text = fmt::format(
            "{} stores nothing: no setting of the inputs has more than one stable state. With {} there is "
            "none, "
            "and it never comes to rest. Both are proved by a SAT solver.",
            name, cell.never_stable_example);
      } else if (cell.states_held == 0) {
        text = fmt::format("{} is an oscillator: it has no stable state{}, so it can never come to rest.",
                           name, cell.never_stable_when == "1" ? "" : " for any setting of the inputs");
      } else if (e_.cells.size() > 1) {
        std::vector<std::string> conditions;
        for (const ExplainedCell& each : e_.cells) {
          if (each.core == CellCore::oscillator && !each.never_stable_when.empty()) {
            conditions.push_back(each.never_stable_when == "1"
                                     ? "whatever the inputs are"
                                     : "while " + condition_words(each.never_stable_when));
          }
        }
        text = fmt::format(
            "{} has {} loops that can oscillate: it has no stable state and never comes to rest {}. It "
            "stores nothing.",
            name, number_word(conditions.size()), listed_names(conditions, ", and "));
      } else {
        text = fmt::format(
            "{} is {}: while {} it has no stable state and never comes to rest; else {}. It stores nothing.",
            name, with_article(e_.kind), condition_words(cell.never_stable_when),
            cell.hides_states ? "it can rest, and no output shows in which state"
            : cell.may_not_rest_when.empty()
                ? "it stops, in one definite state"
                : fmt::format("there is one definite state for it to stop in, but while {} it may go on for ever "
                              "instead of coming to it",
                              condition_words(cell.may_not_rest_when)));
      }
    } else {
      const bool several = std::count_if(e_.cells.begin(), e_.cells.end(), is_storage) > 1;
      const bool uneven = e_.states_held && (*e_.states_held & (*e_.states_held - 1)) != 0;
      text = fmt::format("{} is {}{}. ", name, several ? "made of several storage cells: " : "",
                         e_.kind == "unrecognised" ? "a circuit with memory that fits no kind known here"
                         : several                 ? several_kinds()
                                                   : with_article(kind_words(e_.kind)));
      if (!e_.bits_known) {
        text += "How many bits it stores was not found out.";
      } else if (uneven) {
        text += fmt::format("It holds one of {} states.", number_word(*e_.states_held));
      } else {
        text += fmt::format("It stores {}{} bit{}.", e_.bits_exact ? "" : "at most ",
                            number_word(e_.bits_stored), e_.bits_stored == 1 ? "" : "s");
      }
      for (const ExplainedCell& cell : e_.cells) {
        if (cell.core != CellCore::oscillator) continue;
        const std::string when = cell.never_stable_when.empty() || cell.never_stable_when == "1"
                                     ? ""
                                     : " while " + condition_words(cell.never_stable_when);
        text += fmt::format(" Beside that, {} oscillate{}{}.", output_names(cell),
                            cell.outputs.size() == 1 ? "s" : "", when);
      }
      if (leaves_undecided()) text += " Some changes of a single input are not safe: see 'Take care'.";
      for (const ExplainedCell& cell : e_.cells) {
        if (cell.is_pulse_triggered && cell.states_held > 2) {
          text +=
              " That counts master and slave apart, for they can differ while the clock is active; from "
              "pulse to pulse it "
              "is one.";
          break;
        }
      }
    }
    paragraph(text);
  }

  bool leaves_undecided() const {
    return std::any_of(e_.findings.begin(), e_.findings.end(), [](const ExplainFinding& finding) {
      return finding.kind == ExplainFinding::Kind::hazard ||
             finding.kind == ExplainFinding::Kind::undecided_change;
    });
  }

  std::string several_kinds() const {
    std::vector<std::string> kinds;
    for (const ExplainedCell& cell : e_.cells) {
      if (is_storage(cell)) kinds.push_back(with_article(kind_words(cell.group_kind)));
    }
    return listed_names(kinds);
  }

  void usage() {
    if (!stores()) return;
    heading("How to use it");
    for (const std::string& text : report::usage_paragraphs(e_)) paragraph(text, 2);
  }

  static std::string when_words(const ExplainedOutput& output) {
    std::vector<std::string> edges;
    for (const OutputTrigger& trigger : output.changes_on) {
      if (trigger.edge == OutputTrigger::Edge::level) continue;
      edges.push_back(
          fmt::format("{} {}", trigger.input, trigger.edge == OutputTrigger::Edge::rise ? "rises" : "falls"));
    }
    return edges.empty() ? std::string() : "when " + listed_names(edges, " or ");
  }

  void equations() {
    std::vector<std::string> lines;
    std::size_t left_out = 0;
    bool next = false;
    std::vector<const ExplainedOutput*> all;
    for (const ExplainedOutput& output : e_.outputs) all.push_back(&output);
    for (const ExplainedOutput& inner : e_.inner) all.push_back(&inner);
    for (const ExplainedOutput* shown : all) {
      const ExplainedOutput& output = *shown;
      if (output.equation.empty()) continue;
      if (lines.size() >= most_equations) {
        ++left_out;
        continue;
      }
      const std::string when = when_words(output);
      next = next || output.equation.find("+ =") != std::string::npos;
      const bool swings =
          stores() && output.cell < e_.cells.size() && e_.cells[output.cell].core == CellCore::oscillator;
      lines.push_back(output.equation + (when.empty() ? "" : "   " + when) + (swings ? "   at rest" : ""));
      if (!output.level_equation.empty()) lines.push_back(output.level_equation + "   at other times");
    }
    if (const std::string words = report::three_state_words(e_); !words.empty()) {
      heading("Three-state outputs");
      paragraph(words, 2);
    }
    if (lines.empty()) return;
    const bool rests = !stores() && e_.kind != "no storage";
    std::vector<std::string> constant;
    for (const ExplainedOutput& output : e_.outputs) {
      const bool is_constant =
          output.equation == output.name + " = 0" || output.equation == output.name + " = 1";
      if (is_constant && !output.changes_on.empty()) constant.push_back(output.name);
    }
    heading(rests ? "At rest" : "In symbols");
    out_.list(report::Document::Kind::lines, std::move(lines), 2);
    if (left_out != 0) paragraph(fmt::format("and {} more of the same form.", left_out), 2);
    if (next) {
      const bool row = std::any_of(e_.cells.begin(), e_.cells.end(), [](const ExplainedCell& cell) {
        return is_storage(cell) && cell.core < CellCore::d && (cell.is_fed || !cell.fed_by.empty());
      });
      paragraph(
          fmt::format(
              "(q+ is the next value of q; names side by side mean and, + between products means or, ' means "
              "not.{})",
              row ? " What a cell that answers to levels reads from another cell stands for its new value."
                  : ""),
          2);
    } else if (!rests) {
      paragraph("(Names side by side mean and, + means or, ' means not.)", 2);
    }
    if (!constant.empty() && !rests) {
      paragraph(fmt::format("That is how {} rest{}, though gates from the inputs lead there: while these "
                            "still move there may be a pulse, "
                            "which 'settle run' shows.",
                            listed_names(constant), constant.size() == 1 ? "s" : ""),
                2);
    }
  }

  // Cells of which the same is to be said stand in one sentence.
  void power_up() {
    struct Said {
      std::vector<std::string> names;
      std::string rest;
    };
    std::vector<Said> said;
    const bool several = e_.cells.size() > 1;
    for (const ExplainedCell& cell : e_.cells) {
      if (!is_storage(cell) || cell.states_held < 2) continue;
      std::string rest;
      if (!cell.known_when.empty()) {
        rest = fmt::format("; the state is known once {}{}", condition_words(cell.known_when),
                           cell.known_behind.empty() ? "" : fmt::format(" and {} rests", cell.known_behind));
      } else if (!cell.known_from_rest_when.empty()) {
        rest = fmt::format(
            ". Once it is at rest, the state is made known while {}; at power-up, not yet at rest, it may go on for "
            "ever then",
            condition_words(cell.known_from_rest_when));
      } else if (!cell.synchronised_by.empty()) {
        rest = fmt::format(
            ", and no single setting of the inputs makes the state known. This sequence does: power up with "
            "{}",
            cell.synchronised_by);
      } else if (!cell.synchronised_if_equal.empty()) {
        rest = fmt::format(
            ", and no sequence of allowed changes of one input is proved to make the state known whatever "
            "the gate "
            "delays. With equal ones this sequence does: power up with {}",
            cell.synchronised_if_equal);
      } else if (cell.synchronising_known) {
        rest = cell.inputs.empty()
                   ? ""
                   : ", and no sequence of inputs, changed one at a time, makes the state known for certain: "
                     "it has to be observed, or it needs a reset";
      } else {
        rest = "; whether some sequence of inputs makes the state known was not found out within the limits";
      }
      const bool names_inputs =
          !cell.known_when.empty() || !cell.known_from_rest_when.empty() || !cell.synchronised_by.empty() ||
          !cell.synchronised_if_equal.empty();
      if (names_inputs && !cell.fed_by.empty() && cell.known_behind.empty()) {
        rest += fmt::format(" ({} come{} from other cells, which have to give these values)",
                            listed_names(cell.fed_by), cell.fed_by.size() == 1 ? "s" : "");
      }
      const bool takes_data = cell.is_chain && cell.core == CellCore::d && cell.own_clocks.empty();
      if (cell.copies > 1 && names_inputs && takes_data && cell.known_when.empty()) {
        rest += fmt::format(". Then {} is known; each further active edge of the clock makes the next one known, so that it "
                            "takes {} in all",
                            cell.output, number_word(cell.copies));
      } else if (cell.copies > 1 && names_inputs && !all_shared(cell)) {
        rest += fmt::format(" (said for {})", cell.output);
      }
      const std::string name = several ? output_names(cell) : cell.copies > 1 ? "each cell" : "it";
      const auto same = std::find_if(said.begin(), said.end(), [&](const Said& s) { return s.rest == rest; });
      if (same != said.end()) {
        same->names.push_back(name);
      } else {
        said.push_back({{name}, rest});
      }
    }
    if (said.empty()) return;
    heading("At power-up");
    for (const Said& s : said) {
      const std::string who =
          s.names.size() == 1 && !several ? capitalised(s.names[0]) : listed_names(s.names);
      paragraph(fmt::format("{} can come up in any stable state{}.", who, s.rest), 2);
    }
  }

  // Are the inputs that make it known those of all copies?
  static bool all_shared(const ExplainedCell& cell) {
    return std::all_of(cell.inputs.begin(), cell.inputs.end(), [&](const InputRole& role) {
      const bool named = (" " + cell.known_when + " ").find(" " + role.input + " ") != std::string::npos ||
                         (" " + cell.known_when + " ").find(" " + role.input + "' ") != std::string::npos;
      return !named || std::find(cell.shared.begin(), cell.shared.end(), role.input) != cell.shared.end();
    }) && !cell.known_when.empty();
  }

  std::string prefix(const ExplainFinding& finding) const {
    if (finding.cell >= e_.cells.size() || finding.kind == ExplainFinding::Kind::neighbours) return {};
    const ExplainedCell& cell = e_.cells[finding.cell];
    if (cell.copies > 1) return fmt::format("In each of the cells (said here for {}): ", finding.about);
    if (e_.cells.size() > 1) return output_names(cell) + ": ";
    return {};
  }

  void cautions(const std::string& title) {
    const std::vector<Caution> list = caution_list();
    if (!list.empty()) heading(title);
    for (const Caution& caution : list) paragraph(caution.text, 2);
  }

  void certainty() {
    std::vector<std::string> texts;
    for (const ExplainedCell& cell : e_.cells) {
      if (cell.proof == ExplainedCell::Proof::one_state) {
        texts.push_back(fmt::format(
            "Proved by a SAT solver{}: for each setting of the inputs there is exactly one stable state.",
            e_.cells.size() > 1 ? " of " + output_names(cell) : ""));
      }
      if (cell.stable_states == 0) continue;
      const std::string what = cell.copies > 1       ? cell.same_counts ? " of each cell" : " of " + cell.output
                               : e_.cells.size() > 1 ? " of " + output_names(cell)
                                                     : "";
      std::string text;
      const bool is_single = cell.stable_states == 1 && cell.single_steps == 0;
      if (!cell.may_lack_level && (cell.core == CellCore::oscillator || is_single)) {
        text = cell.never_stable_when.empty()
                   ? fmt::format("Proved: there is exactly one stable state{}.", what)
                   : fmt::format(
                         "Proved{}: while {} there is no stable state, else there is exactly "
                         "one.",
                         what, condition_words(cell.never_stable_when));
      } else {
        const auto all = [](std::uint64_t n) {
          return n == 1 ? std::string("the one") : n == 2 ? "both" : fmt::format("all {}", n);
        };
        const std::uint64_t steps = cell.single_steps + (cell.all_steps ? cell.joint_steps : 0);
        if (steps == 0) {
          texts.push_back(
              cell.stable_states == 1
                  ? fmt::format("There is exactly one stable state{} with all levels 0 or 1.", what)
                  : fmt::format("There are exactly {} stable states{}.", cell.stable_states, what));
          continue;
        }
        text =
            fmt::format("Checked for {} stable state{}{} and {} step{} between them in which {}",
                        all(cell.stable_states), cell.stable_states == 1 ? "" : "s", what,
                        cell.unproved_steps == 0 ? all(steps) : std::to_string(steps), steps == 1 ? "" : "s",
                        cell.joint_steps == 0 || !cell.all_steps ? "one input changes"
                                                                 : "any number of inputs change at once");
        if (!cell.all_steps && cell.joint_steps != 0) {
          text += fmt::format(" (and {} steps in which several do, but not all of these: the others met a limit)",
                              cell.joint_steps);
        }
        text += cell.same_counts ? ", whatever the gate delays."
                                 : ", whatever the gate delays, and in the same way for the other cells.";
      }
      texts.push_back(text);
    }
    std::string more;
    const auto has = [&](ExplainFinding::Kind kind) {
      return std::any_of(e_.findings.begin(), e_.findings.end(),
                         [&](const ExplainFinding& f) { return f.kind == kind; });
    };
    const bool races_in_row = std::any_of(e_.findings.begin(), e_.findings.end(), [](const ExplainFinding& f) {
      return f.kind == ExplainFinding::Kind::neighbours && !f.gates.empty();
    });
    if (has(ExplainFinding::Kind::delay_dependent) || races_in_row) {
      more += "Where gate delays decide, the kind and the equations are those of equal delays. ";
    }
    if (std::any_of(e_.outputs.begin(), e_.outputs.end(),
                    [](const ExplainedOutput& o) { return o.has_free_entries && !o.equation.empty(); }) &&
        stores()) {
      more += "The equations promise nothing for changes that leave the circuit undecided. ";
    }
    const ExplainFinding* wires = nullptr;
    std::size_t wire_findings = 0;
    for (const ExplainFinding& finding : e_.findings) {
      if (finding.kind != ExplainFinding::Kind::wire_delay) continue;
      wires = &finding;
      ++wire_findings;
    }
    if (wire_findings == 1) {
      const std::string before = prefix(*wires);
      more += before + (before.empty() ? capitalised(wires->message) : wires->message) + " ";
    } else if (wire_findings > 1) {
      more +=
          "What settles here does so for any delays of the gates. With a delay in every wire as well, that "
          "is no longer "
          "certain for some steps: a wire would have to be slower than gates, which is rare on a board. ";
    }
    std::uint64_t unproved = 0;
    for (const ExplainedCell& cell : e_.cells) unproved += cell.unproved_steps;
    if (unproved != 0) {
      more += fmt::format("Of {} step{} only the outcome with equal gate delays is known. ", unproved,
                          unproved == 1 ? "" : "s");
    }
    if (!e_.complete) more += "Incomplete: " + e_.incomplete_reason + ".";
    if (texts.empty() && !e_.cells.empty() && more.empty())
      texts.push_back("Proved: for no setting of the inputs is there a stable state.");
    if (texts.empty() && more.empty()) return;
    heading("How sure this is");
    std::string before;
    for (const std::string& text : texts) before += text + " ";
    more = before + more;
    while (more.ends_with(' ')) more.pop_back();
    paragraph(more, 2);
  }

  const Explanation& e_;
  report::Document out_;
};

}  // namespace

std::string explain_text(const Explanation& explanation, const TextStyle& style) {
  return report::document_text(style.quiet ? Page(explanation).warnings() : Page(explanation).whole(), style);
}

namespace report {

Document explain_document(const Explanation& explanation) { return Page(explanation).without_cautions(); }

void add_explain_remarks(Document& document, const Explanation& explanation) {
  for (const auto& caution : Page(explanation).caution_list())
    document.remark(caution.is_warning ? "warning" : "note", caution.text);
}

}  // namespace report
}  // namespace settle
