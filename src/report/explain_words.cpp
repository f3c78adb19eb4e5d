#include "report/explain_words.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace settle::report {
namespace {

std::vector<std::string> split(const std::string& text, std::string_view separator) {
  std::vector<std::string> pieces;
  std::size_t from = 0;
  for (std::size_t at; (at = text.find(separator, from)) != std::string::npos; from = at + separator.size()) {
    pieces.push_back(text.substr(from, at - from));
  }
  pieces.push_back(text.substr(from));
  return pieces;
}

// The inputs of a cell by role, after its direct controls.
class Roles {
 public:
  explicit Roles(const ExplainedCell& cell) : cell_(cell) {}
  const InputRole* find(std::string_view role, std::size_t number = 0) const {
    for (std::size_t i = cell_.direct_controls; i < cell_.inputs.size(); ++i) {
      if (cell_.inputs[i].role == role && number-- == 0) return &cell_.inputs[i];
    }
    return nullptr;
  }
  std::string name(std::string_view role, std::size_t number = 0) const {
    const InputRole* found = find(role, number);
    return found == nullptr ? std::string(role) : found->input;
  }
  // "read is 1"
  std::string active(std::string_view role, std::size_t number = 0) const {
    return is(find(role, number), true);
  }
  std::string inactive(std::string_view role, std::size_t number = 0) const {
    return is(find(role, number), false);
  }
  // "d", or "the opposite of d"
  std::string value(std::string_view role, std::size_t number = 0) const {
    const InputRole* found = find(role, number);
    if (found == nullptr) return std::string(role);
    return found->active_high ? found->input : "the opposite of " + found->input;
  }
  static std::string is(const InputRole* role, bool active) {
    return role == nullptr ? std::string()
                           : fmt::format("{} is {}", role->input, role->active_high == active ? 1 : 0);
  }

