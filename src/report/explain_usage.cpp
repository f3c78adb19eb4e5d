// How the cells of a circuit are used: a paragraph a cell.
#include "report/explain_usage.h"

#include <algorithm>
#include <sstream>

#include <fmt/format.h>

#include "report/explain_words.h"

namespace settle::report {
namespace {

constexpr std::size_t most_inner = 4;     // nets told to be the opposite of an output
constexpr std::size_t most_counted = 16;  // values of a closed sequence

class Usage {
 public:
  explicit Usage(const Explanation& e) : e_(e) {}

  std::vector<std::string> paragraphs() const {
    std::vector<std::string> list;
    for (const ExplainedCell& cell : e_.cells) {
      if (!is_storage(cell)) {
        if (e_.cells.size() > 1)
          list.push_back(fmt::format("{}: {}, without a memory of its own.", output_names(cell), cell.kind));
        continue;
      }
      std::string text;
      if (e_.cells.size() > 1)
        text = fmt::format("{}: {}. ", output_names(cell), with_article(kind_words(cell.kind)));
      if (cell.copies > 1) {
        text += fmt::format("The {} cells are alike", number_word(cell.copies));
        if (!cell.shared.empty()) text += fmt::format(" and have {} in common", listed_names(cell.shared));
        if (cell.is_chain && cell.core == CellCore::toggle) {
          text += "; each but the first is clocked by the one before";
        } else if (cell.is_chain) {
          text += "; each but the first takes its data from the one before";
        }
        if (!cell.own_clocks.empty()) {
          text += fmt::format("; they have {} of their own, {} in this order",
                              cell.core == CellCore::transparent ? "gates" : "clocks", listed_names(cell.own_clocks));
        }
        text += cell.output.empty() ? ". " : fmt::format(". For {}: ", cell.output);
      }
      std::string words = usage_words(cell, next_value(cell));
      const bool inside =
          !cell.output.empty() && !cell.outputs.empty() && cell.stored_bits_alike <= 1 &&
          !has_stored_output(cell) &&
          std::find(cell.outputs.begin(), cell.outputs.end(), cell.output) == cell.outputs.end();
      if (inside && cell.core != CellCore::unknown) {
        words = fmt::format("What is stored is the inner net {}, and the equations give {} by it. {}",
                            cell.output, output_names(cell), words);
      }
      if (cell.core == CellCore::level_logic) words = level_words(cell, std::move(words));
      if (cell.core == CellCore::unknown) {
        words = proof_words(cell);
      }
      if (cell.stored_bits_alike > 1) {
        if (text.ends_with(fmt::format("For {}: ", cell.output)))
          text.resize(text.size() - cell.output.size() - 6);
        text += fmt::format("Behind {} are {} stored bits of the same kind: {}. For {}: ",
                            cell.copies > 1 ? "each output" : "the outputs",
                            number_word(cell.stored_bits_alike), inner_names(cell), cell.output);
      }
      // Our own words go on after a colon in lower case; names keep theirs.
      const bool ours = words.starts_with("At ") || words.starts_with("While ") || words.starts_with("To ");
      if (text.ends_with(": ") && ours) words[0] = static_cast<char>(words[0] - 'A' + 'a');
      list.push_back(text + words + follower_words(cell) + unruled_words(cell) + complement_words(cell) + count_words(cell));
    }
    return list;
  }

 private:
  // Some output of the cell is told by a rule of its own, not by what lies inside.
  bool has_stored_output(const ExplainedCell& cell) const {
    return std::any_of(e_.outputs.begin(), e_.outputs.end(), [&](const ExplainedOutput& output) {
      return output.cell < e_.cells.size() && &e_.cells[output.cell] == &cell &&
             output.equation.find("+ =") != std::string::npos;
    });
  }

  // What is known of a cell that no rule describes.
  std::string proof_words(const ExplainedCell& cell) const {
    using Proof = ExplainedCell::Proof;
    if (cell.proof == Proof::none && cell.may_lack_level) {
      return "Give every wire that a gate reads a driver, or a pull gate that holds it while all its drivers "
             "are off; 'settle states' "
             "shows for which inputs one is missing.";
    }
    const auto inner = std::count_if(e_.inner.begin(), e_.inner.end(), [&](const ExplainedOutput& net) {
      return net.cell < e_.cells.size() && &e_.cells[net.cell] == &cell && !net.equation.empty();
    });
    if (cell.proof == Proof::none && inner > 1) {
      return "It stores several bits inside, each in a way of its own: the equations tell how, and what the "
             "outputs make of them.";
    }
    if (cell.proof == Proof::none) {
      return "No rule known here agrees with all its steps; 'settle states' and 'settle table' show what it "
             "does.";
    }
    std::string words =
        cell.may_lack_level
            ? "A gate may read a wire that floats or is fought over, so its states cannot all be looked at. "
            : "It has too many inputs or states to be looked at one by one. ";
    if (cell.proof == Proof::stores) {
      words += fmt::format("It does store, proved by a SAT solver: with {} it has more than one stable state",
                           cell.two_states_when);
      words += cell.differing.empty()
                   ? "."
                   : fmt::format(", and {} can differ between stable states.", listed_names(cell.differing));
    } else {
      words +=
          "It stores nothing, proved by a SAT solver: no setting of the inputs has more than one stable "
          "state.";
    }
    if (!cell.never_stable_example.empty()) {
      words += fmt::format(" It can never come to rest with {}.", cell.never_stable_example);
    }
    return words + " Fix some inputs with constants, or look at its parts one by one, to learn more.";
  }

  std::string inner_names(const ExplainedCell& cell) const {
    std::vector<std::string> names;
    for (const ExplainedOutput& inner : e_.inner) {
      const bool here = inner.cell < e_.cells.size() && &e_.cells[inner.cell] == &cell;
      if (here && names.size() < cell.stored_bits_alike) names.push_back(inner.name);
    }
    if (names.size() > 6) return fmt::format("{} to {}", names.front(), names.back());
    return listed_names(names) + (cell.copies > 1 ? " and so on" : "");
  }

  static std::string follower_words(const ExplainedCell& cell) {
    std::string text;
    for (const ExplainedCell::Follower& f : cell.followers) {
      text += fmt::format(" While {} is {}, {} shows {}{}; while {} is {}, it keeps the value that it had.", f.gate,
                          f.active_high ? 1 : 0, f.output, f.inverted ? "the opposite of " : "", f.source, f.gate,
                          f.active_high ? 0 : 1);
    }
    return text;
  }