 private:
  const ExplainedCell& cell_;
};

std::string all_gates(const ExplainedCell& cell) {
  std::vector<std::string> texts;
  for (const InputRole& role : cell.inputs) {
    if (role.role == "gate") texts.push_back(Roles::is(&role, true));
  }
  return listed_names(texts);
}

// Of controls that do the same it does not matter which wins.
std::string strongest_first(const ExplainedCell& cell) {
  std::vector<std::vector<std::string>> ranks;
  for (std::uint32_t i = 0; i < cell.direct_controls; ++i) {
    if (i == 0 || cell.inputs[i].role != cell.inputs[i - 1].role) ranks.emplace_back();
    ranks.back().push_back(cell.inputs[i].input);
  }
  if (ranks.size() < 2) return {};
  std::string text = " Should several be active, ";
  for (std::size_t r = 0; r + 1 < ranks.size(); ++r) {
    text += fmt::format("{}{} {} over {}", r == 0 ? "" : ", and ", listed_names(ranks[r]),
                        ranks[r].size() == 1 ? "wins" : "win", listed_names(ranks[r + 1]));
  }
  return text + fmt::format(" as far as {} is concerned.", cell.output);
}

std::string control_words(const ExplainedCell& cell) {
  if (cell.direct_controls == 0) return {};
  std::string text;
  for (std::uint32_t i = 0; i < cell.direct_controls; ++i) {
    const InputRole& control = cell.inputs[i];
    const int value = control.role == "set" ? 1 : 0;
    if (i == 0) {
      text = fmt::format("At any time, {} at {} makes {} {} at once", control.input,
                         control.active_high ? 1 : 0, cell.output, value);
    } else {
      text += fmt::format("{} {} at {} makes it {}", i + 1 == cell.direct_controls ? " and" : ",",
                          control.input, control.active_high ? 1 : 0, value);
    }
  }
  for (std::uint32_t i = 0; i < cell.direct_controls && i < cell.forced_too.size(); ++i) {
    if (cell.forced_too[i].empty()) continue;
    text += cell.direct_controls == 1
                ? fmt::format(", and {} as well", cell.forced_too[i])
                : fmt::format(" ({} makes {} as well)", cell.inputs[i].input, cell.forced_too[i]);
  }
  if (cell.direct_controls > 2) return text + "." + strongest_first(cell);
  if (cell.direct_controls > 1)
    text += fmt::format("; should both be {}, {} wins as far as {} is concerned",
                        cell.inputs[0].active_high != cell.inputs[1].active_high ? "active"
                        : cell.inputs[0].active_high                             ? "1"
                                                                                 : "0",
                        cell.inputs[0].input, cell.output);
  return text + ".";
}

std::string hold_words(const ExplainedCell& cell) {
  if (cell.direct_controls == 0)
    return "No input can change it: it keeps for ever the state in which it came up.";
  std::string text;
  std::vector<std::string> low, high;  // inputs at rest
  std::string_view said;
  for (const std::string_view role : {"set", "reset"}) {
    for (std::uint32_t i = 0; i < cell.direct_controls; ++i) {
      const InputRole& control = cell.inputs[i];
      if (control.role != role) continue;
      if (role == said) {
        text += " or";
      } else {
        text += text.empty() ? fmt::format("To make {} {}, put", cell.output, control.role == "set" ? 1 : 0)
                             : fmt::format("; to make it {}, put", control.role == "set" ? 1 : 0);
      }
      said = role;
      text += fmt::format(" {} to {}", control.input, control.active_high ? 1 : 0);
      (control.active_high ? low : high).push_back(control.input);
    }
  }
  std::vector<std::string> rest;
  if (!low.empty()) rest.push_back(fmt::format("{} {} 0", listed_names(low), low.size() == 1 ? "is" : "are"));
  if (!high.empty())
    rest.push_back(fmt::format("{} {} 1", listed_names(high), high.size() == 1 ? "is" : "are"));
  text += fmt::format(". While {}, it holds what it has. It answers to levels and needs no clock.",
                      listed_names(rest));
  if (cell.direct_controls > 2) {
    text += strongest_first(cell);
  } else if (cell.complement.empty() && cell.direct_controls > 1) {
    text += fmt::format(" Should both be active, {} wins.", cell.inputs[0].input);
  }
  return text;
}

std::string dominance_words(const ExplainedCell& cell, const Roles& roles) {
  if (!cell.set_dominates) return {};
  return fmt::format(" Should both be active, {} wins.", roles.name(*cell.set_dominates ? "set" : "reset"));
}

std::string edge_words(const ExplainedCell& cell, const Roles& roles) {
  const InputRole* clock = roles.find("clock");
  if (clock == nullptr) return "At the active edge";
  if (cell.both_edges) return fmt::format("At every edge of {}", clock->input);
  const auto moves = [](const InputRole& role) { return role.active_high ? "rises" : "falls"; };
  if (const InputRole* other = roles.find("clock", 1); other != nullptr && cell.has_gated_clock) {
    return fmt::format("When {} {} while {}, or {} {} while {}", clock->input, moves(*clock),
                       Roles::is(other, true), other->input, moves(*other), Roles::is(clock, true));
  } else if (other != nullptr) {
    return fmt::format("When {} {}, and when {} {}", clock->input, moves(*clock), other->input,
                       moves(*other));
  }
  return fmt::format("At each {} edge of {}", clock->active_high ? "rising" : "falling", clock->input);
}

}  // namespace

std::string listed_names(const std::vector<std::string>& names, std::string_view last) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i != 0) text += i + 1 == names.size() ? last : std::string_view(", ");
    text += names[i];
  }
  return text;
}

std::string condition_words(const std::string& expression) {
  if (expression == "1") return "at any time";
  std::vector<std::string> alternatives;
  for (const std::string& product : split(expression, " + ")) {
    std::vector<std::string> ones, zeros, texts;
    for (const std::string& factor : split(product, " ")) {
      if (factor.ends_with('\'')) {
        zeros.push_back(factor.substr(0, factor.size() - 1));
      } else {
        ones.push_back(factor);
      }
    }
    if (!ones.empty())
      texts.push_back(fmt::format("{} {} 1", listed_names(ones), ones.size() == 1 ? "is" : "are"));
    if (!zeros.empty())
      texts.push_back(fmt::format("{} {} 0", listed_names(zeros), zeros.size() == 1 ? "is" : "are"));
    alternatives.push_back(listed_names(texts));
  }
  // Products hold commas and "and" themselves: every one begins with "or".
  std::string text;
  for (const std::string& alternative : alternatives) text += (text.empty() ? "" : ", or ") + alternative;
  return text;
}

std::string with_article(const std::string& kind) {
  if (kind.empty()) return kind;
  const std::size_t word = kind.find(' ');
  if (kind[0] >= '0' && kind[0] <= '9') {
    const bool counts_cells = word != std::string::npos && kind.find('-') > word;  // "3 transparent latches"
    if (counts_cells) return kind;
    return (kind[0] == '8' || kind.starts_with("11-") || kind.starts_with("18-") ? "an " : "a ") + kind;
  }
  return (std::string_view("aeiou").find(kind[0]) != std::string_view::npos ? "an " : "a ") + kind;
}

std::string kind_words(const std::string& kind) {
  if (kind == "unrecognised") return "cell of no kind known here";
  const std::size_t comma = kind.find(", ");
  return comma == std::string::npos ? kind
                                    : fmt::format("{} ({})", kind.substr(0, comma), kind.substr(comma + 2));
}

std::string number_word(std::uint64_t number) {
  constexpr std::array<std::string_view, 13> words = {"no",   "one",    "two",   "three", "four",
                                                      "five", "six",    "seven", "eight", "nine",
                                                      "ten",  "eleven", "twelve"};
  return number < words.size() ? std::string(words[number]) : std::to_string(number);
}

std::string usage_words(const ExplainedCell& cell, const std::string& next_value) {
  const Roles roles(cell);
  const std::string& q = cell.output;
  const std::string controls = control_words(cell);
  std::string text;
  switch (cell.core) {
    case CellCore::hold: return hold_words(cell);
    case CellCore::transparent:
      text = fmt::format(
          "While {}, {} follows {}: the latch is transparent. When that ends, {} keeps the value that it has "
          "then, whatever {} does",
          all_gates(cell), q, roles.value("data"), q, roles.name("data"));
      if (const InputRole* gate = roles.find("gate"); gate != nullptr && roles.find("gate", 1) == nullptr) {
        text += fmt::format(", until {} is {} again", gate->input, gate->active_high ? 1 : 0);
      }
      text += ". It answers to levels, not to edges.";
      break;
    case CellCore::gated_set_reset:
      text = fmt::format(
          "While {} it listens: {} becomes 1 when {}, becomes 0 when {}, and holds when neither is so. While "
          "{} "
          "it holds, whatever {} and {} do.",
          roles.active("gate"), q, roles.active("set"), roles.active("reset"), roles.inactive("gate"),
          roles.name("set"), roles.name("reset"));
      text += dominance_words(cell, roles);
      break;
    case CellCore::gated_jk:
      text = fmt::format(
          "While {} it listens: {} becomes 1 when {}, becomes 0 when {}, holds when neither is so, and runs "
          "to and fro (race-around, see below) when both are. While {} it holds.",
          roles.active("gate"), q, roles.active("J"), roles.active("K"), roles.inactive("gate"));
      break;
    case CellCore::gated_toggle:
      text =
          roles.find("gate") != nullptr
              ? fmt::format(
                    "While {} and {} it toggles, again and again (race-around, see below); else {} holds.",
                    roles.active("gate"), roles.active("toggle"), q)
              : fmt::format("While {} it toggles, again and again (race-around, see below); else {} holds.",
                            roles.active("toggle"), q);
      break;
    case CellCore::c_element: {
      std::vector<std::string> ones, zeros;
      for (const InputRole& role : cell.inputs) {
        if (role.role != "input") continue;
        ones.push_back(fmt::format("{} is {}", role.input, role.active_high ? 1 : 0));
        zeros.push_back(fmt::format("{} is {}", role.input, role.active_high ? 0 : 1));
      }
      text = fmt::format("{} becomes 1 when {}, and 0 when {}; in between it waits and holds what it has.", q,
                         listed_names(ones), listed_names(zeros));
      break;
    }
    case CellCore::arbiter: {
      const InputRole &first = cell.inputs[0], &second = cell.inputs[1];
      const int ask = first.active_high ? 1 : 0;
      return fmt::format(
          "To ask for {}, put {} to {}; to ask for {}, put {} to {}. Who asks first gets it and keeps it for "
          "as "
          "long as the request lasts; then the other gets it, if still asking. At rest {} and {} are never "
          "both {}; "
          "while a tie is being decided they may be for a while, where no filter for that is part of the "
          "circuit.",
          q, first.input, ask, cell.complement, second.input, ask, q, cell.complement, ask);
    }
    case CellCore::multistable: {
      std::vector<std::string> low, high, rest;
      for (const InputRole& role : cell.inputs) (role.active_high ? low : high).push_back(role.input);
      if (!low.empty()) rest.push_back(fmt::format("{} at 0", listed_names(low)));
      if (!high.empty()) rest.push_back(fmt::format("{} at 1", listed_names(high)));
      return fmt::format(
          "With {}, exactly one of {} differs from the others, and it stays so: there are {} stable states. "
          "Each input, when active, forbids one output to be the one; the equations say which.",
          listed_names(rest), listed_names(cell.outputs), number_word(cell.states_held));
    }
    case CellCore::d:
      text = fmt::format("{}, {} takes over {}; at all other times it holds, whatever {} does.",
                         edge_words(cell, roles), q, roles.value("data"), roles.name("data"));
      break;
    case CellCore::d_enable:
      text = fmt::format("{}, {} takes over {} if {}; else, and at all other times, it holds.",
                         edge_words(cell, roles), q, roles.value("data"), roles.active("enable"));
      break;
    case CellCore::toggle:
      text = fmt::format("{}, {} changes to its opposite{}; at all other times it holds.",
                         edge_words(cell, roles), q,
                         cell.kind.starts_with("both-edge") ? "" : ", so that it has half the frequency");
      break;
    case CellCore::toggle_enable:
      text = fmt::format("{}, {} changes to its opposite if {}; else, and at all other times, it holds.",
                         edge_words(cell, roles), q, roles.active("enable"));
      break;
    case CellCore::set_reset:
      text = fmt::format("{}, {} becomes 1 if {}, 0 if {}; else, and at all other times, it holds.",
                         edge_words(cell, roles), q, roles.active("set"), roles.active("reset"));
      text += dominance_words(cell, roles);
      break;
    case CellCore::jk:
      text = fmt::format(
          "{}, {} becomes 1 if {}, 0 if {}, and the opposite of what it was if both; else, and at all other "
          "times, it holds.",
          edge_words(cell, roles), q, roles.active("J"), roles.active("K"));
      break;
    case CellCore::select:
      text = fmt::format("{}, {} takes over {} if {}, else {}; at all other times it holds.",
                         edge_words(cell, roles), q, roles.value("data", 0), roles.active("select"),
                         roles.value("data", 1));
      break;
    case CellCore::clocked_logic:
      text = edge_words(cell, roles);
      if (next_value.empty()) {
        text += " the outputs take over new values, which the equations give; ";
      } else {
        text += fmt::format(", {} becomes 1 if {}, else 0; ", q, condition_words(next_value));
      }
      text += cell.has_asynchronous_load
                  ? "apart from that an input puts data in at any time, which the second equation gives."
                  : fmt::format("at all other times {}.", next_value.empty() ? "they hold" : "it holds");
      break;
    case CellCore::level_logic:
      text = "It answers to levels; the equations say when it takes in what, and when it holds.";
      break;
    default: return {};
  }
  if (cell.has_gated_clock) {
    text +=
        " Which of the two is the clock is for you to say: the other, as its enable, must change only while "
        "the clock is inactive, "
        "else it makes an edge of its own.";
  }
  if (cell.is_pulse_triggered && cell.has_data_lockout) {
    const InputRole* clock = roles.find("clock");
    const bool high = clock != nullptr && clock->active_high;
    text += fmt::format(" The new value is taken in when {0} {1} and shows when {0} {2}.",
                        roles.name("clock"), high ? "falls" : "rises", high ? "rises" : "falls");
  } else if (cell.is_pulse_triggered) {
    text += fmt::format(" The new value is taken in while {} is {} and shows when that ends.",
                        roles.name("clock"),
                        roles.find("clock") != nullptr && roles.find("clock")->active_high ? 0 : 1);
  }
  return controls.empty() ? text : text + " " + controls;
}

}  // namespace settle::report