  // Inputs that act on it in a way that gate delays decide, so that the rule is without them.
  std::string unruled_words(const ExplainedCell& cell) const {
    if (cell.core != CellCore::hold) return {};
    std::vector<std::string> names;
    for (const ExplainFinding& finding : e_.findings) {
      const bool here = finding.cell < e_.cells.size() && &e_.cells[finding.cell] == &cell &&
                        finding.kind == ExplainFinding::Kind::undecided_change;
      if (!here) continue;
      for (const std::string& name : finding.inputs) {
        const bool has_role = std::any_of(cell.inputs.begin(), cell.inputs.end(),
                                          [&](const InputRole& role) { return role.input == name; });
        if (!has_role && std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
      }
    }
    if (names.empty()) return {};
    return fmt::format(" {} can change it as well, but gate delays decide whether {}: see 'Take care'.", listed_names(names),
                       names.size() == 1 ? "it does" : "they do");
  }

  std::string complement_words(const ExplainedCell& cell) const {
    if (cell.core == CellCore::arbiter) return {};
    std::string text;
    for (const ComplementaryPair& pair : e_.complementary) {
      const bool here = pair.a == cell.output || pair.b == cell.output;
      if (!here) continue;
      const std::string& other = pair.a == cell.output ? pair.b : pair.a;
      text += fmt::format(" {} is the opposite of {}", other, cell.output);
      text += pair.except.empty()
                  ? ", always."
                  : fmt::format(", except while {}: both are {} then{}.", condition_words(pair.except),
                                pair.both_at_one ? 1 : 0, pair.may_swing ? " if they rest at all" : "");
    }
    std::vector<std::string> inner;
    for (const ComplementaryPair& pair : e_.inner_complementary) {
      const bool here = std::find(cell.outputs.begin(), cell.outputs.end(), pair.a) != cell.outputs.end();
      if (here && inner.size() < most_inner) inner.push_back(fmt::format("{} is the opposite of {}", pair.b, pair.a));
    }
    if (!inner.empty()) text += fmt::format(" Inside, {}.", listed_names(inner));
    return text;
  }

  // What the one stored net of the cell takes over, where that is a function of its inputs; else empty.
  std::string next_value(const ExplainedCell& cell) const {
    std::string sum;
    std::size_t stored = 0;
    for (const auto* list : {&e_.outputs, &e_.inner}) {
      for (const ExplainedOutput& output : *list) {
        const bool here = output.cell < e_.cells.size() && &e_.cells[output.cell] == &cell;
        if (!here || output.name == cell.complement || output.equation.find("+ =") == std::string::npos)
          continue;
        ++stored;
        const std::string left = cell.output + "+ = ";
        if (output.equation.starts_with(left)) sum = output.equation.substr(left.size());
      }
    }
    if (stored != cell.copies) return {};
    std::istringstream factors(sum);
    for (std::string factor; factors >> factor;) {
      if (factor.ends_with('\'')) factor.pop_back();
      const bool known =
          factor == "+" || std::any_of(cell.inputs.begin(), cell.inputs.end(),
                                       [&](const InputRole& role) { return role.input == factor; });
      if (!known) return {};
    }
    return sum;
  }

  // From the regions of the output that the cell is named by.
  std::string level_words(const ExplainedCell& cell, std::string otherwise) const {
    for (const auto* list : {&e_.outputs, &e_.inner}) {
      for (const ExplainedOutput& output : *list) {
        if (output.name != cell.output || (output.set_when.empty() && output.reset_when.empty())) continue;
        std::string text;
        const auto add = [&](std::string_view does, const std::string& when) {
          if (!when.empty())
            text += fmt::format("{} {} while {}. ", text.empty() ? cell.output : "It", does, condition_words(when));
        };
        add("is 1", output.set_when);
        add("is 0", output.reset_when);
        add("holds what it has", output.holds_when);
        return text + "It answers to levels, not to edges.";
      }
    }
    return otherwise;
  }

  // "q1 q0 go through 00, 01, 10, 11, then 00 again."
  static std::string count_words(const ExplainedCell& cell) {
    if (cell.counts.empty() || cell.copies > 1) return {};
    const auto listed_values = [](const std::vector<std::string>& values) {
      if (values.size() == 1) return values[0];
      std::string text;
      for (std::size_t k = 0; k < values.size() && k < most_counted; ++k)
        text += (k == 0 ? "" : ", ") + values[k];
      if (values.size() > most_counted) text += fmt::format(" and so on, {} in all", values.size());
      return text;
    };
    std::string names;
    for (const std::string& name : cell.count_nets) names += (names.empty() ? "" : " ") + name;
    std::string text = cell.counts[0].size() == 1
                           ? fmt::format(" {} end at {}", names, cell.counts[0][0])
                           : fmt::format(" From edge to edge {} go through {}, then {} again", names,
                                         listed_values(cell.counts[0]), cell.counts[0][0]);
    if (cell.counts.size() == 1) return text + ", wherever they begin.";
    std::vector<std::string> rounds, ends;
    for (std::size_t k = 1; k < cell.counts.size(); ++k) {
      (cell.counts[k].size() > 1 ? rounds : ends).push_back(listed_values(cell.counts[k]));
    }
    text += ".";
    for (std::size_t k = 0; k < rounds.size(); ++k) {
      text += fmt::format("{} in {}, they go round among these", k == 0 ? " Once" : "; once", rounds[k]);
    }
    if (!ends.empty()) {
      text += fmt::format("{} in {}, they stay there", rounds.empty() ? " Once" : "; once", listed_names(ends, " or in "));
    }
    return text + ": the clock alone never leads out.";
  }

  const Explanation& e_;
};

}  // namespace

bool is_storage(const ExplainedCell& cell) {
  return cell.core != CellCore::none && cell.core != CellCore::oscillator;
}

std::string output_names(const ExplainedCell& cell) {
  if (cell.outputs.size() <= 4) return listed_names(cell.outputs);
  return fmt::format("{} to {}", cell.outputs.front(), cell.outputs.back());
}

std::vector<std::string> usage_paragraphs(const Explanation& explanation) {
  return Usage(explanation).paragraphs();
}

std::string three_state_words(const Explanation& e) {
  std::string text;
  std::vector<std::string> names;
  for (std::size_t k = 0; k < e.three_state.size(); ++k) {
    const ThreeStateOutput& output = e.three_state[k];
    names.push_back(output.output);
    const bool same = k + 1 < e.three_state.size() && e.three_state[k + 1].control == output.control &&
                      e.three_state[k + 1].drives_at_one == output.drives_at_one;
    if (same) continue;
    const std::string who =
        names.size() > 4 ? fmt::format("{} to {}", names.front(), names.back()) : listed_names(names);
    text += fmt::format("{} {} driven while {} is {}, else high impedance. ", who,
                        names.size() == 1 ? "is" : "are", output.control, output.drives_at_one ? 1 : 0);
    names.clear();
  }
  if (!text.empty()) text += "What is said here of a value is what shows while it is driven.";
  return text;
}

}  // namespace settle::report
